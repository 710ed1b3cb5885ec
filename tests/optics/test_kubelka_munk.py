"""The two-flux baseline against its golden values: what the comparison of models rests on."""

import numpy as np
import pytest

from tests.optics import kubelka_munk as km
from tests.published import published

SIX_DECIMALS = 6e-7


def numbers(name):
    return [{key: float(value) for key, value in row.items()} for row in published(name)]


@pytest.mark.parametrize("row", numbers("kubelka_munk_layers.csv"))
def test_layers(row):
    assert km.reflectance(row["K"], row["S"], row["X"], row["Rg"]) == pytest.approx(row["R"], abs=SIX_DECIMALS)


def test_transmittance():
    assert km.slab(0.2, 2.0)[1] == pytest.approx(0.251798, abs=SIX_DECIMALS)


@pytest.mark.parametrize("row", numbers("kubelka_munk_infinite.csv"))
def test_infinite_layer_and_its_inverse(row):
    assert km.k_over_s(row["R"]) == pytest.approx(row["K_over_S"], abs=SIX_DECIMALS)
    assert km.infinite_reflectance(km.k_over_s(row["R"]), 1.0) == pytest.approx(row["R"], abs=1e-12)


@pytest.mark.parametrize("row", numbers("saunderson.csv"))
def test_saunderson_and_its_inverse(row):
    assert km.saunderson(row["Ri"], row["k1"], row["k2"]) == pytest.approx(row["Rm"], abs=SIX_DECIMALS)
    for specular in (True, False):
        measured = km.saunderson(row["Ri"], row["k1"], row["k2"], specular=specular)
        assert km.inverse_saunderson(measured, row["k1"], row["k2"], specular=specular) == pytest.approx(row["Ri"])


def test_two_backings_give_the_layer_back():
    K, S = km.from_two_backings(0.542450, 0.05, 0.625271, 0.85, 0.8)
    assert pytest.approx((0.35, 2.4), abs=1e-4) == (K, S)  # six decimals of R, about fifty times that in S


def test_branches_of_the_numerics():
    K, S = np.array([0.0, 0.0, 1e-9, 500.0]), np.array([0.0, 1e3, 1e-9, 500.0])
    R, T = km.slab(K, S)
    assert np.all((R >= 0) & (T >= 0) & (R + T <= 1 + 1e-9))
    assert T[0] == pytest.approx(1.0)
    assert R[3] == pytest.approx(km.infinite_reflectance(1.0, 1.0))
