from __future__ import annotations

import numpy as np
import pytest

from stainbook.colour import WAVELENGTHS, adapt_lab, delta_e_2000, spectrum_to_lab
from stainbook.errors import ConditionsError, UnknownNameError
from stainbook.records import Viewing
from tests.colour.test_recovery import ceramics, gums

HERE = Viewing("D65", 2)


@pytest.mark.parametrize(
    ("family", "tissue", "target", "rms"),
    [
        (ceramics, "tooth", Viewing("D65", 10), 0.40),
        (ceramics, "tooth", Viewing("A", 2), 0.55),
        (gums, "gingiva", Viewing("D65", 10), 1.0),
        (gums, "gingiva", Viewing("D50", 2), 0.6),
    ],
)
def test_other_lights_and_the_claimed_doubt(family, tissue, target, rms):
    curves = family(np.random.default_rng(41), 200)
    here, there = (
        spectrum_to_lab(curves, WAVELENGTHS, illuminant=view.illuminant, observer=view.observer)
        for view in (HERE, target)
    )
    adapted = adapt_lab(here, HERE, target, tissue=tissue)
    dE = delta_e_2000(adapted.lab, there)
    assert np.sqrt(np.mean(dE**2)) < rms
    assert np.mean(dE <= 2.0 * adapted.sigma) >= 0.92  # two sigma hold 95 of 100 when one direction rules
    assert np.mean(dE <= 0.05 * adapted.sigma) < 0.5  # and the doubt is of the errors' size


def test_the_same_view_changes_nothing():
    adapted = adapt_lab([[70, 1, 18]], Viewing("FL2", 10), Viewing("f2", 10))
    np.testing.assert_array_equal(adapted.lab, [[70, 1, 18]])
    np.testing.assert_array_equal(adapted.sigma, [0.0])


def test_white_stays_white():
    adapted = adapt_lab([100, 0, 0], HERE, Viewing("A", 10), tissue="tooth")
    assert delta_e_2000(adapted.lab, [100, 0, 0]) < 0.3  # the prior's curves bend a little below their ceiling


@pytest.mark.parametrize(("source", "target"), [(Viewing("unknown", 0), HERE), (HERE, Viewing("D65", 0))])
def test_an_instruments_own_scale_is_refused(source, target):
    with pytest.raises(ConditionsError, match="own scale"):
        adapt_lab([70, 1, 18], source, target)


def test_an_unknown_light_is_refused():
    with pytest.raises(UnknownNameError):
        adapt_lab([70, 1, 18], HERE, Viewing("D66", 2))
