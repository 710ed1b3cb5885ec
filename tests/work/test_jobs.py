"""Work in a thread of its own: taken in turn, and of what it was about nothing stays."""

import gc
import threading
import time
import weakref

import pytest

from stainbook.errors import InputError, StoppedError
from stainbook.match import Watch
from stainbook.work.app.at_a_time import AtATime
from stainbook.work.app.jobs import Job

LONG = 30.0  # seconds that a busy machine may take


class Photo:
    """Stands for what is a patient's."""


def test_few_at_a_time_work_and_the_rest_waits():
    turns, lock, go_on, at_once = AtATime(2), threading.Lock(), threading.Event(), []
    working = 0

    def work(watch):
        nonlocal working
        with turns.taken(watch):
            with lock:
                working += 1
                at_once.append(working)
            assert go_on.wait(LONG)
            with lock:
                working -= 1

    jobs = [Job(work) for _ in range(5)]
    while sum(job.watch.pace.doing == "others" for job in jobs) < 3:
        time.sleep(0.01)
    go_on.set()
    assert all(job.wait(LONG) and not job.failed for job in jobs)
    assert max(at_once) == 2


def test_what_waits_for_its_turn_is_stopped_and_takes_none():
    turns = AtATime(1)
    with turns.taken(Watch()):
        waiting = Job(lambda watch: turns.taken(watch).__enter__())
        waiting.stop()
        assert waiting.wait(LONG)
        assert waiting.was_stopped
    with turns.taken(Watch()):  # it is free again
        pass


@pytest.mark.parametrize(
    "error", [None, InputError("bent"), StoppedError("stopped")], ids=["done", "failed", "stopped"]
)
def test_what_a_job_was_about_goes_with_its_work(error):
    """Also from the frames of an error, and of the error that it came from."""
    photo = Photo()
    gone = weakref.ref(photo)

    def decoded(pixels):
        if error is not None:
            raise ValueError("damaged")

    def work(watch, given=photo):
        try:
            decoded(given)
        except ValueError as found:
            raise error from found
        return 1

    job = Job(work)
    assert job.wait(LONG)
    del photo, work
    end = time.monotonic() + LONG
    while gone() is not None and time.monotonic() < end:  # the thread is about to end
        gc.collect()
    assert gone() is None
    if error is not None:
        with pytest.raises(type(error)):
            job.result()


def test_where_an_error_that_nobody_foresaw_came_from_is_told():
    job = Job(lambda watch: 1 // 0)
    with pytest.raises(ZeroDivisionError) as found:
        job.result()
    assert "1 // 0" in found.value.__notes__[0]
