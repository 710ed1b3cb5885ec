"""What the search finds against trying everything."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from stainbook.colour import delta_e_2000
from stainbook.match.candidates import stain_sets
from stainbook.match.layer_options import options_of, pots_of
from stainbook.match.moves import try_all
from stainbook.optics.forecast import ForecastRequest
from tests.match.lab import bench_of, lab_of, problem_of, start_of

STAINS = ("teasel", "husk", "slate")
STRENGTHS = (0.0625, 0.25, 0.5)
SHIFTS = ((-3.0, 0.5, 3.0), (-5.0, 1.0, 6.0), (-4.0, 0.0, 0.0), (-8.0, 3.0, 9.0))


def every_stack(options, layers):
    return [stack for depth in range(1, layers + 1) for stack in product(options.layers, repeat=depth)]


@pytest.mark.parametrize("surface", ["glazed", "matt"])
@pytest.mark.parametrize("shift", SHIFTS)
def test_two_layers_come_as_close_as_trying_all_pairs(surface, shift):
    bench, start = bench_of(STAINS, layers=2, coats=2, strengths=STRENGTHS), start_of(surface=surface)
    options = options_of(list(pots_of(STAINS, STRENGTHS)), 2)
    problem = problem_of(shift, start=start)
    field = try_all(bench, [problem], options)[0]
    stacks = every_stack(options, 2)
    readings = bench.forecasts(
        [ForecastRequest(start, s, True, "z", field.frame.weights) for s in stacks]
    ).ln_reflectance
    best = delta_e_2000(lab_of(np.exp(readings)), problem.target).min()
    # odds count more than the last tenths: a short list of the likeliest may miss the closest by so much
    assert min(one.point for one in field.adds) <= best + 0.2


def test_three_layers_reach_what_two_cannot():
    stains = ("teasel", "husk")
    shift = (-22.0, 6.0, 14.0)
    options = options_of(list(pots_of(stains, (0.5, 1.0))), 1)
    closest = {}
    for layers in (1, 2, 3):
        bench = bench_of(stains, layers=layers, coats=1)
        closest[layers] = min(one.point for one in try_all(bench, [problem_of(shift)], options)[0].adds)
    assert closest[3] < closest[2] < closest[1]


def test_limits_are_kept():
    bench = bench_of(layers=2, coats=2)
    options = options_of(list(pots_of(bench.stains, (0.25, 0.5))), 2)
    problem = problem_of((-4.0, 1.0, 4.0), firings_of={"husk": 0})
    for one in try_all(bench, [problem], options)[0].adds:
        assert len(one.layers) <= 2
        assert all(layer.coats <= 2 and layer.pot.clear > -1e-9 for layer in one.layers)
        assert all("husk" not in layer.pot.stains for layer in one.layers)


def test_short_list_is_not_all_of_the_same_stains():
    bench = bench_of(layers=2, coats=3)
    options = options_of(list(pots_of(bench.stains, (0.0625, 0.125, 0.25, 0.5, 1.0))), 3)
    field = try_all(bench, [problem_of((-4.0, 1.0, 4.0))], options)[0]
    sets = [frozenset(name for layer in one.layers for name in layer.pot.stains) for one in field.adds]
    assert max(sets.count(one) for one in sets) <= 3
    assert len({one.layers for one in field.adds}) == len(field.adds)


def test_stain_sets_do_not_see_layers_or_shares():
    options = options_of(list(pots_of(("husk", "teasel"), (0.25, 0.5))), 1)
    both = next(i for i, one in enumerate(options.layers) if len(one.pot.stains) == 2)
    teasel = next(i for i, one in enumerate(options.layers) if one.pot.stains == ("teasel",))
    husk = next(i for i, one in enumerate(options.layers) if one.pot.stains == ("husk",))
    sets = stain_sets(options, np.array([[both, -1], [teasel, husk], [husk, both], [husk, husk], [husk, -1]]))
    assert sets[0] == sets[1] == sets[2] != sets[3] == sets[4]


def test_nothing_to_lay_on_leaves_an_empty_short_list():
    bench = bench_of(("husk",), layers=3)
    options = options_of(list(pots_of(("husk",), (0.5,))), 1)
    field = try_all(bench, [problem_of((-4.0, 0.0, 0.0), firings_of={"husk": 0})], options)[0]
    assert field.adds == ()
    assert field.leave.accept == field.leave.accept_within


def test_zones_do_not_disturb_each_other():
    bench = bench_of(layers=2)
    options = options_of(list(pots_of(bench.stains, (0.25, 0.5))), 2)
    one = problem_of((-4.0, 1.0, 4.0))
    matt = problem_of((-3.0, 0.0, 4.0), key=(21, "middle"), start=start_of(surface="matt", name="21"))
    gum = replace(problem_of((-9.0, 9.0, 4.0), key=(21, "margin"), tissue="gingiva"))
    alone, together = try_all(bench, [one], options)[0], try_all(bench, [matt, one, gum], options)[1]
    assert {move.layers for move in alone.adds} == {move.layers for move in together.adds}
