"""Few mixes for many zones."""

from __future__ import annotations

import numpy as np

from stainbook.match.options import options_of
from stainbook.match.palette import choose_pots, pots_used
from stainbook.records import Pot

POTS = [Pot.of({name: 0.25}) for name in ("husk", "slate", "straw")]
OPTIONS = options_of(POTS, 2)


def scores(*rows):
    """One score a pot, the same for each number of coats but for a little."""
    return np.array([[value - 0.01 * coat for value in row for coat in (0, 1)] for row in rows])


def test_the_pot_that_helps_most_comes_first():
    chosen = choose_pots(scores((0.9, 0.1, 0.2), (0.8, 0.2, 0.9), (0.1, 0.9, 0.0)), np.zeros(3), OPTIONS, 2)
    assert chosen == [POTS[0], POTS[1]]


def test_no_more_than_help():
    assert choose_pots(scores((0.9, 0.1, 0.2)), np.zeros(1), OPTIONS, 3) == [POTS[0]]
    assert choose_pots(scores((0.9, 0.1, 0.2)), np.ones(1), OPTIONS, 3) == []


def test_pots_used_are_each_told_once():
    assert pots_used([[POTS[1], POTS[0]], [POTS[0]], []]) == (POTS[0], POTS[1])
