"""Long work tells how far it is, can be stopped, and leaves what it has found."""

from __future__ import annotations

import pytest

from stainbook.errors import StoppedError
from stainbook.match import Watch, advise_case
from stainbook.match.plan import plan_case
from tests.match.lab import bench_of, problem_of


class StopsAt(Watch):
    """Stops at the first step of a kind."""

    def __init__(self, doing: str, done: int) -> None:
        super().__init__()
        self.at, self.seen = (doing, done), []

    def step(self, doing: str, done: int, of: int) -> None:
        self.seen.append((doing, done, of))
        if (doing, done) == self.at:
            self.stop()
        super().step(doing, done, of)


def zones(count: int):
    return [problem_of((-2.0 - 0.3 * i, 0.5, 6.0), key=(11 + i % 8, f"zone {i}")) for i in range(count)]


def test_what_was_found_before_the_stop_stays():
    watch = StopsAt("search", 9)
    with pytest.raises(StoppedError):
        advise_case(bench_of(), zones(12), stage="stained", watch=watch)
    whole = advise_case(bench_of(), zones(12), stage="stained")
    assert [one.key for one in watch.found] == [one.key for one in whole.zones[:8]]
    assert [one.moves[0].layers for one in watch.found] == [one.moves[0].layers for one in whole.zones[:8]]
    assert watch.seen[:2] == [("prepare", 0, 12), ("prepare", 1, 12)]


def test_a_plan_stops_between_its_mixes():
    watch = StopsAt("mixes", 1)
    with pytest.raises(StoppedError):
        plan_case(bench_of(), zones(3), stage="stained", most=3, watch=watch)
    assert ("search", 2, 3) in watch.seen


def test_a_plan_that_is_stopped_late_hands_back_the_best_so_far():
    watch = StopsAt("judge", 1)
    found = plan_case(bench_of(), zones(3), stage="stained", most=2, trade_off=(1, 3), watch=watch)
    whole = plan_case(bench_of(), zones(3), stage="stained", most=2)
    assert [one.move.layers for one in found.zones] == [one.move.layers for one in whole.zones]
    assert found.trade_off == ()
    assert found.one_more is None
