"""Workers on a real PostgreSQL book: what one does equals what the app does, a killed one's work is done once more."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from stainbook import __version__
from stainbook.book import open_book
from stainbook.errors import BookError, InputError
from stainbook.faces.desk_face import DeskFace
from stainbook.files import read_guide
from stainbook.lab import Lab
from stainbook.match import Watch
from stainbook.work.app import job_tables
from stainbook.work.app.elsewhere import NoWorkers, _take_up, workers_of
from stainbook.work.app.jobs import Job
from stainbook.work.app.shipped import shipped
from stainbook.work.app.worker import run_worker
from stainbook.work.case.open_case import open_file
from stainbook.work.case.problems import AdviceAsked, prepare_case
from stainbook.work.case.searches import Order, answer_of, parts_of, searched
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files

psycopg = pytest.importorskip("psycopg", reason="the PostgreSQL driver is not installed")
pytest.importorskip("procrastinate", reason="the queue's library is not installed: pip install 'stainbook[workers]'")
pytestmark = pytest.mark.postgresql

CASE = "W-1051"  # three zones: a plan takes a second or two
LONG = 90.0  # seconds that a busy machine may take


@pytest.fixture(scope="module")
def filled(postgresql_server: str) -> Iterator[str]:
    """A database with a lab that knows its stains and has one case, to be copied."""
    name, lab = "workers_lab", shipped("recipes")
    server = postgresql_server.replace("+psycopg", "")
    with psycopg.connect(f"{server}/postgres", autocommit=True) as connection:
        connection.execute(f"create database {name}")
        with open_book(f"{postgresql_server}/{name}", author="bench-1") as book:
            book.add_guide(read_guide(lab / "guide.csv").records)
            calibrate_files(
                book, ChipFiles(lab / "chips.csv", lab / "readings.csv", lab / "stains.yaml", lab / "bodies.csv")
            )
            open_file(book, lab / f"{CASE}.yaml")
        yield name
        connection.execute(f"drop database {name} with (force)")


@pytest.fixture
def url(postgresql_server: str, filled: str, request: pytest.FixtureRequest) -> Iterator[str]:
    name = f"w{abs(hash(request.node.name)):x}"
    server = postgresql_server.replace("+psycopg", "")
    with psycopg.connect(f"{server}/postgres", autocommit=True) as connection:
        connection.execute(f"create database {name} template {filled}")
        yield f"{postgresql_server}/{name}"
        Lab.close_all()
        connection.execute(f"drop database {name} with (force)")


@pytest.fixture
def start(url: str) -> Iterator[Callable[..., subprocess.Popen[str]]]:
    """Starts workers, each once it has said that it began; ends them afterwards."""
    begun: list[subprocess.Popen[str]] = []

    def one(patience: float = 30.0) -> subprocess.Popen[str]:
        command = [sys.executable, "-m", "stainbook", "--book", url, "worker", "--patience", str(patience)]
        worker = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        begun.append(worker)
        assert "a worker of stainbook" in worker.stdout.readline()
        return worker

    yield one
    for worker in begun:
        worker.send_signal(signal.SIGCONT)
        worker.kill()
        worker.wait()
        worker.stdout.close()


def rows(url: str, query: str, **asked: Any) -> list[tuple[Any, ...]]:
    with psycopg.connect(job_tables.conninfo(_place(url)), autocommit=True) as connection:
        found = connection.execute(query, asked)
        return found.fetchall() if found.description else []


def _place(url: str) -> Any:
    from sqlalchemy import make_url

    return make_url(url)


def until(true: Callable[[], Any]) -> None:
    end = time.monotonic() + LONG
    while not true():
        assert time.monotonic() < end
        time.sleep(0.01)


def status(url: str) -> list[str]:
    return [one for (one,) in rows(url, "select status::text from procrastinate_jobs order by id")]


def desk_of(url: str) -> DeskFace:
    return Lab.open(url).case(CASE).desk


def done(job: Job[Any]) -> Any:
    assert job.wait(LONG)
    return job.result()


def in_process(url: str, monkeypatch: pytest.MonkeyPatch) -> tuple[Any, Any]:
    """A plan and an advice that no worker was asked for."""
    Lab.close_all()
    with monkeypatch.context() as patch:
        patch.setattr(job_tables, "is_installed", lambda: False)
        desk = desk_of(url)
        found = done(desk.plan(2)), desk.found(desk.job()).view.advised
        Lab.close_all()
    return found


def test_a_worker_gives_what_the_app_gives_and_its_tables_name_no_case_and_nobody(url, start, monkeypatch):
    worker = start()
    desk = desk_of(url)
    plan, advice = desk.plan(2), desk.job()
    assert (done(plan), desk.found(advice).view.advised) == in_process(url, monkeypatch)
    assert (plan.watch.told, advice.watch.told) == ("", "")
    assert status(url) == ["succeeded", "succeeded"]
    worker.send_signal(signal.SIGINT)
    assert (worker.wait(LONG), sorted(line.split(":")[0] for line in worker.stdout)) == (0, ["advice", "plan"])
    kept = [json.dumps(row[0]) for row in rows(url, "select to_jsonb(j) from procrastinate_jobs j")]
    kept += [json.dumps(row[0]) for row in rows(url, "select to_jsonb(a) from stainbook_answers a")]
    with open_book(url) as book:
        mark = book.cases()[CASE].mark
    assert sum(mark in one for one in kept) == 2
    assert not [word for word in (CASE, "bench-1", "postgres", "clinic") for one in kept if word in one]


def test_what_a_killed_worker_left_is_done_by_another_and_stored_once(url, start, monkeypatch):
    monkeypatch.setattr("stainbook.work.app.elsewhere.GONE", LONG)
    first = start()
    job = desk_of(url).plan(2)
    until(lambda: status(url) == ["doing"])
    first.kill()
    rows(url, "update procrastinate_workers set last_heartbeat = now() - interval '31 seconds'")
    second = start()
    found = done(job)
    assert job.watch.told == ""
    assert rows(url, "select type::text from procrastinate_events where type = 'started'") == [("started",)] * 2
    ((kept,),) = rows(url, "select result from stainbook_answers")
    rows(url, job_tables.RESULT, job=1, result="another")  # the first one came to life again
    assert rows(url, "select result from stainbook_answers") == [(kept,)]
    until(lambda: status(url) == ["succeeded"])
    second.terminate()
    assert second.wait(LONG) == 0
    assert found == in_process(url, monkeypatch)[0]


def test_a_search_over_which_workers_die_is_given_up(url, start):
    worker = start()
    mark = "0" * 16
    order = json.dumps(Order("advice", "", mark, 1).as_dict())
    job = "insert into procrastinate_jobs (queue_name, task_name, args, status, attempts) "
    for attempts in (0, 2):
        rows(url, f"{job} values (%(queue)s, 'search', %(order)s, 'doing', %(attempts)s)",
             queue=job_tables.queue_name(), order=order, attempts=attempts)  # fmt: skip
    worker.kill()
    start()
    until(lambda: status(url) == ["failed", "failed"])  # the first one is taken up once more: there is no such case
    assert rows(url, "select attempts from procrastinate_jobs order by id") == [(2,), (3,)]


def test_a_worker_that_is_ended_gives_its_work_back(url, start, monkeypatch):
    monkeypatch.setattr("stainbook.work.app.elsewhere.EVERY", 0.05)
    first = start()
    job = desk_of(url).plan(2)
    until(lambda: "doing" in status(url))
    start()
    first.send_signal(signal.SIGTERM)
    assert done(job).pots
    assert first.wait(LONG) == 0
    assert job.watch.told == ""


def test_stopping_ends_the_work_of_the_worker_and_the_worker_takes_the_next(url, start):
    start()
    desk = desk_of(url)
    job = desk.job()
    until(lambda: status(url) == ["doing"])
    job.stop()
    assert job.wait(LONG)
    until(lambda: status(url) in (["aborted"], ["succeeded"]))
    assert job.was_stopped == (status(url) == ["aborted"])
    assert done(desk.plan(1)).pots


def test_what_waits_for_a_busy_worker_is_stopped_at_once(url, start):
    worker = start()
    worker.send_signal(signal.SIGSTOP)
    job = desk_of(url).plan(2)
    until(lambda: job.watch.pace.doing == "wait")
    job.stop()
    assert job.wait(LONG)
    assert job.was_stopped
    assert status(url) == ["cancelled"]


def test_without_a_worker_the_app_does_the_work_and_says_so(url, start, monkeypatch):
    no_worker = "No worker is alive: this is worked out here."
    job = desk_of(url).plan(2)
    plan = done(job)
    assert job.watch.told == no_worker  # nobody ever made the queue
    worker = start(1.0)
    desk = desk_of(url)
    waiting = desk.plan(1)
    worker.send_signal(signal.SIGSTOP)  # silent, with the work in hand or not
    assert done(waiting).pots
    assert waiting.watch.told in (no_worker, "")
    last = desk.plan(3)
    done(last)
    assert last.watch.told == no_worker
    assert plan == in_process(url, monkeypatch)[0]


def test_workers_of_another_version_are_told_in_one_line(url, start):
    start()
    rows(url, "update stainbook_workers set version = '0.0.9'")
    job = desk_of(url).plan(2)
    assert done(job).pots
    assert job.watch.told == f"The workers are of stainbook 0.0.9, this app is {__version__}: this is worked out here."
    rows(url, "comment on table stainbook_workers is 'older'")
    with pytest.raises(BookError, match=r"workers of 0\.0\.9 are alive; this is .*: end them first"):
        job_tables.set_up(_place(url))
    rows(url, "delete from stainbook_workers")
    job_tables.set_up(_place(url))
    assert status(url) == []


HOSTILE = {
    "unknown search": {"search": "os.system"},
    "another laboratory": {"laboratory": "south"},
    "another case": {"case": "0" * 16},
    "rows to come": {"row": 10**6},
    "no number": {"row": "1; drop table records"},
    "too many mixes": {"search": "plan", "most": 10**9},
    "a further key": {"command": "x"},
}


@pytest.mark.parametrize("said", HOSTILE, ids=HOSTILE)
def test_an_order_that_is_none_is_refused(url, said):
    with open_book(url) as book:
        mark, row = book.cases()[CASE].mark, book.newest_row()
        good = Order("advice", "", mark, row).as_dict()
        given = good | HOSTILE[said]
        with pytest.raises(InputError):
            answer_of(book.seen_by(None, str(given["laboratory"])), Order.of(given), Watch())


def test_answers_that_are_none_are_not_used(url):
    with open_book(url) as book:
        found = prepare_case(book.frozen(), CASE, AdviceAsked())
        good = json.loads(answer_of(book, Order("plan", "", found.case.mark, book.newest_row(), most=2), Watch()))
        zone = good["zones"][0]
        step = zone["move"]
        bad = [
            "", "null", "[]", "x" * 100, "[" * 100_000, good | {"zones": []}, good | {"accept": float("inf")},
            good | {"zones": [*good["zones"], zone]}, good | {"zones": good["zones"][::-1]},
            good | {"zones": [zone | {"move": step | {"problem": [48, "middle"]}}, *good["zones"][1:]]},
            good | {"zones": [zone | {"move": step | {"hits": ["a"]}}, *good["zones"][1:]]},
            good | {"zones": [zone | {"move": step | {"lab": [[1.0]]}}, *good["zones"][1:]]},
        ]  # fmt: skip
        for one in bad:
            said = one if isinstance(one, str) else json.dumps(one)
            watch = Watch(lambda order, watch, said=said: said)
            assert searched("plan", book.frozen(), found, lambda: "here", watch) == "here", said[:80]
            assert watch.told == "What a worker gave cannot be used: this is worked out here."
        watch = Watch(lambda order, watch: json.dumps(good))
        assert len(searched("plan", book.frozen(), found, lambda: "here", watch).zones) == 3


def test_what_a_worker_found_on_the_way_is_shown_meanwhile(url):
    with open_book(url) as book:
        watch = Watch()
        answer_of(book, Order("advice", "", book.cases()[CASE].mark, book.newest_row()), watch)
    seen, here = {"doing": "search", "done": 1, "of": 3, "part": 3, "parts": parts_of(watch.found)}, Watch()
    assert _take_up(seen, here, 0) == 3
    assert (here.pace, here.found, len(here.found)) == (("search", 1, 3), watch.found, 3)
    assert _take_up(seen | {"parts": "[7]", "part": 4}, here, 3) == 4
    assert here.found == watch.found


def test_a_failing_worker_or_a_lost_queue_costs_nobody_the_plan(url, start, monkeypatch):
    start()
    with monkeypatch.context() as patch:
        patch.setattr(Order, "as_dict", lambda own: {"search": "plan"})
        job = desk_of(url).plan(2)
        assert done(job).pots
        assert job.watch.told == "A worker could not do it: this is worked out here."
    rows(url, "drop table procrastinate_workers cascade")
    job = desk_of(url).plan(1)
    assert done(job).pots
    assert job.watch.told == "The workers cannot be reached: this is worked out here."


def test_workers_need_a_server_and_the_library(tmp_path, url, monkeypatch):
    with pytest.raises(InputError, match="is a file, expected one on a PostgreSQL server"):
        run_worker(f"sqlite:///{tmp_path / 'lab.db'}", print)
    assert isinstance(workers_of(f"sqlite:///{tmp_path / 'lab.db'}"), NoWorkers)
    monkeypatch.setattr(job_tables, "is_installed", lambda: False)
    with pytest.raises(InputError, match=r"pip install 'stainbook\[workers\]'"):
        run_worker(url, print)
    assert workers_of(url).asked is None
