"""The order of moves: by the sieve, whatever order they come in."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stainbook.match.rank import CHANCE_TIE, DIFFERENCE_TIE, FIRINGS_TIE, effort, first_of, ranked
from stainbook.records import Layer, Layers, Pot

ROUNDING = 1e-9  # of sums of hundredths
ONE = (Layer(Pot.of({"husk": 0.25}), 1),)
TWO = (Layer(Pot.of({"husk": 0.25}), 1), Layer(Pot.of({"teasel": 0.5}), 2))


@dataclass(frozen=True)
class Odds:
    accept_within: float
    firings: float
    dE00: float
    layers: Layers = ONE


@st.composite
def moves(draw: st.DrawFn) -> list[Odds]:
    chance = st.integers(0, 100).map(lambda n: n / 100)
    firings = st.integers(100, 200).map(lambda n: n / 100)
    difference = st.integers(0, 60).map(lambda n: n / 20)
    one = st.builds(Odds, chance, firings, difference, st.sampled_from([(), ONE, TWO]))
    return draw(st.lists(one, min_size=1, max_size=12, unique=True))


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        (Odds(0.90, 1.9, 2.0, TWO), Odds(0.87, 1.0, 0.1)),  # the chance comes first
        (Odds(0.88, 1.1, 2.0, TWO), Odds(0.90, 1.2, 0.1)),  # a tie of chance: fewer firings
        (Odds(0.88, 1.14, 0.5, TWO), Odds(0.90, 1.1, 0.8)),  # a tie of both: less ΔE00
        (Odds(0.88, 1.14, 0.6, ONE), Odds(0.90, 1.1, 0.5, TWO)),  # a tie of all three: the simpler one
        (Odds(0.90, 1.1, 0.4, ONE), Odds(0.90, 1.1, 0.5, ONE)),  # nothing else between them: less ΔE00
    ],
)
def test_each_criterion_decides_once_those_before_it_tie(better, worse):
    assert ranked([worse, better]) == [better, worse]


@settings(deadline=None)
@given(moves(), st.randoms(use_true_random=False))
def test_order_does_not_depend_on_how_moves_come_in(given_moves, random):
    shuffled = list(given_moves)
    random.shuffle(shuffled)
    assert ranked(shuffled) == ranked(given_moves)


@settings(deadline=None)
@given(moves())
def test_each_place_is_held_by_one_that_nothing_after_it_beats_beyond_a_tie(given_moves):
    order = ranked(given_moves)
    assert sorted(order, key=repr) == sorted(given_moves, key=repr)
    for place, one in enumerate(order):
        rest = order[place:]
        assert one.accept_within >= max(m.accept_within for m in rest) - CHANCE_TIE - ROUNDING
        tied = [m for m in rest if m.accept_within >= max(m.accept_within for m in rest) - CHANCE_TIE - ROUNDING]
        assert one.firings <= min(m.firings for m in tied) + FIRINGS_TIE + ROUNDING
        tied = [m for m in tied if m.firings <= min(m.firings for m in tied) + FIRINGS_TIE + ROUNDING]
        assert one.dE00 <= min(m.dE00 for m in tied) + DIFFERENCE_TIE + ROUNDING


def test_effort_counts_layers_then_mixes_then_coats():
    same_pot = (ONE[0], ONE[0])
    assert effort(()) < effort(ONE) < effort(same_pot) < effort(TWO)


def test_first_of_one_is_that_one():
    only = Odds(0.1, 2.0, 3.0)
    assert first_of([only]) is only
