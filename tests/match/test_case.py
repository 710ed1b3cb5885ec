"""A case: verdicts, kinds of move, few pots, and the chance of all of it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from stainbook.match import advise_case, advise_zone, rank_blanks
from stainbook.optics.ceramic import Ceramic
from stainbook.optics.forecast import ForecastRequest
from stainbook.records import Layer, Limits, Pot
from stainbook.words.sentences import note, why
from tests.match.lab import bench_of, lab_of, problem_of, start_of

REACHABLE = (-4.0, 1.0, 4.0)
TOO_LIGHT = (14.0, 0.0, -4.0)


def limits_of(bench, **changes):
    return replace(bench, limits=replace(bench.limits, **changes))


def test_a_zone_that_stain_brings_there():
    told = advise_zone(bench_of(), problem_of(REACHABLE), stage="stained")
    assert told.verdict == "stain"
    assert [move.rank for move in told.moves] == [1, 2, 3, 4, 5]
    first = told.moves[0]
    assert first.kind == "add"
    assert first.accept > 0.9
    assert first.low <= first.dE00 <= first.high
    assert first.accept <= first.accept_within <= 1.0
    assert told.gap.grade == "beyond"
    assert told.gap.dL == pytest.approx(4.0, abs=0.05)


def test_the_five_shown_are_not_copies_of_one():
    told = advise_zone(bench_of(layers=2), problem_of(REACHABLE), stage="stained")
    sets = [frozenset(name for layer in move.layers for name in layer.pot.stains) for move in told.moves]
    assert len(set(sets)) == len(sets)


@pytest.mark.parametrize("shift", [(0.0, 0.0, 0.0), (0.6, 0.2, -0.3)])
def test_a_zone_that_is_there_is_left(shift):
    told = advise_zone(bench_of(), problem_of(shift), stage="stained")
    assert told.verdict == "leave"
    assert told.moves[0].kind == "leave"
    assert told.moves[0].layers == ()
    assert told.moves[0].firings == 0.0
    assert told.gap.grade == "within"


def test_leave_speaks_of_the_piece_after_its_finish():
    matt = start_of(surface="matt")
    as_read = problem_of((0.0, 0.0, 0.0), start=matt)
    told = advise_zone(bench_of(), as_read, stage="blasted")
    assert told.gap.dE00 > 0.5  # the glaze changes the colour of bare zirconia
    finished = replace(as_read, target=tuple(np.array(as_read.target) + _gap_lab(told, as_read)))
    assert advise_zone(bench_of(), finished, stage="blasted").verdict == "leave"
    polished = replace(as_read, glazed=False)
    assert advise_zone(bench_of(), polished, stage="blasted").verdict == "leave"


def _gap_lab(told, problem):
    leave = advise_zone(bench_of(), replace(problem, thresholds=replace(problem.thresholds, acceptable=99.0)))
    return np.array(leave.moves[0].lab) - np.array(problem.target)


def test_out_of_reach_says_what_would_help_and_still_shows_the_best():
    told = advise_zone(bench_of(), problem_of(TOO_LIGHT), stage="stained")
    assert told.verdict == "out of reach"
    assert told.moves
    assert "a lighter one" in note(told.note)
    assert "bare piece" in note(told.note)


@pytest.mark.parametrize("stage", ["trial", "bonded", "delivered"])
def test_no_firing_by_stage(stage):
    told = advise_zone(bench_of(), problem_of(REACHABLE), stage=stage)
    assert (told.verdict, told.moves) == ("no firing", ())
    assert told.note


def test_no_firing_when_none_is_left():
    assert advise_zone(bench_of(firings_left=0), problem_of(REACHABLE)).verdict == "no firing"


def test_a_returned_piece_is_stained_as_a_fired_one():
    told = advise_case(bench_of(), [problem_of(REACHABLE)], stage="returned")
    assert told.zones[0].verdict == "stain"


def test_no_stain_on_offer_is_out_of_reach_with_leaving_as_the_best():
    bench = replace(bench_of(), stains=())
    told = advise_zone(bench, problem_of(REACHABLE), stage="stained")
    assert told.verdict == "out of reach"
    assert [move.kind for move in told.moves] == ["leave"]
    assert "none is on the list" in note(told.note)


def test_a_green_piece_is_infiltrated():
    bench = bench_of(("teasel", "husk", "slate"), kind="infiltrating", coats=2, strengths=(1 / 16, 1 / 8, 1 / 4))
    blank = start_of(surface="matt", name="weir")
    soaked = (Layer(Pot.of({"husk": 1 / 4})),)
    (row,) = bench.forecasts([ForecastRequest(blank, soaked, True, "11 middle")]).ln_reflectance
    L, a, b = (float(one) for one in lab_of(np.exp(row)))
    told = advise_zone(bench, problem_of(target=(L, a, b), start=blank), stage="green")
    assert told.verdict in ("stain", "leave")
    assert told.gap.grade in ("beyond", "cannot tell", "within")
    assert any(move.layers and move.accept > 0.5 for move in told.moves)


# ---------------------------------------------------------------- stripping, other blanks


def test_too_dark_a_piece_is_stripped_when_the_bare_one_is_known():
    bare = start_of(0.60, surface="matt", name="bare")
    plain = advise_zone(bench_of(), problem_of((0.0, 0.0, 0.0), start=bare)).gap
    dark = start_of(0.40, name="dark")
    goal = (80.0, 1.0, 20.0)
    assert plain.dE00 > 0.0
    without = advise_zone(bench_of(), problem_of(target=goal, start=dark), stage="stained")
    told = advise_zone(bench_of(), problem_of(target=goal, start=dark, bare=bare), stage="stained")
    assert without.moves[0].accept_within < 0.5
    assert told.moves[0].kind == "strip and restain"
    assert told.moves[0].accept_within > without.moves[0].accept_within + 0.1
    assert why(told.moves[0].why).startswith("strip it to the bare piece, then ")
    assert told.verdict == "stain" or "stripping" in note(told.note)


def test_a_remake_is_offered_where_another_blank_would_do():
    zone = problem_of(TOO_LIGHT, start=start_of(0.40, name="11 middle"))
    blanks = {"weir": start_of(0.60, surface="matt", name="weir"), "soot": start_of(0.2, surface="matt", name="soot")}
    told = advise_case(bench_of(), [zone], stage="stained", blanks=blanks).zones[0]
    assert told.verdict == "out of reach"
    assert {move.on for move in told.moves if move.kind == "remake"} == {"weir"}
    assert any(why(move.why).startswith("on the other blank, ") for move in told.moves)


def test_blanks_are_ranked_by_what_the_case_becomes_on_them():
    zones = [problem_of(target=(76.0, 2.0, 19.0), key=(11, place)) for place in ("cervical", "middle")]
    blanks = {name: start_of(level, surface="matt", name=name) for name, level in (("soot", 0.2), ("weir", 0.58))}
    order = rank_blanks(bench_of(), zones, blanks)
    assert [one.blank for one in order] == ["weir", "soot"]
    assert order[0].case.accept_within > order[1].case.accept_within


# ---------------------------------------------------------------- the whole case


def zones_of(count):
    rng = np.random.default_rng(5)
    return [
        problem_of(tuple(rng.uniform((-6, 0, 1), (-2, 2, 6))), key=(number, "middle"))
        for number in (11, 12, 13, 14, 21, 22, 23, 24)[:count]
    ]


def test_errors_of_one_hand_and_jar_are_drawn_together():
    shaky = replace(bench_of(), hands=replace(bench_of().hands, operator="bench-2", operator_ln=(0.0, 0.4)))
    told = advise_case(shaky, zones_of(6), stage="stained")
    alone = float(np.prod([zone.moves[0].accept for zone in told.zones]))
    least = min(zone.moves[0].accept for zone in told.zones)
    assert alone + 0.02 < told.accept <= least + 1e-9
    assert told.accept <= told.accept_within


def test_a_case_is_told_the_same_twice_and_in_any_order_of_zones():
    zones = zones_of(4)
    first, second = (advise_case(bench_of(), order, stage="stained") for order in (zones, zones[::-1]))
    assert first.accept == pytest.approx(second.accept, abs=1e-12)
    by_key = {zone.key: zone for zone in second.zones}
    for zone in first.zones:
        assert [move.layers for move in zone.moves] == [move.layers for move in by_key[zone.key].moves]


def test_first_moves_keep_to_the_pots_of_the_case():
    free = advise_case(bench_of(layers=2), zones_of(6), stage="stained")
    assert len(free.pots) > 3
    few = advise_case(bench_of(layers=2, pots=3), zones_of(6), stage="stained")
    assert len(few.pots) <= 3
    assert few.accept_within <= free.accept_within + 0.02
    used = {layer.pot for zone in few.zones for layer in zone.moves[0].layers}
    assert used == set(few.pots)


def test_enough_pots_change_nothing():
    free = advise_case(bench_of(), zones_of(2), stage="stained")
    many = advise_case(bench_of(pots=9), zones_of(2), stage="stained")
    assert [zone.moves for zone in many.zones] == [zone.moves for zone in free.zones]


def test_a_case_without_zones_and_zones_without_data():
    empty = advise_case(bench_of(), [])
    assert (empty.accept, empty.zones) == (1.0, ())


# ---------------------------------------------------------------- honesty about doubt


def test_why_says_that_no_clear_glaze_chip_is_known():
    unknown = Ceramic(known=False, stray_sd=0.03)
    zone = problem_of((-4.0, 1.0, 4.0), start=start_of(surface="matt", ceramic=unknown))
    told = advise_zone(bench_of(), zone, stage="blasted")
    assert all("no clear-glaze stripe" in why(move.why) for move in told.moves)
    known = advise_zone(bench_of(), problem_of((-4.0, 1.0, 4.0), start=start_of(surface="matt")), stage="blasted")
    assert not any("no clear-glaze stripe" in why(move.why) for move in known.moves)
    width = [move.high - move.low for move in (told.moves[0], known.moves[0])]
    assert width[0] > width[1]


def test_why_says_that_a_stain_has_no_chip():
    bench = bench_of(("husk", "teasel"))
    del bench.optics.stains["husk"]
    told = advise_zone(bench, problem_of(REACHABLE), stage="stained")
    with_husk = [one for one in told.moves if any("husk" in layer.pot.stains for layer in one.layers)]
    assert with_husk
    assert all("no stripe shows how strong husk fires" in why(one.why) for one in with_husk)


@pytest.mark.parametrize("word", ["regret", "prior", "covariance", "lifted", "nan", "  "])
def test_why_is_bench_talk(word):
    for shift in (REACHABLE, TOO_LIGHT, (0.5, 0.0, 0.0), (-12.0, 6.0, 2.0)):
        assert all(word not in why(move.why) for move in advise_zone(bench_of(), problem_of(shift)).moves)


def test_moves_are_ranked_as_the_formats_say():
    for zone in advise_case(bench_of(layers=2), zones_of(6), stage="stained").zones:
        for above, below in pairwise(zone.moves):
            assert above.accept_within >= below.accept_within - 0.02 - 1e-9


def test_limits_default_to_one_layer():
    told = advise_zone(limits_of(bench_of(), layers=Limits().layers), problem_of(REACHABLE))
    assert all(len(move.layers) <= 1 for move in told.moves)


def test_a_hint_has_no_part_in_the_chance_and_asks_for_no_other_blank():
    zone = problem_of(REACHABLE)
    hint = replace(problem_of(TOO_LIGHT, key=(11, "incisal")), counts=False)
    blanks = {"pale": start_of(0.75, name="pale")}
    found = advise_case(bench_of(), [zone, hint], stage="stained", blanks=blanks)
    assert found.accept == pytest.approx(advise_case(bench_of(), [zone], stage="stained").accept)
    assert not [move for move in found.zones[1].moves if move.kind == "remake"]
    counted = advise_case(bench_of(), [zone, replace(hint, counts=True)], stage="stained", blanks=blanks)
    assert counted.accept < 0.1
    assert [move for move in counted.zones[1].moves if move.kind == "remake"]
