from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.colour import SHIPPED_ILLUMINANTS, WAVELENGTHS, tristimulus_weights, white_point
from stainbook.colour.weights import lagrange_matrix
from stainbook.errors import InputError, UnknownNameError
from tests.colour.library import colour_science
from tests.colour.strategies import LIGHT, OBSERVER
from tests.published import published

PUBLISHED = published("white_points.csv")
CMFS = {2: "CIE 1931 2 Degree Standard Observer", 10: "CIE 1964 10 Degree Standard Observer"}
LIBRARY = {"F2": "FL2", "F11": "FL11"}
RANGES = [(360, 780, 5), (380, 730, 10), (400, 700, 5), (400, 700, 10), (400, 700, 20), (360, 780, 20), (380, 740, 20)]


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: f"{row['illuminant']}/{row['observer']} {row['table']}")
def test_published_white_points(row):
    white = white_point(row["illuminant"], int(row["observer"]))
    # E308 prints some whites from 5 nm sums and D65's from 1 nm: 0.014 (2°) and 0.020 (10°) apart in Z.
    # CIE 15 rounds to 0.01 on top and truncates D65's X to 95.04.
    np.testing.assert_allclose(white[[0, 2]], [float(row["X"]), float(row["Z"])], rtol=0, atol=0.025)


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: f"{row['illuminant']}/{row['observer']} {row['table']}")
def test_published_white_points_by_10_nm(row):
    white = white_point(row["illuminant"], int(row["observer"]), WAVELENGTHS)
    # The 10 nm weights sum by 1 nm: for lights tabled by 5 nm (C, F2, F11) another valid white, up to 0.084 off.
    tolerance = 0.085 if row["illuminant"] in ("C", "F2", "F11") else 0.025
    np.testing.assert_allclose(white[[0, 2]], [float(row["X"]), float(row["Z"])], rtol=0, atol=tolerance)


@pytest.mark.parametrize("observer", [2, 10])
@pytest.mark.parametrize("light", SHIPPED_ILLUMINANTS)
@pytest.mark.parametrize("shape", RANGES, ids=str)
def test_weights_equal_colour_science(light, observer, shape):
    colour = colour_science()
    nm = np.arange(shape[0], shape[1] + 1.0, shape[2])
    reflectance = 0.3 + 0.2 * np.sin(nm / 37.0)
    sd = colour.SpectralDistribution(reflectance, nm)
    lamp = colour.SDS_ILLUMINANTS[LIBRARY.get(light, light)]
    with colour.utilities.suppress_warnings(colour_runtime_warnings=True):  # it says that it aligns the light to 1 nm
        theirs = colour.sd_to_XYZ(sd, colour.MSDS_CMFS[CMFS[observer]], lamp, method="ASTM E308")
    ours = reflectance @ tristimulus_weights(nm, illuminant=light, observer=observer)
    np.testing.assert_allclose(ours, theirs, rtol=0, atol=1e-8)  # the shipped tables have 12 digits


@given(LIGHT, OBSERVER, st.sampled_from(RANGES))
def test_weights_sum_to_the_white_with_y_100(light, observer, shape):
    nm = np.arange(shape[0], shape[1] + 1.0, shape[2])
    weights = tristimulus_weights(nm, illuminant=light, observer=observer)
    assert weights.sum(axis=0)[1] == pytest.approx(100.0, abs=1e-10)
    np.testing.assert_array_equal(weights.sum(axis=0), white_point(light, observer, nm))


@pytest.mark.parametrize(
    "nm", [np.arange(395.0, 706.0, 10.0), np.arange(390.0, 711.0, 20.0), np.arange(340.0, 801, 10)]
)
def test_ranges_off_the_printed_tables_meet_the_same_white(nm):
    white = white_point("D65", 10, nm)
    np.testing.assert_allclose(white, white_point("D65", 10, WAVELENGTHS), rtol=0, atol=0.01)  # CIE 15's last digit


def test_measured_beyond_780_nm_weighs_nothing():
    weights = tristimulus_weights(np.arange(340.0, 801.0, 10.0), illuminant="D65", observer=10)
    assert not weights[[0, 1, -2, -1]].any()


def test_weights_are_cached_and_cannot_be_altered():
    weights = tristimulus_weights(WAVELENGTHS, illuminant="D65", observer=10)
    assert weights is tristimulus_weights(WAVELENGTHS, illuminant="d65", observer=10)
    with pytest.raises(ValueError, match="read-only"):
        weights[0, 0] = 1.0


@pytest.mark.parametrize(
    ("nm", "words"),
    [
        (np.arange(400.0, 701.0, 2.0), "steps of 2 nm"),
        (np.arange(700.0, 399.0, -10.0), "do not rise"),
        (np.array([400.0, 410.0, 430.0]), "steps of 10 to 20 nm"),
        (np.arange(410.0, 701.0, 10.0), "410-700 nm"),
        (np.arange(400.0, 691.0, 10.0), "400-690 nm"),
        (np.array([400.0]), "shape"),
    ],
)
def test_wavelengths_that_cannot_be_integrated(nm, words):
    with pytest.raises(InputError, match=words):
        tristimulus_weights(nm, illuminant="D65", observer=10)


@pytest.mark.parametrize(("light", "observer", "words"), [("D64", 10, "D65"), ("D65", 5, "known: 10, 2")])
def test_unknown_light_or_observer_lists_the_known(light, observer, words):
    with pytest.raises(UnknownNameError, match=words):
        white_point(light, observer)


@given(st.lists(st.floats(-1, 1), min_size=3, max_size=3), st.floats(0, 90))
def test_lagrange_is_exact_for_quadratics(coefficients, at):
    nodes = np.arange(0.0, 91.0, 10.0)
    curve = np.polynomial.Polynomial(coefficients)
    value = lagrange_matrix(nodes, np.array([at]))[0] @ curve(nodes)
    assert value == pytest.approx(curve(at), abs=1e-9)


def test_lagrange_holds_the_ends():
    matrix = lagrange_matrix(np.arange(0.0, 50.0, 10.0), np.array([-7.0, 60.0]))
    np.testing.assert_array_equal(matrix, [[1, 0, 0, 0, 0], [0, 0, 0, 0, 1]])
