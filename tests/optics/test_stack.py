"""Painted layers as arrays: which stain, which share, which coats, and what becomes of clear glaze."""

import numpy as np
import pytest

from stainbook.optics.stack import stack_of
from stainbook.records import Layer, Pot

NAMES = ("husk", "teasel", "clear")


def layer(coats=1, firings=1, **shares):
    return Layer(Pot.of(shares), coats, firings=firings)


def test_shares_and_padding():
    stack = stack_of([(layer(husk=0.25), layer(2, teasel=0.5)), (), (layer(3, 4),)], NAMES)
    assert stack.layers == 2
    np.testing.assert_array_equal(stack.coats, [[1, 2], [0, 0], [3, 0]])
    np.testing.assert_array_equal(stack.firings, [[1, 1], [1, 1], [4, 1]])
    np.testing.assert_array_equal(stack.share[0], [[0.25, 0, 0.75], [0, 0.5, 0.5]])
    np.testing.assert_array_equal(stack.share[2], [[1, 0, 0], [0, 0, 0]])
    np.testing.assert_array_equal(stack.stain[0], [0, 1, 2])
    assert stack.stain[2, 0] == 2


def test_clear_glaze_is_left_out_where_nothing_is_known_of_it():
    stack = stack_of([(layer(husk=0.25),)], ("husk",))
    np.testing.assert_array_equal(stack.share, [[[0.25]]])


def test_an_unknown_stain_is_a_key_error():
    with pytest.raises(KeyError, match="flour"):
        stack_of([(layer(flour=1.0),)], NAMES)


def test_taking_rows():
    stack = stack_of([(layer(husk=1.0),), (layer(teasel=1.0),)], NAMES).take(np.array([1]))
    assert stack.stain.tolist() == [[1]]
