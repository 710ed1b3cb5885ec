"""The space of a target, where length is ΔE00."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stainbook.colour import WAVELENGTHS, delta_e_2000, spectrum_to_lab
from stainbook.match.frame import frame_of
from stainbook.records import Viewing
from tests.match.lab import tooth

TARGET = (70.0, 2.0, 18.0)


@pytest.mark.parametrize("viewing", [Viewing(), Viewing("A", 2), Viewing("F11", 10)])
def test_spectra_have_the_colour_that_they_have_elsewhere(viewing):
    frame = frame_of(TARGET, viewing, offset=(0.2, -0.1, 0.3))
    plain = spectrum_to_lab(tooth(), WAVELENGTHS, illuminant=viewing.illuminant, observer=viewing.observer)
    np.testing.assert_allclose(frame.lab(frame.ln_xyz(tooth())), plain + frame.offset, rtol=0, atol=1e-9)


@settings(deadline=None)
@given(st.tuples(*[st.floats(-6.0, 6.0)] * 3))
def test_the_length_of_a_step_is_the_true_difference(shift):
    frame, lab = frame_of(TARGET, Viewing()), np.array(TARGET) + shift
    assert np.linalg.norm(frame.steps(lab)) == pytest.approx(delta_e_2000(lab, TARGET), abs=1e-6)


def test_small_shifts_of_ln_xyz_have_the_length_of_their_difference():
    frame = frame_of(TARGET, Viewing(), offset=(0.5, 0.0, 0.0))
    shift = 0.004 * np.random.default_rng(3).standard_normal((50, 3))
    goal = frame.ln_of_target()
    true = delta_e_2000(frame.lab(goal + shift), frame.lab(goal))
    # the map is the derivative at the target: steps of 0.3 ΔE00 bend it by a few parts in a hundred
    np.testing.assert_allclose(np.linalg.norm(shift @ frame.of_ln, axis=1), true, rtol=0.05)
    np.testing.assert_allclose(frame.lab(goal), TARGET, rtol=0, atol=1e-9)
