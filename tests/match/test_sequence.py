"""From the unsintered piece: liquids aim short, surface stain finishes, and what follows is said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stainbook.colour import lab_to_lch
from stainbook.match import Bench, advise_case
from stainbook.match.plan import plan_case
from stainbook.match.problem import ZoneProblem
from stainbook.match.reasons import ZoneNote
from stainbook.optics.curves import Optics
from stainbook.optics.forecast import ForecastRequest
from stainbook.records import Layer, Limits, Pot
from tests.match.lab import bench_of, lab_of, optics_of, problem_of, start_of

LIQUIDS, STAINS = ("husk", "slate"), ("teasel", "flour", "rosehip")
THIN = {"layers": 1, "coats": 1, "strengths": (0.0625, 0.125, 0.25)}
SOAKED = (Layer(Pot.of({"husk": 0.5})),)
FURTHER = (-1.5, 0.6, 3.0)  # what surface stain is to add to it


def bench(*, follows: bool = True, firings: int = 2) -> Bench:
    """Liquids first; one thin coat of surface stain may follow."""
    liquids = bench_of(LIQUIDS, kind="infiltrating", firings_left=firings, strengths=(0.125, 0.25, 0.5, 1.0), coats=2)
    curves = {**optics_of(STAINS).stains, **liquids.optics.stains}
    later = replace(bench_of(STAINS), optics=Optics(curves), limits=Limits(firings_left=firings, **THIN))  # type: ignore[arg-type]
    return replace(liquids, optics=Optics(curves), later=later if follows else None)


def zone() -> ZoneProblem:
    """A zone that one liquid all but brings there."""
    start = start_of(surface="matt", name="blank")
    (row,) = bench().forecasts([ForecastRequest(start, SOAKED, True, "11 middle")]).ln_reflectance
    L, a, b = lab_of(np.exp(row)) + np.array(FURTHER)
    return problem_of(target=(float(L), float(a), float(b)), start=start)


def gum() -> ZoneProblem:
    """Gum, which no brown liquid brings there."""
    start = start_of(surface="matt", name="blank 21")
    return problem_of((-14.0, 30.0, -6.0), key=(21, "attached"), start=start, tissue="gingiva")


@pytest.fixture(scope="module")
def advised():
    return advise_case(bench(), [zone()], stage="green").zones[0]


def test_a_liquid_never_aims_past_the_chroma_of_the_target_or_below_its_value(advised):
    goal = np.array(zone().target)
    for move in advised.moves:
        if move.layers:
            assert lab_to_lch(np.array(move.lab))[1] <= lab_to_lch(goal)[1] + 0.5
            assert move.lab[0] >= goal[0] - 0.5


def way_gone(lab: object) -> float:
    """How much of the way from the blank to the target a colour has gone, in the plane of L*, a*, b* as it is."""
    problem = zone()
    (row,) = bench().forecasts([ForecastRequest(problem.now, (), True, "11 middle")]).ln_reflectance
    blank, goal = lab_of(np.exp(row)), np.array(problem.target)
    return float((np.asarray(lab) - blank) @ (goal - blank) / ((goal - blank) @ (goal - blank)))


@pytest.mark.parametrize("most", [0.6, 0.4])
def test_liquids_go_no_further_on_the_way_than_the_lab_allows(advised, most):
    free = [way_gone(move.lab) for move in advised.moves if move.layers]
    assert max(free) > most + 0.1
    capped = replace(bench(), limits=replace(bench().limits, liquid_way=most))
    moves = advise_case(capped, [zone()], stage="green").zones[0].moves
    planned = plan_case(capped, [zone()], stage="green", most=2).zones[0].move
    gone = [way_gone(move.lab) for move in (*moves, planned) if move.layers]
    assert gone
    assert max(gone) <= most + 0.05  # the space of the target is not quite that of L*, a*, b*


def test_surface_stain_finishes_what_the_liquid_leaves(advised):
    first = advised.moves[0]
    assert first.kind == "add"
    assert first.accept_within > first.accept
    alone = advise_case(bench(follows=False), [zone()], stage="green").zones[0].moves[0]
    assert first.accept_within > alone.accept_within


def test_two_layers_that_may_follow_are_both_counted_on():
    """What one thin coat cannot finish two can, dried in between; the chance is that of the stain that follows."""
    liquids, further = bench(firings=1), zone()
    L, a, b = further.target
    far = replace(further, target=(L - 1.2, a + 0.4, b + 1.8))
    chances = {}
    for layers in (1, 2):
        later = replace(liquids.later, limits=replace(liquids.later.limits, layers=layers))
        first = advise_case(replace(liquids, later=later), [far], stage="green").zones[0].moves[0]
        chances[layers] = first.accept_within
        assert first.then is not None
        assert first.then.accept == pytest.approx(first.accept_within, abs=0.2)
        assert len(first.then.layers) <= layers
    assert chances[2] > chances[1] + 0.15


def test_what_follows_is_said_in_stains_of_the_sintered_piece(advised):
    then = advised.moves[0].then
    assert then is not None
    assert {name for layer in then.layers for name in layer.pot.stains} <= set(STAINS)
    assert sum(layer.coats for layer in then.layers) <= 1
    assert all(move.then is None for move in advised.moves[1:])


def test_without_a_firing_liquids_do_it_alone():
    found = advise_case(bench(firings=0), [zone()], stage="green").zones[0]
    assert found.verdict != "no firing"
    assert all(move.accept_within == pytest.approx(move.accept) for move in found.moves)
    assert found.moves[0].then is None


def test_a_plan_of_liquids_says_what_follows_and_that_none_brings_gum_there():
    found = plan_case(bench(), [zone(), gum()], stage="green")
    tooth, other = found.zones
    assert tooth.move.layers
    assert tooth.then is not None
    assert other.move.layers == ()
    assert other.why == ZoneNote("no liquid", later=other.move.accept_within)
    assert found.accept <= found.accept_within
