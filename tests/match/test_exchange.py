"""Few mixes for all zones: close to the best where all can be tried, and each worth its place."""

from __future__ import annotations

from itertools import combinations, product

import numpy as np
import pytest

from stainbook.match.few_mixes import Served, each_alone, palettes, served_of
from stainbook.match.layer_options import Options, options_of, pots_of
from stainbook.match.moves import ready_for, searches_of
from stainbook.records import Layer, Pot
from tests.match.lab import bench_of, problem_of

STAINS = ("teasel", "husk", "rosehip")
SHARES = (0.125, 0.5)
SHIFTS = ((-3.0, 0.5, 6.0), (-6.0, 3.0, 9.0), (-4.0, 4.0, 2.0), (-9.0, 5.0, 14.0), (-1.5, 0.3, 3.0))


def asked(layers: int, *, hopeless: bool = False) -> tuple[list[Served], Options]:
    bench = bench_of(STAINS, strengths=SHARES, layers=layers)
    problems = [problem_of(shift, key=(11 + i, "middle")) for i, shift in enumerate(SHIFTS)]
    if hopeless:
        problems.append(problem_of((15.0, 0.0, 0.0), key=(21, "middle")))
    options = options_of(list(pots_of(STAINS, SHARES)), 2)
    lost = [False] * len(SHIFTS) + [True] * hopeless
    return served_of(searches_of(ready_for(bench, problems, options)), lost), options


def few(zones: list[Served], options: Options, most: int, layers: int) -> list[tuple[Pot, ...]]:
    """The best palettes of one, two, … mixes, each zone for itself."""
    return [some[0].pots for some in palettes(each_alone(zones), options, most=most, layers=layers)]


def worth(zones: list[Served], options: Options, pots: tuple[Pot, ...], layers: int) -> float:
    """All stacks of these pots on every zone, one by one."""
    own = [i for i, layer in enumerate(options.layers) if layer.pot in pots]
    rows = [(i, -1) for i in own] + ([(i, j) for i in own for j in own] if layers > 1 else [])
    if not rows:
        return sum(zone.left for zone in zones)
    return sum(max(zone.left, float(zone.worth(np.array(rows)).max())) for zone in zones)


def some_pots(options: Options) -> list[Pot]:
    return sorted({layer.pot for layer in options.layers}, key=lambda pot: pot.shares)


@pytest.mark.parametrize("layers", [1, 2])
def test_no_exchange_of_one_mix_helps(layers):
    zones, options = asked(layers)
    for pots in few(zones, options, 3, layers):
        found = worth(zones, options, pots, layers)
        others = (
            (*pots[:i], other, *pots[i + 1 :])
            for i, other in product(range(len(pots)), some_pots(options))
            if other not in pots
        )
        assert all(worth(zones, options, other, layers) <= found + 1e-3 for other in others)


@pytest.mark.parametrize("layers", [1, 2])
def test_two_mixes_are_close_to_the_best_two(layers):
    zones, options = asked(layers)
    *_, pots = few(zones, options, 2, layers)
    best = max(worth(zones, options, two, layers) for two in combinations(some_pots(options), 2))
    assert worth(zones, options, pots, layers) >= best - 0.1  # in logarithms of chance


def test_each_palette_is_worth_more_than_the_smaller_ones_and_holds_no_mix_twice():
    zones, options = asked(2)
    found = few(zones, options, 5, 2)
    assert [len(set(pots)) for pots in found] == list(range(1, len(found) + 1))
    values = [worth(zones, options, pots, 2) for pots in found]
    assert len(values) > 2
    assert values == sorted(values)


def test_two_layers_of_plain_mixes_are_seen_together():
    """What two layers reach together counts, also where neither helps much alone."""
    zones, options = asked(2)
    *_, single = few(zones, options, 2, 1)
    *_, double = few(zones, options, 2, 2)
    assert worth(zones, options, double, 2) >= worth(zones, options, single, 2)


def test_a_zone_out_of_reach_takes_no_mix_from_the_others():
    zones, options = asked(1, hopeless=True)
    *_, pots = few(zones, options, 2, 1)
    *_, without = few(zones[:-1], options, 2, 1)
    assert worth(zones[:-1], options, pots, 1) == pytest.approx(worth(zones[:-1], options, without, 1), abs=0.05)


def test_nothing_is_mixed_for_zones_that_are_there():
    bench = bench_of(STAINS, strengths=SHARES)
    options = options_of(list(pots_of(STAINS, SHARES)), 2)
    zones = served_of(searches_of(ready_for(bench, [problem_of((0.0, 0.0, 0.0))], options)), [False])
    assert few(zones, options, 4, 1) == []


def test_what_may_not_be_laid_on_is_worth_nothing():
    bench = bench_of(STAINS, strengths=SHARES, layers=2)
    options = options_of(list(pots_of(STAINS, SHARES)), 2)
    problem = problem_of(SHIFTS[1], firings_of={"husk": 0})
    (zone,) = served_of(searches_of(ready_for(bench, [problem], options)), [False])
    husk = options.layers.index(Layer(Pot.of({"husk": 0.5}), 1))
    teasel = options.layers.index(Layer(Pot.of({"teasel": 0.5}), 1))
    found = zone.worth(np.array([(teasel, husk), (husk, -1), (teasel, -1)]))
    assert np.isneginf(found).tolist() == [True, True, False]


def test_a_mix_of_the_other_tissue_is_not_taken():
    zones, options = asked(2)
    kinds = each_alone(zones)
    first = palettes(kinds, options, most=2, layers=2)[-1][0].pots
    other = palettes(kinds, options, most=2, layers=2, barred=first)[-1][0].pots
    assert not set(first) & set(other)


def test_zones_that_are_one_question_are_searched_and_served_once():
    bench = bench_of(STAINS, strengths=SHARES, layers=2)
    options = options_of(list(pots_of(STAINS, SHARES)), 2)
    shifts = (SHIFTS[0], SHIFTS[0], SHIFTS[1])
    problems = [problem_of(shift, key=(11 + i, "middle")) for i, shift in enumerate(shifts)]
    ready = ready_for(bench, problems, options)
    first, same, other = (ready.searches[i][0] for i in range(3))
    assert first is same
    assert first is not other
    served = served_of(searches_of(ready), [False, False, False])
    assert served[0] is served[1] is not served[2]
    lost = served_of(searches_of(ready), [False, True, False])
    assert lost[0] is not lost[1]
    each = [served_of(searches_of(ready_for(bench, [one], options)), [False])[0] for one in problems]
    rows = np.array([(0, -1), (1, 0), (2, 3)])
    for together, alone in zip(served, each, strict=True):
        assert together.worth(rows).tolist() == alone.worth(rows).tolist()
