"""The firings after a miss."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from stainbook.match.layer_options import options_of, pots_of
from stainbook.match.moves import try_all
from tests.match.lab import bench_of, problem_of, start_of

DARKENING = ("teasel", "husk", "slate")


def field_of(shift, *, stains=DARKENING, firings_left=2, surface="glazed", **case):
    bench = bench_of(stains, firings_left=firings_left, layers=1, coats=2)
    options = options_of(list(pots_of(stains, bench.limits.strengths)), 2)
    return try_all(bench, [problem_of(shift, start=start_of(surface=surface), **case)], options)[0]


def test_what_is_too_pale_can_still_be_put_right_and_what_is_too_dark_hardly():
    field = field_of((-6.0, 1.0, 4.0))
    missed = [one for one in field.adds if one.point > 1.8]
    pale = [one for one in missed if one.lab[0] > field.problem.target[0] + 2.0]
    dark = [one for one in missed if one.lab[0] < field.problem.target[0] - 2.0]
    every = options_of(list(pots_of(DARKENING, (0.0625, 0.25, 1.0))), 2)
    bench = bench_of(DARKENING, firings_left=2)
    wide = try_all(bench, [problem_of((-6.0, 1.0, 4.0))], every, short=len(every))[0]
    pale += [one for one in wide.adds if one.lab[0] > field.problem.target[0] + 2.0]
    dark += [one for one in wide.adds if one.lab[0] < field.problem.target[0] - 2.0]
    assert max(one.accept_within for one in pale) > 0.9
    assert max(one.accept_within for one in dark) < 0.3


def test_a_white_stain_brings_some_of_it_back():
    shift = (6.0, 0.0, -2.0)
    without, having = field_of(shift), field_of(shift, stains=(*DARKENING, "flour"))
    assert having.leave.point == pytest.approx(without.leave.point)
    best = max(one.accept_within for one in having.adds)
    assert best > max(one.accept_within for one in without.adds) + 0.2


@pytest.mark.parametrize("surface", ["glazed", "matt"])
def test_more_firings_never_make_it_less_likely(surface):
    chances = []
    for left in (1, 2, 3, 4):
        field = field_of((-6.0, 1.0, 4.0), firings_left=left, surface=surface)
        chances.append(max(one.accept_within for one in field.adds))
        for one in field.adds:
            assert one.accept - 1e-12 <= one.accept_within <= 1.0 + 1e-12
            assert 1.0 <= one.firings <= left + 1e-9
    assert all(b >= a - 0.01 for a, b in pairwise(chances))


def test_the_last_firing_leaves_nothing_to_correct():
    for one in field_of((-6.0, 1.0, 4.0), firings_left=1).adds:
        assert one.accept_within == one.accept
        assert one.firings == 1.0


def test_a_maker_s_last_firing_is_the_last_one():
    field = field_of((-6.0, 1.0, 4.0), firings_left=3, firings_of={"husk": 1})
    with_husk = [one for one in field.adds if any("husk" in layer.pot.stains for layer in one.layers)]
    assert with_husk
    assert all(one.accept_within == one.accept for one in with_husk)


def test_leaving_a_glazed_piece_costs_no_firing_and_a_bare_one_its_glaze():
    assert field_of((-6.0, 1.0, 4.0)).leave.firings == 0.0
    assert field_of((-6.0, 1.0, 4.0), surface="matt").leave.firings > 1.0


def test_expected_firings_count_every_miss():
    for one in field_of((-6.0, 1.0, 4.0)).adds:
        assert one.firings == pytest.approx(2.0 - one.accept, abs=1e-9)
        assert np.all((one.within == 1.0) == one.hits) or one.accept_within > one.accept
