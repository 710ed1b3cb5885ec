"""The palette of a whole case: its limits hold, its chance is that of all zones, and it says what it cannot do."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stainbook.match.choosing import GIVEN_AWAY
from stainbook.match.plan import Plan, plan_case
from stainbook.match.problem import ZoneProblem
from tests.match.lab import bench_of, problem_of, start_of

SHIFTS = ((-3.0, 0.5, 6.0), (-6.0, 3.0, 9.0), (-4.0, 4.0, 2.0), (-9.0, 5.0, 14.0), (-1.5, 0.3, 3.0), (-5.0, 0.0, -3.0))
TEETH = (13, 12, 11, 21, 22, 23)
SHARES = (0.0625, 0.125, 0.25, 0.5)


def problems() -> list[ZoneProblem]:
    return [problem_of(shift, key=(tooth, "middle")) for tooth, shift in zip(TEETH, SHIFTS, strict=True)]


@pytest.fixture(scope="module")
def four() -> Plan:
    return plan_case(bench_of(layers=2, strengths=SHARES), problems(), stage="stained", trade_off=(1, 2, 6))


def test_no_more_mixes_layers_or_coats_than_allowed(four):
    used = {layer.pot for zone in four.zones for layer in zone.move.layers}
    assert used == set(four.pots)
    assert 1 < len(four.pots) <= 4
    assert max(len(zone.move.layers) for zone in four.zones) <= 2
    assert max(layer.coats for zone in four.zones for layer in zone.move.layers) <= 2


def test_the_mix_that_most_zones_take_comes_first(four):
    counts = [sum(any(layer.pot == pot for layer in zone.move.layers) for zone in four.zones) for pot in four.pots]
    assert counts == sorted(counts, reverse=True)


def test_the_chance_is_that_of_all_zones_at_once(four):
    hits = np.prod([zone.move.hits for zone in four.zones], axis=0)
    assert four.accept == pytest.approx(float(hits.mean()))
    assert four.accept <= min(zone.move.accept for zone in four.zones)
    assert four.accept_within >= four.accept


def test_more_mixes_do_no_worse(four):
    counts = [one.counts for one in (*four.trade_off, four.unlimited)]
    assert len(counts) > 2
    assert counts[:-1] == sorted(counts[:-1])
    assert all(one.expected <= len(four.zones) for one in four.trade_off)
    assert four.unlimited.counts >= four.together.counts - 0.02  # forecasts of 512 draws


def test_the_case_limit_counts_unless_another_is_asked_for():
    bench = bench_of(layers=1, strengths=SHARES, pots=2)
    assert len(plan_case(bench, problems()).pots) <= 2
    assert len(plan_case(bench, problems(), most=3).pots) == 3


def test_a_zone_out_of_reach_says_so_and_does_not_count_among_those_within():
    lost = problem_of((20.0, 0.0, 0.0), key=(31, "middle"))
    found = plan_case(bench_of(layers=1, strengths=SHARES), [*problems()[:3], lost])
    assert [zone.verdict for zone in found.zones][-1] == "out of reach"
    assert found.accept < 0.05 < found.together.accept


def test_zones_that_are_there_are_left_and_nothing_is_mixed():
    found = plan_case(
        bench_of(strengths=SHARES), [problem_of((0.1, 0.0, 0.0), key=(tooth, "middle")) for tooth in TEETH]
    )
    assert {zone.verdict for zone in found.zones} == {"leave"}
    assert found.pots == ()
    assert found.accept > 0.9


@pytest.mark.parametrize("stage", ["trial", "bonded", "delivered"])
def test_no_firing_for_pieces_that_are_not_fired(stage):
    found = plan_case(bench_of(strengths=SHARES), problems(), stage=stage)
    assert found.pots == ()
    assert {(zone.verdict, zone.move.layers) for zone in found.zones} == {("no firing", ())}


def test_no_stain_on_offer_is_told():
    found = plan_case(bench_of((), strengths=SHARES), problems()[:1])
    assert found.pots == ()
    assert found.no_stain


def test_equal_zones_take_the_same_layers_in_the_same_order():
    twins = [problem_of(SHIFTS[3], key=key, start=start_of(name=f"{key}")) for key in ((11, "middle"), (21, "middle"))]
    found = plan_case(bench_of(layers=2, strengths=SHARES), [*problems()[:2], *twins])
    left, right = (zone.move for zone in found.zones[-2:])
    assert left.accept == pytest.approx(right.accept, abs=GIVEN_AWAY + 0.05)
    assert [layer.pot for layer in left.layers] == [layer.pot for layer in right.layers]


def test_a_hint_has_no_part_in_the_chance_nor_in_the_mixes():
    alone = plan_case(bench_of(layers=1, strengths=SHARES), problems()[:2])
    far = replace(problem_of((-9.0, 8.0, -6.0), key=(11, "incisal")), counts=False)
    found = plan_case(bench_of(layers=1, strengths=SHARES), [*problems()[:2], far])
    assert found.accept == pytest.approx(alone.accept)
    assert found.together.expected == pytest.approx(alone.together.expected)
    assert set(found.pots) == set(alone.pots)
    assert [zone.move.layers for zone in found.zones[:2]] == [zone.move.layers for zone in alone.zones]
    counted = plan_case(bench_of(layers=1, strengths=SHARES), [*problems()[:2], replace(far, counts=True)])
    assert counted.accept < 0.5 * alone.accept


def test_where_every_zone_is_a_hint_nothing_is_mixed():
    found = plan_case(bench_of(strengths=SHARES), [replace(one, counts=False) for one in problems()[:2]])
    assert found.pots == ()
