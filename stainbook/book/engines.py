"""The two engines of a book: one whose transactions write, one whose transactions only read.

Writers take turns: a write transaction holds its lab's write lock from its first moment, so what it reads of the lab
stays true until it commits, and row order is commit order. A file has one lock for all labs; on PostgreSQL each lab has
its own, and what is of all labs, such as a migration, waits for all of them and lets none in.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import random
import sqlite3
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, NullPool, create_engine, event
from sqlalchemy.exc import SQLAlchemyError

from stainbook.book.faults import explained
from stainbook.book.kept_answers import KeptAnswers
from stainbook.book.location import shown
from stainbook.errors import BookError, InputError
from stainbook.language import say

_WRITE_LOCK = 0x57A1B00C  # any number that is ours: the advisory lock of all writers in a database
_ASKS = (0.002, 0.008)  # seconds between two times that a writer asks for a file's lock


@dataclass(frozen=True, slots=True)
class Engines:
    """An open store; database errors come out as BookError."""

    url: URL
    reader: Engine
    writer: Engine
    read_only: bool = False  # a file that may be looked at alone
    answers: KeptAnswers = field(default_factory=KeptAnswers)

    @property
    def is_sqlite(self) -> bool:
        """True for a book in a file."""
        return self.url.drivername == "sqlite"

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that only reads."""
        with self._explaining(), self.reader.begin() as connection:
            yield connection

    @contextlib.contextmanager
    def writing(self, lab: str | None = None) -> Iterator[Connection]:
        """A transaction that holds the write lock; commits at the end, stores nothing on an error.

        lab : that alone is written; None: what is of all labs
        """
        if self.read_only:
            raise BookError(
                say("book {url} cannot be written: the file or its folder is read-only", url=shown(self.url))
            )
        with self._explaining(), self.writer.begin() as connection:
            if not self.is_sqlite:
                for statement in _turn(lab):
                    connection.exec_driver_sql(statement)
            yield connection

    @contextlib.contextmanager
    def _explaining(self) -> Iterator[None]:
        try:
            yield
        except SQLAlchemyError as error:
            raise explained(error, shown(self.url)) from error
        except UnicodeEncodeError as error:  # a file name or argument of bytes that are no text
            raise InputError(
                say("{text!r} cannot be stored: found bytes that are no text, expected UTF-8", text=error.object)
            ) from error

    def close(self) -> None:
        """Give all connections back, and forget what was read."""
        self.answers.clear()
        self.reader.dispose()
        self.writer.dispose()


def connect(url: URL, *, timeout: float) -> Engines:
    """Engines for a checked URL; nothing is opened yet.

    timeout : seconds to wait for another writer.
    """
    return _sqlite(url, timeout) if url.drivername == "sqlite" else _postgresql(url, timeout)


def _sqlite(url: URL, timeout: float) -> Engines:
    way = way_to_look(Path(str(url.database)))
    if way is not None:
        reader = create_engine("sqlite://", poolclass=NullPool, creator=lambda: _opened(url, way, timeout))
        _pragmas(reader, "query_only=ON")
        _begin_with(reader, "BEGIN")
        return Engines(url, reader, reader, read_only=True)
    # no pool: a file opens in well under a millisecond, and nothing stays open behind the caller's back
    reader, writer = (create_engine(url, poolclass=NullPool, connect_args={"timeout": timeout}) for _ in range(2))
    # FULL, not NORMAL: what was acknowledged survives a power cut
    _pragmas(reader, "query_only=ON")
    # secure_delete: what is erased is overwritten, not only let go
    _pragmas(writer, "journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "secure_delete=ON")
    _begin_with(reader, "BEGIN")
    _begin_in_turn(writer, timeout)
    return Engines(url, reader, writer)


def way_to_look(path: Path) -> str | None:
    """How SQLite opens a book that may only be looked at; None for one that may be written, or is not there yet."""
    if not path.is_file() or (os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)):
        return None
    log = path.with_name(f"{path.name}-wal")
    # without a log of writes nobody writes, and nothing beside the file is needed
    return "mode=ro" if log.exists() and log.stat().st_size else "immutable=1"


def _opened(url: URL, way: str, timeout: float) -> sqlite3.Connection:
    place = f"{Path(str(url.database)).absolute().as_uri()}?{way}"
    return sqlite3.connect(place, uri=True, timeout=timeout, check_same_thread=False)


def _postgresql(url: URL, timeout: float) -> Engines:
    options = f"-c lock_timeout={int(timeout * 1000)}"
    arguments = {"connect_timeout": 10, "options": options}
    reader = create_engine(url, pool_pre_ping=True, connect_args={**arguments, "cursor_factory": _binary_cursor()})
    writer = create_engine(url, pool_pre_ping=True, connect_args=arguments)
    _begin_with(reader, "SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
    return Engines(url, reader, writer)


def _turn(lab: str | None) -> tuple[str, ...]:
    """The statements that take a turn in PostgreSQL, always in this order: so nobody waits for each other in a ring."""
    if lab is None:  # versions of before took it for every lab: they and this one keep out of each other's way
        return (f"SELECT pg_advisory_xact_lock({_WRITE_LOCK})",)
    number = int.from_bytes(hashlib.blake2b(lab.encode(), digest_size=4).digest(), signed=True)  # two alike only wait
    return (
        f"SELECT pg_advisory_xact_lock_shared({_WRITE_LOCK})",
        f"SELECT pg_advisory_xact_lock({_WRITE_LOCK}, {number})",
    )


def _binary_cursor() -> type[Any]:
    """psycopg's cursor that has bytes sent as they are, not as text of twice the length: searches read many."""
    from psycopg import Cursor, pq

    class BinaryCursor(Cursor[Any]):
        def __init__(self, *arguments: Any, **more: Any) -> None:
            super().__init__(*arguments, **more)
            self.format = pq.Format.BINARY

    return BinaryCursor


def _pragmas(engine: Engine, *pragmas: str) -> None:
    @event.listens_for(engine, "connect")
    def set_pragmas(connection: Any, _: Any) -> None:
        connection.isolation_level = None  # else the driver begins late, and reads run outside the transaction
        for pragma in pragmas:
            connection.execute(f"PRAGMA {pragma}").close()


def _begin_in_turn(engine: Engine, timeout: float) -> None:
    """Begin transactions that write a file, asking for its lock at even intervals.

    SQLite itself asks ever more seldom, up to every 0.1 s: who waits long is then passed by who has just come, and gave
    up after 30 s while five others wrote without a pause.
    """

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        driver: Any = connection.connection.driver_connection
        until = time.monotonic() + timeout
        driver.execute("PRAGMA busy_timeout=0").close()
        try:
            while time.monotonic() < until:
                try:
                    driver.execute("BEGIN IMMEDIATE").close()
                    return
                except sqlite3.OperationalError as error:
                    if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:
                        break
                time.sleep(random.uniform(*_ASKS))
            connection.exec_driver_sql("BEGIN IMMEDIATE")  # says what is wrong
        finally:
            driver.execute(f"PRAGMA busy_timeout={int(timeout * 1000)}").close()


def _begin_with(engine: Engine, statement: str) -> None:
    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql(statement)
