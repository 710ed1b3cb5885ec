"""All that one layer can be."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from stainbook.match.layer_options import options_of, pots_of, pots_used
from stainbook.records import DEFAULT_SHARES

STAINS = tuple(f"stain-{i:02d}" for i in range(14))


def test_fourteen_stains_in_five_shares_make_these_many_pots():
    pots = list(pots_of(STAINS, DEFAULT_SHARES))
    pairs = 16  # of the 25 pairs of shares, 9 hold a full one and sum to more than 1
    assert len(pots) == 14 * 5 + 14 * 13 // 2 * pairs
    assert len(set(pots)) == len(pots)


@settings(deadline=None)
@given(st.lists(st.floats(0.01, 1.0), min_size=1, max_size=5, unique=True))
def test_no_pot_holds_more_than_itself(strengths):
    assert all(sum(share for _, share in pot.shares) <= 1.0 + 1e-6 for pot in pots_of(STAINS[:3], strengths))


def test_no_pot_holds_two_stains_that_are_kept_apart():
    apart = frozenset({frozenset({STAINS[0], STAINS[1]})})
    free, held = (set(pots_of(STAINS[:3], (0.25, 0.5), one)) for one in (frozenset(), apart))
    assert {pot.stains for pot in free - held} == {(STAINS[0], STAINS[1])}
    assert held < free


def test_every_pot_comes_in_every_number_of_coats():
    options = options_of(list(pots_of(("husk", "teasel"), (0.25, 0.5))), 3)
    assert len(options) == 3 * (2 * 2 + 4)
    assert set(options.coats) == {1.0, 2.0, 3.0}


def test_a_forbidden_stain_forbids_the_pots_that_hold_it():
    options = options_of(list(pots_of(("husk", "teasel"), (0.25,))), 1)
    names = [one.pot.stains for one, on in zip(options.layers, options.allowed(["husk"]), strict=True) if on]
    assert names == [("teasel",)]


def test_a_row_of_indices_is_a_stack_bottom_first():
    options = options_of(list(pots_of(("husk",), (0.25, 0.5))), 1)
    assert options.stack(np.array([1, 0, -1])) == (options.layers[1], options.layers[0])


def test_pots_used_are_each_told_once():
    one, other = list(pots_of(("husk", "teasel"), (0.25,)))[:2]
    assert pots_used([[other, one], [other], []]) == tuple(sorted((one, other), key=lambda pot: pot.shares))
