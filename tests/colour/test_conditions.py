from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from stainbook.colour import WAVELENGTHS, apply_ratio, delta_e_2000, resample, spectrum_to_lab
from stainbook.errors import InputError
from tests.colour.curves import gum, tooth
from tests.colour.strategies import REFLECTANCE

RANGES = st.sampled_from([(360, 780, 5), (380, 730, 10), (400, 700, 10), (395, 705, 10), (400, 700, 20)])


@given(REFLECTANCE)
def test_what_is_on_the_wavelengths_already_stays(reflectance):
    np.testing.assert_array_equal(resample(reflectance, WAVELENGTHS), reflectance)


@pytest.mark.parametrize("nm", [np.arange(360.0, 781.0, 5.0), np.arange(380.0, 731.0, 10.0)])
def test_measured_ordinates_are_kept(nm):
    np.testing.assert_array_equal(resample(gum(nm), nm), gum(nm)[np.isin(nm, WAVELENGTHS)])


def test_twenty_nm_are_filled_smoothly():
    nm = np.arange(400.0, 701.0, 20.0)
    filled = resample(tooth(nm), nm)
    # Half a per cent of the reflectance at most: the tooth's rise is 45 nm wide.
    np.testing.assert_allclose(filled, tooth(WAVELENGTHS), rtol=0.002, atol=0)


@given(RANGES)
def test_no_stain_is_exactly_no_change(shape):
    nm = np.arange(shape[0], shape[1] + 1.0, shape[2])
    np.testing.assert_array_equal(apply_ratio(gum(nm), nm, np.ones(31)), gum(nm))


@given(hnp.arrays(float, 31, elements=st.floats(0.2, 1.2)))
def test_on_the_wavelengths_it_is_the_plain_product(ratio):
    np.testing.assert_allclose(apply_ratio(np.full(31, 0.5), WAVELENGTHS, ratio), 0.5 * ratio, rtol=0, atol=1e-15)


def test_the_ends_of_the_ratio_are_held():
    nm = np.arange(360.0, 781.0, 10.0)
    changed = apply_ratio(np.ones(nm.size), nm, np.linspace(0.5, 0.9, 31))
    np.testing.assert_allclose(changed[nm <= 400], 0.5, rtol=0, atol=1e-12)
    np.testing.assert_allclose(changed[nm >= 700], 0.9, rtol=0, atol=1e-12)


def test_wider_and_finer_data_meet_the_true_colour():
    fine, stain = np.arange(360.0, 781.0, 5.0), lambda nm: np.exp(-0.4 / (1 + np.exp((nm - 520) / 30)))
    predicted = spectrum_to_lab(apply_ratio(gum(fine), fine, stain(WAVELENGTHS)), fine, illuminant="D65", observer=10)
    true = spectrum_to_lab(gum(fine) * stain(fine), fine, illuminant="D65", observer=10)
    assert delta_e_2000(predicted, true) < 0.005


def test_many_ratios_at_once():
    ratios = np.random.default_rng(2).uniform(0.5, 1.0, (4, 5, 31))
    assert apply_ratio(tooth(WAVELENGTHS), WAVELENGTHS, ratios).shape == (4, 5, 31)


def test_a_ratio_on_other_wavelengths_is_refused():
    with pytest.raises(InputError, match="400-700 nm by 10 nm"):
        apply_ratio(np.ones(36), np.arange(380.0, 731.0, 10.0), np.ones(36))
