"""A plan looks like one piece: twins alike, one base mix a kind of gum, few coats, one drying, stock first."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from stainbook.match import settling
from stainbook.match.choosing import no_worse
from stainbook.match.few_mixes import Twins, palettes, served_of
from stainbook.match.frame import frame_of
from stainbook.match.judged import Judge
from stainbook.match.layer_options import options_of, pots_of
from stainbook.match.moves import Field, ready_for, searches_of, try_all
from stainbook.match.one_piece import OnePiece, mirror_of
from stainbook.match.plan import Plan, plan_case
from stainbook.match.problem import ZoneProblem
from stainbook.match.settling import roughness
from stainbook.match.watch import UNWATCHED
from stainbook.records import Pot
from tests.match.lab import bench_of, problem_of, start_of

STAINS = ("teasel", "husk", "rosehip", "slate")
SHARES = (0.125, 0.25, 0.5)
THIRDS = {"cervical": (-9.0, 5.0, 14.0), "middle": (-6.0, 3.0, 9.0), "incisal": (-3.0, 0.5, 4.0)}
GUM = {13: (-6.0, 7.0, 3.0), 12: (-8.0, 9.0, 4.0), 11: (-4.0, 5.0, 2.0), 22: (-7.0, 8.0, 5.0)}


def zone(tooth: int, name: str, shift: tuple[float, float, float], *, off: float = 0.0, **more: object) -> ZoneProblem:
    """A zone whose reading is a touch lighter than its twin's."""
    start = start_of(0.55 + off, name=f"{tooth} {name}")
    return problem_of(shift, key=(tooth, name), start=start, **more)  # type: ignore[arg-type]


def arch() -> list[ZoneProblem]:
    teeth = [zone(tooth, name, shift, off=0.002 * (tooth > 20)) for tooth in (13, 23) for name, shift in THIRDS.items()]
    return teeth + [zone(tooth, "attached", shift, tissue="gingiva") for tooth, shift in GUM.items()]


@pytest.fixture(scope="module")
def plan() -> Plan:
    return plan_case(bench_of(STAINS, layers=2, strengths=SHARES), arch(), stage="stained")


def layers_of(plan: Plan, *keys: tuple[int, str]) -> list[object]:
    return [zone.move.layers for zone in plan.zones if zone.key in keys]


def test_twins_take_the_same_layers_though_they_were_read_apart(plan):
    for name in THIRDS:
        left, right = layers_of(plan, (13, name), (23, name))
        assert left == right != ()


def test_gum_of_one_kind_has_one_base_mix_and_none_that_teeth_have(plan):
    gum = {zone.move.layers[0].pot for zone in plan.zones if zone.tissue == "gingiva" and zone.move.layers}
    teeth = {layer.pot for zone in plan.zones if zone.tissue == "tooth" for layer in zone.move.layers}
    every = {layer.pot for zone in plan.zones if zone.tissue == "gingiva" for layer in zone.move.layers}
    assert len(gum) == 1
    assert not every & teeth


def test_four_coats_and_one_drying_are_the_most_unless_the_case_allows_more():
    far = [zone(11, "middle", (-7.0, 3.0, 11.0))]
    bench = bench_of(STAINS, layers=3, coats=3, strengths=SHARES[:1])

    def asked(**limits: int) -> tuple[int, int]:
        found = plan_case(replace(bench, limits=replace(bench.limits, **limits)), far).zones[0].move.layers
        return len(found), sum(layer.coats for layer in found)

    assert asked() == (2, 4)
    assert asked(coats_in_all=9) == (3, 7)
    assert asked(coats_in_all=9, dryings=1)[0] == 2
    assert asked(coats_in_all=3, dryings=0) <= (1, 3)


def test_no_zone_gets_worse_and_what_needs_nothing_gets_nothing(plan):
    assert all(no_worse(one.move, plan_zone_left(one)) for one in plan.zones)
    there = [zone(11, "middle", (-0.4, 0.1, 0.5)), zone(11, "cervical", THIRDS["cervical"])]
    found = plan_case(bench_of(STAINS, layers=2, strengths=SHARES), there)
    assert [bool(one.move.layers) for one in found.zones] == [False, True]


