"""ΔE00 and spectra to CIELAB, ours beside colour-science."""

from __future__ import annotations

import numpy as np
import pytest

from stainbook.colour import WAVELENGTHS, delta_e_2000, recover_reflectance, spectrum_to_lab
from tests.colour.library import colour_science

PAIRS = 500_000
SPECTRA = 200
MANY = 100_000


@pytest.fixture(scope="module")
def pairs():
    rng = np.random.default_rng(1)
    return tuple(rng.uniform([0, -100, -100], [100, 100, 100], (2, PAIRS, 3)))


@pytest.fixture(scope="module")
def spectra():
    return np.random.default_rng(2).uniform(0.05, 0.9, (MANY, WAVELENGTHS.size))


@pytest.mark.benchmark(group="ΔE00 of 500,000 pairs")
def test_delta_e_2000_ours(benchmark, pairs):
    dE = benchmark.pedantic(delta_e_2000, pairs, rounds=5, warmup_rounds=1)
    assert dE.shape == (PAIRS,)


@pytest.mark.benchmark(group="ΔE00 of 500,000 pairs")
def test_delta_e_2000_colour_science(benchmark, pairs):
    theirs = benchmark.pedantic(colour_science().difference.delta_E_CIE2000, pairs, rounds=5, warmup_rounds=1)
    np.testing.assert_allclose(theirs, delta_e_2000(*pairs), rtol=0, atol=1e-9)


@pytest.mark.benchmark(group="200 spectra to CIELAB")
def test_spectrum_to_lab_ours(benchmark, spectra):
    lab = benchmark(spectrum_to_lab, spectra[:SPECTRA], WAVELENGTHS, illuminant="D65", observer=10)
    assert lab.shape == (SPECTRA, 3)


@pytest.mark.benchmark(group="200 spectra to CIELAB")
def test_spectrum_to_lab_colour_science(benchmark, spectra):
    colour = colour_science()
    shape = colour.SpectralShape(360, 780, 1)
    cmfs = colour.MSDS_CMFS["CIE 1964 10 Degree Standard Observer"].copy().align(shape)
    lamp = colour.SDS_ILLUMINANTS["D65"].copy().align(shape)
    white = colour.sd_to_XYZ(colour.sd_ones(shape), cmfs, lamp)

    def convert():
        xyz = [colour.sd_to_XYZ(colour.SpectralDistribution(r, WAVELENGTHS), cmfs, lamp) for r in spectra[:SPECTRA]]
        return colour.XYZ_to_Lab(np.array(xyz) / 100, colour.XYZ_to_xy(white))

    with colour.utilities.suppress_warnings(colour_runtime_warnings=True):  # it says that it trims to 360-780 nm
        lab = benchmark.pedantic(convert, rounds=3, warmup_rounds=1)
    ours = spectrum_to_lab(spectra[:SPECTRA], WAVELENGTHS, illuminant="D65", observer=10)
    np.testing.assert_allclose(lab, ours, rtol=0, atol=1e-6)


@pytest.mark.benchmark(group="100,000 spectra to CIELAB")
def test_many_spectra_to_lab(benchmark, spectra):
    lab = benchmark(spectrum_to_lab, spectra, WAVELENGTHS, illuminant="D65", observer=10)
    assert lab.shape == (MANY, 3)


@pytest.mark.benchmark(group="1,000 colours to reflectance")
def test_recover_reflectance(benchmark):
    lab = np.random.default_rng(3).uniform([50, -2, 5], [85, 8, 25], (1000, 3))
    found = benchmark(recover_reflectance, lab, illuminant="D65", observer=2, tissue="tooth")
    assert found.reflectance.shape == (1000, WAVELENGTHS.size)
