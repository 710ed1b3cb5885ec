"""Mixes by hand: the same odds as proposed, on each zone alone or together, added, left or on the stripped piece."""

from __future__ import annotations

import pytest

from stainbook.match import advise_case, ready_case, together, tried_by_hand
from stainbook.records import Layer, Pot
from tests.match.lab import bench_of, problem_of, start_of

HUSK = (Layer(Pot.of({"husk": 0.25})),)


def zones():
    return [
        problem_of(shift, key=(11 + i, "middle"))
        for i, shift in enumerate([(-3.0, 0.5, 6.0), (-6.0, 3.0, 9.0), (0.2, 0.0, 0.1)])
    ]


def test_a_proposed_step_laid_by_hand_has_the_odds_that_it_was_proposed_with():
    bench, problems = bench_of(layers=2), zones()
    advice = advise_case(bench, problems, stage="stained")
    ready = ready_case(bench, problems, stage="stained")
    move, tried = tried_by_hand(bench, ready, {0: advice.zones[0].moves[0].layers})[0]
    wanted = advice.zones[0].moves[0]
    assert (move.dE00, move.accept, move.accept_within) == pytest.approx(
        (wanted.dE00, wanted.accept, wanted.accept_within), abs=1e-9
    )
    assert (move.why.kind, move.why.layers) == (wanted.why.kind, wanted.why.layers)
    assert move.why.ends.dE00 == pytest.approx(wanted.why.ends.dE00, abs=1e-9)
    assert tried.hits.mean() == pytest.approx(wanted.accept, abs=1e-9)


def test_the_chance_of_all_takes_their_common_luck_together():
    bench, problems = bench_of(layers=2), zones()
    advice = advise_case(bench, problems, stage="stained")
    ready = ready_case(bench, problems, stage="stained")
    firsts = {i: zone.moves[0].layers for i, zone in enumerate(advice.zones)}
    found = tried_by_hand(bench, ready, firsts)
    assert together([tried for _, tried in found.values()])[0] == pytest.approx(advice.accept, abs=1e-9)
    assert together([]) == (1.0, 1.0)


def test_nothing_laid_on_is_leaving_and_more_coats_are_darker():
    bench, problems = bench_of(), zones()
    ready = ready_case(bench, problems, stage="stained")
    found = tried_by_hand(bench, ready, {0: (), 1: HUSK})
    assert found[0][0].kind == "leave"
    twice = tried_by_hand(bench, ready, {1: (Layer(Pot.of({"husk": 0.25}), 3),)})
    assert twice[1][0].lab[0] < found[1][0].lab[0] - 1.0


def test_a_stripped_zone_starts_from_its_bare_piece():
    bench = bench_of()
    problem = problem_of((-3.0, 0.5, 6.0), bare=start_of(0.8, name="bare"))
    ready = ready_case(bench, [problem], stage="stained")
    added = tried_by_hand(bench, ready, {0: HUSK})[0][0]
    stripped = tried_by_hand(bench, ready, {0: HUSK}, kinds={0: "strip and restain"})[0][0]
    assert stripped.kind == "strip and restain"
    assert stripped.lab[0] > added.lab[0] + 3.0  # the bare piece is lighter by 13 L*