GONE, FAR_OFF = (9.0, -3.0, -6.0), (-14.0, 30.0, -6.0)  # no stain of this lab lightens; one brings the other half way


@pytest.mark.parametrize(("shift", "painted"), [(GONE, False), (FAR_OFF, True)])
def test_gum_that_stain_reaches_nowhere_is_painted_where_a_mix_of_its_own_pays_or_not_at_all(shift, painted):
    gum = [zone(tooth, "attached", shift, tissue="gingiva") for tooth in (13, 12, 11)]
    found = plan_case(bench_of(STAINS, layers=2, strengths=SHARES), arch()[:3] + gum, stage="stained")
    own = [one for one in found.zones if one.tissue == "gingiva"]
    assert {one.verdict for one in own} == {"out of reach"}
    assert {bool(one.move.layers) for one in own} == {painted}
    left = plan_zone_left(own[0]).dE00
    assert all(one.move.dE00 < left - 5.0 for one in own) == painted
    assert found.together.expected == pytest.approx(sum(one.move.accept for one in found.zones))
    teeth = {layer.pot for one in found.zones if one.tissue == "tooth" for layer in one.move.layers}
    assert not teeth & {layer.pot for one in own for layer in one.move.layers}


def plan_zone_left(one: object) -> object:
    (field,) = try_all(bench_of(STAINS), [one.move.problem], None)  # type: ignore[attr-defined]
    return field.leave


def test_a_stock_mix_is_taken_before_one_that_must_be_weighed():
    bench, some = bench_of(STAINS, layers=2, strengths=SHARES), arch()[:3]
    fresh = plan_case(bench, some)
    house = Pot.of({"husk": 0.3, "teasel": 0.2})
    stocked = plan_case(replace(bench, stock={"neck": house, "edge": Pot.of({"teasel": 0.3})}), some)
    assert house not in fresh.pots
    assert set(stocked.pots) & {house, Pot.of({"teasel": 0.3})}
    new = [pot for pot in stocked.pots if pot not in bench_stock(house)]
    assert len(new) <= len(fresh.pots)
    assert stocked.together.counts >= fresh.together.counts - 0.03 * len(fresh.pots)


def test_what_mixes_that_stand_ready_do_in_one_pass_is_told_with_the_minutes_that_they_spare():
    bench, some = bench_of(STAINS, layers=2, strengths=SHARES), arch()[:3]
    assert plan_case(bench, some).at_hand is None
    ready = {"neck": Pot.of({"husk": 0.3, "teasel": 0.2}), "edge": Pot.of({"teasel": 0.3})}
    found = plan_case(replace(bench, stock=ready), some)
    assert found.at_hand is not None
    assert (found.at_hand.fresh, found.at_hand.dryings, found.at_hand.minutes) == (0, 0, 0.0)
    assert found.at_hand.mixes <= 2
    own = found.together
    assert own.fresh == len([pot for pot in found.pots if pot not in ready.values()])
    assert own.dryings == max(len(zone.move.layers) for zone in found.zones) - 1
    assert own.minutes == 3.0 * own.fresh + 9.0 * own.dryings


def test_a_plan_is_of_stock_alone_where_that_serves_as_well():
    bench = bench_of(STAINS, layers=2, strengths=SHARES)
    some = [zone(13, "middle", THIRDS["middle"])]
    (fresh,) = plan_case(bench, some, most=1).zones
    exact = {f"house-{place}": layer.pot for place, layer in enumerate(fresh.move.layers)}
    assert set(plan_case(replace(bench, stock=exact), some, most=2).pots) <= set(exact.values())


def bench_stock(house: Pot) -> set[Pot]:
    return {house, Pot.of({"teasel": 0.3})}


def test_what_is_still_missing_jumps_less_where_that_counts(monkeypatch, plan):
    bench, problems = bench_of(STAINS, layers=2, strengths=SHARES), arch()
    frames = [frame_of(one.target, one.viewing) for one in problems]
    piece = OnePiece.of(problems, frames)
    assert len(piece.neighbours) == 4 + 2

    def jumps(found: Plan) -> float:
        steps = [zone.move for zone in found.zones]
        fields = [Field(*one, steps[0], ()) for one in zip(problems, frames, strict=True)]
        return roughness(fields, piece, steps)

    monkeypatch.setattr(settling, "PER_JUMP", 0.0)
    assert jumps(plan) <= jumps(plan_case(bench, problems, stage="stained"))


