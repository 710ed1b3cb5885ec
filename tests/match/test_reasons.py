"""Reasons as data, and the sentences that are made of them."""

from __future__ import annotations

import numpy as np
import pytest

from stainbook.match.reasons import shift_of
from stainbook.words.sentences import effect, ending

TOOTH = np.array([72.0, 2.0, 20.0])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ((-2.0, 0.0, 0.0), "takes value down a little"),
        ((-6.0, 0.0, 0.0), "takes value down"),
        ((-12.0, 0.0, 0.0), "takes value down a lot"),
        ((0.6, 0.0, 0.0), "lifts value a touch"),
        ((0.0, 0.2, 2.5), "adds a little chroma"),
        ((0.0, 2.0, -0.2), "turns hue a little towards red"),
        ((0.0, 0.0, 0.0), "hardly changes the colour"),
    ],
)
def test_a_shift_is_value_chroma_and_hue(change, words):
    assert effect(shift_of(TOOTH + change, TOOTH), many=False) == words


def test_several_coats_take_the_plural():
    after = TOOTH + np.array([-3.0, 0.3, 3.0])
    assert effect(shift_of(after, TOOTH), many=True) == "take value down a little and add a little chroma"


@pytest.mark.parametrize(
    ("left", "words"),
    [
        ((0.1, 0.0, 0.0), "ends on the target"),
        ((-0.9, 0.0, 0.0), "stays slightly too dark"),
        ((2.5, 0.0, 0.0), "stays too light"),
        ((9.0, 0.0, 0.0), "stays far too light"),
        ((0.0, 1.0, 0.0), "stays slightly too red"),
        ((0.0, -0.4, -3.5), "stays too weak in chroma"),
    ],
)
def test_what_is_left_names_its_largest_part(left, words):
    assert ending(shift_of(TOOTH + left, TOOTH), 0.8) == words
