from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.colour import bandpass_correct, delta_e_2000, spectrum_to_lab
from stainbook.errors import InputError
from tests.colour.curves import gum

EFFECTS = [(10, 0.098, 0.009, 0.01), (20, 0.415, 0.086, 0.05)]


def seen_through_triangles(curve, by):
    """The curve as an instrument sees it whose bandpass is a triangle as wide as its step."""
    fine = np.arange(360 - by, 780.0 + by + 1)
    nm = np.arange(400.0, 701.0, by)
    triangle = np.maximum(0.0, 1 - np.abs(nm[:, None] - fine) / by) / by
    return nm, triangle @ curve(fine)


@pytest.mark.parametrize(("by", "uncorrected", "corrected", "tolerance"), EFFECTS)
def test_effect_on_gum(by, uncorrected, corrected, tolerance):
    """Gum curve, D65/10°; the figures were computed with other sampling of the curve and of the triangle."""
    nm, seen = seen_through_triangles(gum, by)
    true, raw, freed = (
        spectrum_to_lab(r, nm, illuminant="D65", observer=10) for r in (gum(nm), seen, bandpass_correct(seen))
    )
    assert delta_e_2000(raw, true) == pytest.approx(uncorrected, abs=tolerance)
    assert delta_e_2000(freed, true) == pytest.approx(corrected, abs=tolerance)


def test_formula_in_figures():
    """By hand, α = 0.083; colour-science 0.4.7 overwrites each band before its neighbour has used it."""
    corrected = bandpass_correct([0.2, 0.3, 0.5])
    by_hand = [1.083 * 0.2 - 0.083 * 0.3, 1.166 * 0.3 - 0.083 * (0.2 + 0.5), 1.083 * 0.5 - 0.083 * 0.3]
    np.testing.assert_allclose(corrected, by_hand, rtol=0, atol=1e-15)


@given(st.floats(0, 1), st.integers(2, 40))
def test_a_flat_spectrum_stays(level, n):
    np.testing.assert_allclose(bandpass_correct(np.full((2, n), level)), level, rtol=0, atol=1e-15)


def test_twice_is_not_once():
    _, seen = seen_through_triangles(gum, 10)
    once = bandpass_correct(seen)
    assert np.abs(bandpass_correct(once) - once).max() > 1e-3


def test_a_single_band_is_refused():
    with pytest.raises(InputError, match="at least two bands"):
        bandpass_correct([0.5])
