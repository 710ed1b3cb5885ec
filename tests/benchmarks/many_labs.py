"""Many labs in one PostgreSQL database: ``python -m tests.benchmarks.many_labs [LABS] [OUTCOMES_A_LAB]``.

A throw-away server. One lab is filled as the app fills it, with cases, readings and made-up outcomes; the database
copies its rows for the others under their names, so their seals are the first one's and their chains are not checked.
Then the role of one lab, which row-level security shows its own rows alone, searches, opens cases and stores. Told are
the least and the median by the clock, and seconds of a core, of this process and of the server's for it together.
"""

from __future__ import annotations

import os
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from stainbook.book import Book, open_book
from stainbook.book.labs_apart import prepare_lab
from stainbook.records import Case, CaseZone, Reading, SampleRef, Viewing
from stainbook.work.case.current_case import known_case
from tests.benchmarks.many_outcomes import ASKED, outcomes
from tests.conftest import _server_binaries, _throwaway_server

TICK = 1.0 / os.sysconf("SC_CLK_TCK")
ZONES = ("cervical", "middle")
A_CASE = 12  # outcomes
ROUNDS = 15


def fill_lab(book: Book, count: int) -> None:
    """One lab's work: cases with readings, and their outcomes."""
    some = list(outcomes(count, 0))
    codes = sorted({one.case for one in some})
    with book.transaction() as step:
        step.add_readings(
            Reading(f"{code}-11-{zone}", lab=(71.0 + n % 5, 1.0, 16.0), viewing=Viewing())
            for n, code in enumerate(codes)
            for zone in ZONES
        )
        step.add_cases(
            Case(
                code,
                tuple(CaseZone(11, zone, "tooth", now=SampleRef(f"{code}-11-{zone}")) for zone in ZONES),
                material="zirconia",
                stage="blasted",
            )
            for code in codes
        )
    for start in range(0, count, 5000):
        book.add_outcomes(some[start : start + 5000])


def copy_lab(connection: Any, first: int, upto: int) -> None:
    """Let the database copy the rows of the lab 0 for others."""
    for table in ("records", "head", "searched"):
        connection.execute(f"SELECT string_agg(quote_ident(attname), ', ' ORDER BY attnum) FROM pg_attribute "
                           f"WHERE attrelid = '{table}'::regclass AND attnum > 0 AND NOT attisdropped")  # fmt: skip
        names = str(connection.fetchone()[0])
        taken = names.replace("lab", "'lab-' || n", 1) if names.startswith("lab") else names.replace(
            " lab,", " 'lab-' || n,", 1
        )  # fmt: skip
        connection.execute(
            f"INSERT INTO {table} ({names}) SELECT {taken} FROM generate_series({first}, {upto}) AS n, {table} "
            f"WHERE lab = 'lab-0'"
        )


class Spent:
    """Seconds of a core of this process and of the server's process for a book."""

    def __init__(self, book: Book) -> None:
        self._servers = []
        for connect in (book._engines.reading, book._engines.writing):
            with connect() as connection:
                self._servers.append(connection.exec_driver_sql("SELECT pg_backend_pid()").scalar())

    def __call__(self) -> float:
        """So far."""
        own = resource.getrusage(resource.RUSAGE_SELF)
        theirs = 0
        for number in self._servers:
            said = Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()
            theirs += int(said[11]) + int(said[12])
        return own.ru_utime + own.ru_stime + TICK * theirs


def timed(name: str, spent: Spent, asks: list[Callable[[], object]]) -> None:
    """Ask, and print what it took each time."""
    asks[0]()
    began, clock = spent(), []
    for ask in asks:
        at = time.perf_counter()
        ask()
        clock.append(1000 * (time.perf_counter() - at))
    core = 1000 * (spent() - began) / len(asks)
    print(f"| {name} | {min(clock):.1f} | {np.median(clock):.1f} | {core:.1f} |", flush=True)


def main(labs: int = 1000, each: int = 5000) -> None:
    """Fill, ask, and print."""
    import psycopg

    binaries = _server_binaries()
    if binaries is None:
        sys.exit("no PostgreSQL server on this machine (apt-get install postgresql)")
    with _throwaway_server(binaries) as server, tempfile.TemporaryDirectory():
        plain = f"{server.replace('+psycopg', '')}/postgres"
        with psycopg.connect(plain, autocommit=True) as connection:
            connection.execute("CREATE ROLE keeper LOGIN CREATEROLE")
            connection.execute("CREATE DATABASE labs OWNER keeper")
        owner = f"{server}/labs".replace("postgres@", "keeper@")
        url = prepare_lab(owner, "lab-0", "lab_0").render_as_string(hide_password=False)
        with open_book(url, lab="lab-0") as book:
            fill_lab(book, each)
            assert book.verify().faults == ()
        began = time.monotonic()
        with psycopg.connect(f"{server.replace('+psycopg', '')}/labs", autocommit=True) as connection:
            cursor = connection.cursor()
            cursor.execute("SET synchronous_commit = off")
            for first in range(1, labs, 50):
                copy_lab(cursor, first, min(first + 49, labs - 1))
                cursor.execute("CHECKPOINT")
            cursor.execute("VACUUM ANALYZE")
            cursor.execute("SELECT count(*) FROM records WHERE kind = 'outcome'")
            count = cursor.fetchone()[0]
            cursor.execute("SELECT pg_total_relation_size('records'), pg_total_relation_size('searched'), count(*) "
                           "FROM records")  # fmt: skip
            records, searched, rows = cursor.fetchone()
        print(
            f"{labs} labs, {count:,} outcomes, {rows:,} rows, copied in {time.monotonic() - began:.0f} s; records "
            f"{records / 1e9:.2f} GB ({records / rows:.0f} bytes a row with keys), searched {searched / 1e9:.2f} GB"
        )
        who = f"lab-{labs // 2}"
        url = prepare_lab(owner, who, "lab_mid").render_as_string(hide_password=False)
        print("\n| one lab asks | least ms | median ms | ms of core |\n| --- | --- | --- | --- |")
        with open_book(url, lab=who) as book:
            ask(book, each)


def ask(book: Book, each: int) -> None:
    """What a lab's app asks, and stores."""
    spent = Spent(book)
    for name, wanted in ASKED.items():
        timed(f"search: {name}", spent, [lambda wanted=wanted: book.search(wanted)] * ROUNDS)
    cases = [f"W-0-{n}" for n in np.linspace(0, each // A_CASE - 1, ROUNDS).astype(int)]
    timed("open a case", spent, [lambda code=code: known_case(book, code) for code in cases])
    timed("which row is newest", spent, [book.newest_row] * ROUNDS)
    timed("the cases in the lab", spent, [book.case_heads] * 5)
    more = list(outcomes(ROUNDS, 1))
    timed("store an outcome", spent, [lambda one=one: book.add_outcomes([one]) for one in more])


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
