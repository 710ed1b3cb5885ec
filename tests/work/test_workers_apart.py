"""Labs that one PostgreSQL keeps apart have a queue each: no role sees, does or stops another lab's work."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from sqlalchemy import make_url

from stainbook.book import open_book
from stainbook.book.labs_apart import queue_schema
from stainbook.errors import InputError
from stainbook.lab import Lab
from stainbook.match import Watch
from stainbook.work.app import job_tables
from stainbook.work.app.elsewhere import workers_of
from stainbook.work.app.shipped import shipped
from stainbook.work.app.worker import run_worker
from stainbook.work.case.open_case import open_file
from stainbook.work.case.searches import Order
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from tests.book.apart import two_labs
from tests.book.worked import case

psycopg = pytest.importorskip("psycopg", reason="the PostgreSQL driver is not installed")
pytest.importorskip("procrastinate", reason="the queue's library is not installed: pip install 'stainbook[workers]'")
pytestmark = pytest.mark.postgresql

CASE = "W-1051"
LONG = 90.0  # seconds that a busy machine may take
NO_WORKER = "No worker is alive: this is worked out here."
TABLES = (
    "procrastinate_jobs",
    "procrastinate_events",
    "procrastinate_workers",
    "stainbook_answers",
    "stainbook_workers",
)


@pytest.fixture(scope="module")
def urls(postgresql_server: str) -> Iterator[dict[str, str]]:
    """North knows its stains and has a case; south has one case."""
    recipes = shipped("recipes")
    with two_labs(postgresql_server) as found:
        with open_book(found["north"], lab="north") as north, open_book(found["south"], lab="south") as south:
            calibrate_files(
                north,
                ChipFiles(
                    recipes / "chips.csv", recipes / "readings.csv", recipes / "stains.yaml", recipes / "bodies.csv"
                ),
            )
            open_file(north, recipes / f"{CASE}.yaml")
            south.add_cases([case("S-1")])
        yield found
        Lab.close_all()


@pytest.fixture
def worker(urls: dict[str, str]) -> Iterator[Callable[[str], subprocess.Popen[str]]]:
    """Starts the worker of a lab, once it has said that it began; ends it afterwards."""
    begun: list[subprocess.Popen[str]] = []

    def start(lab: str) -> subprocess.Popen[str]:
        command = [sys.executable, "-m", "stainbook", "--book", urls[lab], "worker"]
        one = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        begun.append(one)
        assert one.stdout is not None
        assert "a worker of stainbook" in one.stdout.readline()
        return one

    yield start
    for one in begun:
        one.kill()
        one.wait()
        assert one.stdout is not None
        one.stdout.close()


def role(url: str) -> str:
    return url.partition("://")[2].partition("@")[0]


def ran(url: str, statement: str, **asked: Any) -> list[tuple[Any, ...]]:
    with psycopg.connect(url.replace("+psycopg", ""), autocommit=True) as connection:
        found = connection.execute(statement, asked)
        return found.fetchall() if found.description else []


def until(true: Callable[[], Any]) -> None:
    end = time.monotonic() + LONG
    while not true():
        assert time.monotonic() < end
        time.sleep(0.02)


def queue_of(urls: dict[str, str], lab: str) -> str:
    """The schema of a lab's queue, made where no worker made it yet."""
    schema = job_tables.set_up(make_url(urls[lab]))
    assert schema == queue_schema(role(urls[lab]))
    return schema


def test_a_labs_worker_does_its_labs_work_and_no_other(urls, worker):
    north = worker("north")
    with Lab.open(urls["north"], laboratory="north") as lab:
        job = lab.case(CASE).desk.plan(2)
        assert job.wait(LONG)
        assert job.result().pots
        assert job.watch.told == ""
    with open_book(urls["south"], lab="south") as south:
        order = Order("advice", "south", south.cases()["S-1"].mark, south.newest_row())
    watch = Watch()
    asked = workers_of(urls["south"]).asked
    assert asked is not None
    assert asked(order, watch) is None
    assert watch.told == NO_WORKER  # north's is none of south's
    north.send_signal(signal.SIGINT)
    assert north.wait(LONG) == 0
    assert [line.split(":")[0] for line in north.stdout] == ["plan"]
    kept = ran(urls["north"], f"SELECT args::text FROM {queue_of(urls, 'north')}.procrastinate_jobs")
    assert [json.loads(one)["laboratory"] for (one,) in kept] == ["north"]


