from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given

from stainbook.colour import (
    WAVELENGTHS,
    contrast_ratio,
    delta_e_2000,
    metamerism_index,
    spectrum_to_lab,
    translucency_tp00,
    whiteness_wi_d,
)
from stainbook.colour.indices import wi_d
from stainbook.errors import ConditionsError, UnknownNameError
from tests.colour.curves import gauss, tooth
from tests.colour.strategies import REFLECTANCE

BY_5 = np.arange(360.0, 781.0, 5.0)
ROOT2 = np.sqrt(2.0)
PAIR_2 = (
    0.35
    + 0.213459 * gauss(BY_5, 450, 20 * ROOT2)
    + 0.203121 * gauss(BY_5, 540, 25 * ROOT2)
    + 0.165366 * gauss(BY_5, 610, 25 * ROOT2)
)


@pytest.mark.parametrize(
    ("light", "dE76", "dE00"),
    [
        ("A", 2.124, 2.954),
        ("F11", 2.848, 3.186),
        ("LED-B3", 2.267, 2.169),
        ("F2", 0.757, 0.920),
        ("D50", 0.558, 0.820),
        ("D65", 0.0, 0.0),
    ],
)
def test_metamerism_of_a_worked_pair(light, dE76, dE00):
    """A pair that matches under D65/10°, summed by 1 nm in the example and by 5 nm here: 0.04 apart in narrow bands."""
    found = {
        formula: metamerism_index(PAIR_2, np.full(BY_5.size, 0.5), BY_5, test=light, formula=formula)
        for formula in ("CIE76", "CIEDE2000")
    }
    tolerance = 0.04 if light in ("F11", "LED-B3") else 0.003
    assert found["CIE76"] == pytest.approx(dE76, abs=tolerance)
    assert found["CIEDE2000"] == pytest.approx(dE00, abs=tolerance)


@given(REFLECTANCE, REFLECTANCE)
def test_no_metamerism_under_the_reference_itself(a, b):
    assert metamerism_index(a, b, WAVELENGTHS, test="D65") == pytest.approx(0.0, abs=1e-6)


@given(REFLECTANCE)
def test_a_lighter_grade_of_the_same_curve_is_no_metamer(reflectance):
    assert metamerism_index(0.8 * reflectance, reflectance, WAVELENGTHS, test="F11") == pytest.approx(0.0, abs=1e-6)


def test_unknown_formula():
    with pytest.raises(UnknownNameError, match="CIE76"):
        metamerism_index(PAIR_2, PAIR_2, BY_5, formula="CIE94")


def test_translucency_worked_value():
    """Black (70, 0.5, 14), white (78, 1, 20): computed, four decimals."""
    assert translucency_tp00([70, 0.5, 14], [78, 1, 20]) == pytest.approx(6.8300, abs=5e-5)
    assert translucency_tp00([70, 0.5, 14], [70, 0.5, 14]) == 0.0


def test_contrast_ratio_of_clear_and_opaque():
    ratios = contrast_ratio([[0.0, 0.0, 0.0], [40.0, 42.0, 38.0]], [[80.0, 84.0, 90.0], [40.0, 42.0, 38.0]])
    np.testing.assert_array_equal(ratios, [0.0, 1.0])


@pytest.mark.parametrize(("lab", "index"), [((80, 0, 20), 18.880), ((75, 1.5, 18), 15.039)])
def test_whiteness_worked_values(lab, index):
    """Computed from the coefficients, which are from memory."""
    assert wi_d(np.array(lab, dtype=float)) == pytest.approx(index, abs=5e-4)


def test_whiteness_takes_the_spectrum_under_d65_and_2_degrees():
    lab = spectrum_to_lab(tooth(BY_5), BY_5, illuminant="D65", observer=2)
    assert whiteness_wi_d(tooth(BY_5), BY_5) == wi_d(lab)
    assert whiteness_wi_d(np.ones(31), WAVELENGTHS) == pytest.approx(51.1, abs=1e-6)
    assert delta_e_2000(lab, [79.2832, -1.3693, 21.1227]) < 0.01


@pytest.mark.parametrize(("light", "observer"), [("D65", 10), ("D50", 2)])
def test_whiteness_under_any_other_view_is_refused(light, observer):
    with pytest.raises(ConditionsError, match="defined for D65, 2° only"):
        whiteness_wi_d(np.ones(31), WAVELENGTHS, illuminant=light, observer=observer)
