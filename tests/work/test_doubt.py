"""Laws of a reading's doubt."""

from dataclasses import replace

import numpy as np
import pytest

from stainbook.colour import delta_e_2000_radius, spectrum_to_lab
from stainbook.records import Reading, Viewing
from stainbook.work.reading.reading_doubt import lab_covariance, reflectance_covariance, seen_covariance

NM = tuple(range(400, 701, 10))
R = tuple(np.linspace(0.3, 0.5, 31))
SPECTRUM = Reading("x", NM, R)
LAB = Reading("x", lab=(70.0, 1.0, 15.0), viewing=Viewing("D65", 2))
USUAL = tuple(np.sqrt(np.diag(reflectance_covariance(SPECTRUM))))


def test_usual_scatter_of_one_row():
    assert pytest.approx(np.hypot(0.003 * 0.3, 0.001), abs=1e-12) == USUAL[0]
    assert np.sqrt(np.diag(lab_covariance(LAB))) == pytest.approx([0.3, 0.2, 0.2], abs=1e-12)


@pytest.mark.parametrize("n", [2, 3, 10])
def test_repeats_that_scatter_as_usual_divide_by_their_number(n):
    read = replace(SPECTRUM, repeats=n, scatter=USUAL)
    assert reflectance_covariance(read) == pytest.approx(reflectance_covariance(SPECTRUM) / n, abs=1e-15)


def test_repeats_that_scatter_more_say_so_the_more_they_are():
    def spread(n: int) -> float:
        read = replace(LAB, repeats=n, scatter=(1.0, 1.0, 1.0))
        return float(np.sqrt(lab_covariance(read)[0, 0] * n))

    assert 0.3 < spread(2) < spread(5) < spread(50) < 1.0
    assert spread(1000) == pytest.approx(1.0, abs=0.01)


def test_two_equal_rows_do_not_make_a_reading_certain():
    read = replace(LAB, repeats=2, scatter=(0.0, 0.0, 0.0))
    assert np.all(np.linalg.eigvalsh(lab_covariance(read)) > 0.01)


def test_known_repeats_without_their_scatter_count_too():
    assert lab_covariance(replace(LAB, repeats=4)) == pytest.approx(lab_covariance(LAB) / 4, abs=1e-15)


@pytest.mark.parametrize("u", [0.4, 2.6, 5.0])
@pytest.mark.parametrize("lab", [(70.0, 1.0, 15.0), (50.0, 22.0, 14.0)])
def test_a_doubt_of_its_own_holds_whatever_the_repeats(u, lab):
    read = replace(LAB, lab=lab, u=u, repeats=3, scatter=(0.1, 0.1, 0.1))
    assert float(delta_e_2000_radius(lab, lab_covariance(read))) == pytest.approx(u, abs=1e-9)


@pytest.mark.parametrize("tissue", [None, "tooth", "gingiva"])
def test_coarser_steps_are_less_sure(tissue):
    viewing = Viewing("D65", 10)

    def u(step: int) -> float:
        nm = tuple(range(400, 701, step))
        reading = Reading("x", nm, tuple(np.interp(nm, NM, R)))
        lab = spectrum_to_lab(reading.reflectance, nm, illuminant="D65", observer=10)
        return float(delta_e_2000_radius(lab, seen_covariance(reading, lab, viewing, tissue=tissue)))

    assert u(5) < u(10) < u(20)
    if tissue == "gingiva":
        assert 0.4 < u(20) < 1.2