def test_an_order_about_another_lab_is_not_done_whoever_wrote_it(urls, worker):
    queue = queue_of(urls, "north")
    with open_book(urls["south"], lab="south") as south:
        order = Order("advice", "south", south.cases()["S-1"].mark, south.newest_row())
    worker("north")
    said = json.dumps(order.as_dict())
    added = "INSERT INTO procrastinate_jobs (queue_name, task_name, args) VALUES (%s, 'search', %s) RETURNING id"
    with psycopg.connect(job_tables.conninfo(make_url(urls["north"]), queue)) as connection:
        (number,) = connection.execute(added, (job_tables.queue_name(), said)).fetchone()
    state = f"SELECT status::text FROM {queue}.procrastinate_jobs WHERE id = {number}"
    until(lambda: ran(urls["north"], state) == [("failed",)])
    assert ran(urls["north"], f"SELECT result FROM {queue}.stainbook_answers WHERE job = {number}") == []


@pytest.mark.parametrize("who", ["south", "nobody"])
def test_the_database_shows_and_gives_nobody_else_a_labs_queue(urls, who):
    queue = queue_of(urls, "north")
    refused = [f"SELECT count(*) FROM {queue}.{table}" for table in TABLES]
    refused += [f"DELETE FROM {queue}.{table}" for table in TABLES]
    refused += [
        f"SELECT * FROM {queue}.procrastinate_fetch_job_v2(NULL, 1)",
        f"SELECT last_value FROM {queue}.procrastinate_jobs_id_seq",
        f"CREATE TABLE {queue}.mine (x int)",
        f"DROP SCHEMA {queue} CASCADE",
        f"GRANT USAGE ON SCHEMA {queue} TO PUBLIC",
    ]
    for statement in refused:
        with pytest.raises((psycopg.errors.InsufficientPrivilege, psycopg.errors.UndefinedFunction)):
            ran(urls[who], statement)
    ran(urls["super"], "ANALYZE")
    assert ran(urls[who], "SELECT count(*) FROM pg_stats WHERE schemaname = %(queue)s", queue=queue) == [(0,)]


def test_nobody_hears_of_a_labs_work_and_nobody_stops_it_by_a_notice(urls, worker):
    """Channels are open to every role of a database: the library's own notices are not used."""
    channels = ("procrastinate_any_queue_v1", f"procrastinate_queue_v1#{job_tables.queue_name()}")
    worker("north")
    with psycopg.connect(urls["south"].replace("+psycopg", ""), autocommit=True) as south:
        for channel in channels:
            south.execute(f'LISTEN "{channel}"')
        with Lab.open(urls["north"], laboratory="north") as lab:
            job = lab.case(CASE).desk.plan(3)
            until(lambda: job.watch.pace.doing not in ("", "wait"))
            for number in range(20):
                notice = json.dumps({"type": "abort_job_requested", "job_id": number})
                for channel in channels:
                    south.execute("SELECT pg_notify(%s, %s)", (channel, notice))
            assert job.wait(LONG)
            assert job.result().pots
            assert job.watch.told == ""
        own = south.info.backend_pid
        assert [one for one in south.notifies(timeout=0.5) if one.pid != own] == []


@pytest.mark.parametrize("who", ["owner", "super", "nobody"])
def test_a_worker_has_the_role_of_a_lab_where_labs_are_kept_apart(urls, who):
    with pytest.raises(InputError, match="keeps labs apart, and this role is of none of them"):
        run_worker(urls[who], print)


def test_a_labs_queue_is_made_anew_by_its_own_role(urls):
    queue = queue_of(urls, "north")
    ran(urls["north"], f"COMMENT ON TABLE {queue}.stainbook_workers IS 'older'")
    ran(urls["north"], f"DELETE FROM {queue}.procrastinate_workers")
    assert queue_of(urls, "north") == queue
    assert ran(urls["north"], f"SELECT count(*) FROM {queue}.procrastinate_jobs") == [(0,)]
