"""Bench talk."""

from __future__ import annotations

import numpy as np
import pytest

from stainbook.match.talk import coating, hue_towards, mix, remainder, shift
from stainbook.records import Layer, Pot

TOOTH = np.array([72.0, 2.0, 20.0])


@pytest.mark.parametrize(
    ("shares", "words"),
    [
        ({"husk": 1 / 8}, "1 part husk + 7 parts clear"),
        ({"husk": 1 / 8, "teasel": 1 / 4}, "1 part husk + 2 parts teasel + 5 parts clear"),
        ({"husk": 0.5, "teasel": 0.5}, "1 part husk + 1 part teasel"),
        ({"husk": 0.5}, "1 part husk + 1 part clear"),
        ({"husk": 1.0}, "husk undiluted"),
        ({"husk": 1 / 3}, "1 part husk + 2 parts clear"),
        ({}, "clear undiluted"),
        ({"husk": 0.123}, "0.123 of husk + 0.877 of clear"),
    ],
)
def test_a_mix_is_told_in_parts(shares, words):
    assert mix(Pot.of(shares)) == words


def test_layers_are_told_bottom_first():
    layers = (Layer(Pot.of({"husk": 0.125}), 2), Layer(Pot.of({"teasel": 0.5}), 1))
    words = "two coats of 1 part husk + 7 parts clear, dried, then one coat of 1 part teasel + 1 part clear"
    assert coating(layers) == words


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
    assert shift(TOOTH, TOOTH + change, many=False) == words


def test_several_coats_take_the_plural():
    after = TOOTH + np.array([-3.0, 0.3, 3.0])
    assert shift(TOOTH, after, many=True) == "take value down a little and add a little chroma"


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
    assert remainder(TOOTH + left, TOOTH, 0.8) == words


@pytest.mark.parametrize(
    ("hue", "towards_higher", "towards_lower"),
    [
        (45.0, "yellow", "red"),
        (85.0, "green", "red"),
        (120.0, "green", "yellow"),
        (355.0, "yellow", "blue"),
        (5.0, "yellow", "blue"),
    ],
)
def test_hues_turn_towards_the_next_one(hue, towards_higher, towards_lower):
    lab = np.array([60.0, 20.0 * np.cos(np.radians(hue)), 20.0 * np.sin(np.radians(hue))])
    assert hue_towards(lab, 1.0) == towards_higher
    assert hue_towards(lab, -1.0) == towards_lower
