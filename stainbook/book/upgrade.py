"""Opening: a new book is made, an older one migrated after a backup, a newer one refused.

A file is copied before; a server's book is migrated only by whoever says that it was dumped, by the environment's
``STAINBOOK_DUMPED=yes``. A book that is up to date costs one query. Whoever migrates holds the write lock, so of
several that open at once the first does it and the others find it done.
"""

from __future__ import annotations

import contextlib
import os
import threading
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, inspect, text
from sqlalchemy.exc import DBAPIError

from stainbook.book import book_tables, index
from stainbook.book.backup import back_up
from stainbook.book.engines import Engines, connect
from stainbook.book.location import locate, prepare_file, shown, take_from_others
from stainbook.errors import BookError
from stainbook.language import joined, say

if TYPE_CHECKING:
    from alembic.config import Config

DUMPED = "STAINBOOK_DUMPED"
MIGRATIONS = Path(__file__).parent / "migrations"
_KEPT_APART = text("SELECT relforcerowsecurity FROM pg_class WHERE oid = to_regclass('records')")
_alembic = threading.Lock()  # Alembic keeps its context in module globals: one migration a process at a time


def ready(url: str | None, *, timeout: float) -> Engines:
    """Engines of an up-to-date book.

    Raises InputError, BookError as ``open_book`` does.
    """
    place = locate(url)
    if place.drivername == "sqlite":
        prepare_file(place)
    with contextlib.ExitStack() as on_failure:
        engines = connect(place, timeout=timeout)
        on_failure.callback(engines.close)
        if not _is_current(engines):
            if engines.read_only:
                raise BookError(
                    say(
                        "book {place} is of an older version and read-only: copy it to where you may write",
                        place=shown(place),
                    )
                )
            _migrate(engines)
        if engines.is_sqlite:
            take_from_others(place)
        on_failure.pop_all()
    return engines


def _is_current(engines: Engines) -> bool:
    try:
        with engines.reader.begin() as connection:
            return _revision(connection) == book_tables.REVISION
    except DBAPIError:  # a new book has no such table; anything worse comes up again on the long way
        return False


def _revision(connection: Connection) -> str | None:
    found: str | None = connection.scalar(text(f"SELECT version_num FROM {book_tables.VERSION_TABLE}"))
    return found


def _migrate(engines: Engines) -> None:
    config = _config()
    with engines.reading() as connection:  # a file that is no book of ours is refused before it is touched
        _accept(connection, engines, config)
    with _alembic, engines.writing() as connection:
        before = _accept(connection, engines, config)
        if before == book_tables.REVISION:
            return
        if not engines.is_sqlite and connection.scalar(_KEPT_APART):  # nothing would be found to migrate
            raise BookError(
                say(
                    "book {place} keeps labs apart: its owner brings it up to date with stainbook server prepare",
                    place=shown(engines.url),
                )
            )
        if before is not None:
            _keep_a_copy(connection, engines, before)
        _upgrade(connection, config)
        index.rebuild(connection)


def _keep_a_copy(connection: Connection, engines: Engines, before: str) -> None:
    """Copy a file; a server's book is copied by the server's tools, and whoever did it says so."""
    if engines.is_sqlite:
        back_up(Path(str(engines.url.database)), revision=before)
    elif os.environ.get(DUMPED) != "yes" and connection.scalar(text("SELECT EXISTS (SELECT 1 FROM records)")):
        raise BookError(
            say(
                "book {url} is of revision {before}, this version keeps books of {now}: dump it with "
                "pg_dump, then open it once with {variable}=yes in the environment; nothing was changed",
                url=shown(engines.url),
                before=before,
                now=book_tables.REVISION,
                variable=DUMPED,
            )
        )


def _accept(connection: Connection, engines: Engines, config: Config) -> str | None:
    """The revision of a book that this version can use, None of an empty store."""
    from alembic.script import ScriptDirectory

    tables = inspect(connection).get_table_names()
    found = _revision(connection) if book_tables.VERSION_TABLE in tables else None
    place = shown(engines.url)
    if found is None and tables:
        raise BookError(
            say(
                "{place} is no book: it holds other tables ({tables}); name another place",
                place=place,
                tables=joined(sorted(tables)[:3]),
            )
        )
    known = {script.revision for script in ScriptDirectory.from_config(config).walk_revisions()}
    if found is not None and found not in known:
        raise BookError(
            say(
                "book {place} was made by a newer version of stainbook (revision {revision}); update stainbook",
                place=place,
                revision=found,
            )
        )
    return found


def _config() -> Config:
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config


def _upgrade(connection: Connection, config: Config) -> None:
    from alembic import command

    config.attributes["connection"] = connection
    command.upgrade(config, "head")