@pytest.mark.parametrize(("tooth", "other"), [(13, 23), (21, 11), (36, 46), (55, 65)])
def test_the_tooth_across_the_midline(tooth, other):
    assert mirror_of(tooth) == other


# ---------------------------------------------------------------- against the proven optimum


@pytest.mark.parametrize(("mixes", "layers"), [(2, 1), (3, 1), (2, 2), (3, 2)])
def test_palettes_are_within_a_hundredth_of_the_proven_optimum(mixes, layers):
    """HiGHS on the same question: which mixes, and which stack on each group of twins, at a cost a mix."""
    bench, problems = bench_of(STAINS[:3], strengths=SHARES[:2], layers=layers), arch()[:6]
    options = options_of(list(pots_of(STAINS[:3], SHARES[:2])), 2)
    served = served_of(searches_of(ready_for(bench, problems, options)), [False] * 6)
    kinds = [[Twins(served[i : i + 1])] for i in range(6)]
    found = palettes(kinds, options, most=mixes, layers=layers, cost=0.1)
    best = max(some[0].worth for some in found)
    bound = proven(kinds, options, mixes, layers, 0.1)
    left = sum(kind[0].left for kind in kinds)
    assert best <= bound + 1e-6
    assert best - left >= 0.99 * (bound - left)


def proven(kinds, options, mixes: int, layers: int, cost: float) -> float:
    """The most that so many mixes can be worth, proven by a mixed integer programme."""
    pots = list(dict.fromkeys(layer.pot for layer in options.layers))
    which = np.array([pots.index(layer.pot) for layer in options.layers])
    n = len(options)
    rows = [(i, -1) for i in range(n)] + ([(i, j) for i in range(n) for j in range(n)] if layers > 1 else [])
    stacks = np.array(rows)
    needs = [sorted({int(which[i]) for i in row if i >= 0}) for row in rows]
    worth, unit, need = [], [], []
    for at, kind in enumerate(kinds):
        found = kind[0].worth(stacks)
        each: dict[tuple[int, ...], float] = {(): kind[0].left}
        for value, some in zip(found, needs, strict=True):
            each[tuple(some)] = max(each.get(tuple(some), -np.inf), float(value))
        for some, value in each.items():
            worth.append(value), unit.append(at), need.append(some)
    x, y = len(worth), len(pots)
    once = np.zeros((len(kinds), x + y))
    once[unit, np.arange(x)] = 1.0
    links = [(i, p) for i, some in enumerate(need) for p in some]
    mixed = np.zeros((len(links) + 1, x + y))
    for row, (i, p) in enumerate(links):
        mixed[row, i], mixed[row, x + p] = 1.0, -1.0
    mixed[-1, x:] = 1.0
    upper = np.append(np.zeros(len(links)), mixes)
    rules = [LinearConstraint(once, 1.0, 1.0), LinearConstraint(mixed, -np.inf, upper)]
    found = milp(
        -np.append(worth, np.full(y, -cost)), constraints=rules, integrality=np.ones(x + y), bounds=Bounds(0, 1)
    )
    assert found.success
    return float(-found.fun)


def test_the_plan_is_as_good_as_the_best_of_all_pairs_of_mixes():
    """All pairs of mixes forecast in full and judged: the plan is within a hundredth of the best."""
    bench, problems = bench_of(STAINS[:3], strengths=SHARES, layers=1, pots=2), arch()[1:3]
    options, found = bench.options, plan_case(bench, problems)
    ready = ready_for(bench, problems, options)
    fields = try_all(bench, problems, options, ready=ready)
    judge = Judge.of(bench, ready, options, fields, [True] * 2, UNWATCHED)
    every = judge.painted([{"tooth": two} for two in combinations(bench.pots, 2)])
    best = max(every, key=lambda one: one.value)
    (own,) = judge.painted([{"tooth": found.pots}])
    assert best.together.accept > 0.2
    assert own.value >= best.value - 0.01
