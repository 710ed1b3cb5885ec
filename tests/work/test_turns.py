"""What is worked out beforehand keeps nobody waiting: it waits its turn, is asked for in time, ends once outdated."""

from __future__ import annotations

from threading import Event

import pytest

from stainbook.errors import InputError, StoppedError
from stainbook.work.app.jobs import Jobs
from stainbook.work.app.turns import Turns

LONG = 20.0


class Steps:
    """Work of many steps, which ends when it is let go."""

    def __init__(self):
        self.done, self.goes, self.let_go = 0, Event(), Event()

    def __call__(self, watch):
        while not self.let_go.is_set():
            watch.step("search", self.done, 1000)
            self.done += 1
            self.goes.set()
            Event().wait(0.005)
        return self.done

    def stands_still(self):
        Event().wait(0.1)
        before = self.done
        Event().wait(0.2)
        return self.done == before

    def goes_on(self):
        self.goes.clear()
        return self.goes.wait(LONG)


def never():
    return False


@pytest.fixture
def turns():
    return Turns()


@pytest.fixture
def jobs(turns):
    found = Jobs(4, turns)
    yield found
    found.clear()


def test_it_stands_still_while_a_page_is_drawn_or_somebody_waits(jobs, turns):
    early, asked = Steps(), Steps()
    job = jobs.begun("plan", early, is_outdated=never)
    assert early.goes.wait(LONG)
    with turns.busy():
        assert early.stands_still()
    assert early.goes_on()
    other = jobs.begun("steps", asked)
    assert asked.goes.wait(LONG)
    assert early.stands_still()
    asked.let_go.set()
    assert other.wait(LONG)
    assert early.goes_on()
    assert not job.wait(0)


def test_one_at_a_time_in_the_order_in_which_they_were_begun(jobs):
    first, second = Steps(), Steps()
    jobs.begun("plan", first, is_outdated=never)
    later = jobs.begun("steps", second, is_outdated=never)
    assert first.goes.wait(LONG)
    assert second.stands_still()
    assert second.done == 0
    assert later.watch.pace.doing == "turn"
    first.let_go.set()
    assert second.goes.wait(LONG)


def test_who_asks_for_it_finds_it_on_its_way_and_need_not_wait_for_others(jobs):
    first, second = Steps(), Steps()
    jobs.begun("plan", first, is_outdated=never)
    early = jobs.begun("steps", second, is_outdated=never)
    assert first.goes.wait(LONG)
    assert jobs.begun("steps", second) is early
    assert second.goes.wait(LONG)
    assert first.stands_still()
    second.let_go.set()
    assert early.result() == second.done
    assert first.goes_on()


def test_who_waits_for_it_asks_for_it_though_a_page_is_being_drawn(jobs, turns):
    early = Steps()
    early.let_go.set()
    with turns.busy():
        job = jobs.begun("plan", early, is_outdated=never)
        assert not job.wait(0)
        assert job.wait(LONG)


def test_a_page_lends_its_turn_for_a_glance(jobs, turns):
    early = Steps()
    with turns.busy():
        job = jobs.begun("plan", early, is_outdated=never)
        assert not job.glance(0.2)
        assert early.done > 0
        assert early.stands_still()
        early.let_go.set()
        assert job.glance(LONG)
    assert not job.is_asked


def test_it_ends_once_it_is_outdated_and_lets_the_next_one_on(jobs, monkeypatch):
    monkeypatch.setattr("stainbook.work.app.jobs.LOOKS", 0.0)
    old, new, outdated = Steps(), Steps(), Event()
    job = jobs.begun("before", old, is_outdated=outdated.is_set)
    jobs.begun("after", new, is_outdated=never)
    assert old.goes.wait(LONG)
    outdated.set()
    assert new.goes.wait(LONG)
    with pytest.raises(StoppedError):
        job.result()


def test_what_somebody_waits_for_is_not_looked_at_whether_it_is_outdated(jobs, monkeypatch):
    monkeypatch.setattr("stainbook.work.app.jobs.LOOKS", 0.0)
    asked, outdated = Steps(), Event()
    job = jobs.begun("plan", asked, is_outdated=outdated.is_set)
    job.ask()
    outdated.set()
    asked.goes.clear()
    assert asked.goes.wait(LONG)
    asked.let_go.set()
    assert job.result() == asked.done


def test_what_failed_before_anybody_asked_is_begun_again(jobs):
    answers = [InputError("another writes to the book"), 7]

    def work(watch):
        answer = answers.pop(0)
        if isinstance(answer, InputError):
            raise answer
        return answer

    early = jobs.begun("plan", work, is_outdated=never)
    while not early.wait(0):
        Event().wait(0.005)
    assert jobs.get("plan") is None
    assert jobs.begun("plan", work, is_outdated=never) is early  # nobody waits: not tried again and again
    assert jobs.begun("plan", work).result() == 7
