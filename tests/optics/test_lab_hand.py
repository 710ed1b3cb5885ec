"""The scatter of the hand that painted a lab's stripes: drawn towards the usual one, but not against plain evidence."""

import numpy as np
import pytest

from stainbook.optics.calibrate import calibrate
from stainbook.optics.curves import HAND_SD
from stainbook.optics.lab_hand import lab_hand
from stainbook.records import Stain
from tests.optics.painted import fired, stripes, true_numbers

NAMES = ("husk", "straw", "teasel", "bran")


def found(hand, seed, names=NAMES):
    stains = {name: Stain(name, "surface", None) for name in names}
    made = [
        chip
        for i, name in enumerate(names, 1)
        for chip in fired(stripes(name), {name: true_numbers(i)}, hand=hand, noise=0.002, seed=10 * seed + i)
    ]
    return calibrate(made, stains).optics.pooled.hand


def test_a_hand_that_painted_nothing_is_as_usual():
    assert lab_hand([], [], 0.3) == HAND_SD


@pytest.mark.parametrize(("hand", "low", "high"), [(0.06, 0.04, 0.09), (0.12, 0.08, 0.15), (0.30, 0.19, 0.36)])
def test_a_hand_is_found_from_28_layers(hand, low, high):
    """The mean of two labs."""
    assert low < np.mean([found(hand, seed) for seed in (1, 2)]) < high


def test_few_layers_leave_a_hand_near_the_usual():
    many, few = (abs(np.log(np.mean([found(0.3, s, NAMES[:n]) for s in (1, 2)]) / HAND_SD)) for n in (4, 1))
    assert few < many
