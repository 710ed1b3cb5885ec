"""The queue of searches in a PostgreSQL book's database: `procrastinate`'s tables and two of ours, in a schema apart.

Nothing of the book stands in it: an order names a case by its mark, an answer holds numbers, zones and stains. What is
older than an hour goes, and all of it can be dropped at any time.
"""

from __future__ import annotations

import hashlib
import importlib.util
from typing import TYPE_CHECKING, Any

from sqlalchemy import URL

from stainbook import __version__
from stainbook.book.location import shown
from stainbook.errors import BookError, InputError
from stainbook.language import say

if TYPE_CHECKING:
    import psycopg

SCHEMA = "stainbook_jobs"
TASK = "search"
KEPT_HOURS = 1
_SETTING_UP = 0x57A1B00D  # any number that is ours: one worker at a time makes the tables
_OWN = """
CREATE TABLE stainbook_workers (
    worker bigint PRIMARY KEY REFERENCES procrastinate_workers (id) ON DELETE CASCADE,
    version text NOT NULL,
    patience double precision NOT NULL  -- seconds without a sign of life after which it counts as dead
);
CREATE TABLE stainbook_answers (
    job bigint PRIMARY KEY REFERENCES procrastinate_jobs (id) ON DELETE CASCADE,
    doing text NOT NULL DEFAULT '', done integer NOT NULL DEFAULT 0, of integer NOT NULL DEFAULT 1,
    parts text, part integer NOT NULL DEFAULT 0,  -- what was found on the way, and how often that grew
    result text
);
"""

ALIVE = """
SELECT own.version FROM stainbook_workers own JOIN procrastinate_workers w ON w.id = own.worker
WHERE w.last_heartbeat > now() - own.patience * interval '1 second'
"""
LOOK = f"""
SELECT j.status::text AS status, a.doing, a.done, a.of, a.part, a.result,
       CASE WHEN a.part > %(part)s THEN a.parts END AS parts,
       EXISTS ({ALIVE} AND own.version = %(version)s) AS alive
FROM procrastinate_jobs j LEFT JOIN stainbook_answers a ON a.job = j.id WHERE j.id = %(job)s
"""
PACE = """
INSERT INTO stainbook_answers (job, doing, done, of) VALUES (%(job)s, %(doing)s, %(done)s, %(of)s)
ON CONFLICT (job) DO UPDATE SET doing = excluded.doing, done = excluded.done, of = excluded.of
"""
PARTS = "UPDATE stainbook_answers SET parts = %(parts)s, part = %(part)s WHERE job = %(job)s AND part < %(part)s"
RESULT = """
INSERT INTO stainbook_answers (job, result) VALUES (%(job)s, %(result)s)
ON CONFLICT (job) DO UPDATE SET result = excluded.result WHERE stainbook_answers.result IS NULL
"""
JOIN = "INSERT INTO stainbook_workers (worker, version, patience) VALUES (%(worker)s, %(version)s, %(patience)s)"


def is_installed() -> bool:
    """Whether the queue's library is here."""
    return importlib.util.find_spec("procrastinate") is not None


def queue_name(version: str = __version__) -> str:
    """The queue of one version: no other takes work from it."""
    return f"stainbook {version}"


def conninfo(url: URL) -> str:
    """How psycopg is told where the book's database is, and that the queue's schema is meant."""
    from psycopg.conninfo import make_conninfo

    known = url.translate_connect_args(username="user", database="dbname")
    query: dict[str, Any] = {**url.query}
    options = " ".join(filter(None, [query.pop("options", ""), "-c", f"search_path={SCHEMA}"]))
    return make_conninfo("", **known, **query, options=options, connect_timeout=10)


def mark() -> str:
    """What the tables are made from: another version of the library, or of this program, has another mark."""
    from procrastinate.schema import SchemaManager

    return hashlib.sha256((SchemaManager.get_schema() + _OWN).encode()).hexdigest()[:16]


def found_mark(connection: psycopg.Connection[Any]) -> str | None:
    """The mark of the tables that are there, None where there are none."""
    row = connection.execute(
        "SELECT obj_description(oid, 'pg_namespace') FROM pg_namespace WHERE nspname = %s", (SCHEMA,)
    ).fetchone()
    return None if row is None else str(row[0])


def set_up(url: URL) -> None:
    """Make the tables where they are missing, anew where another version made them and none of its workers is alive.

    Raises BookError where that cannot be, InputError without the queue's library or for a book in a file.
    """
    if url.drivername == "sqlite":
        raise InputError(
            say(
                "book {url} is a file, expected one on a PostgreSQL server: workers share their work there",
                url=shown(url),
            )
        )
    if not is_installed():
        raise InputError(say("workers need the queue's library: pip install 'stainbook[workers]'"))
    import psycopg
    from procrastinate.schema import SchemaManager

    try:
        with psycopg.connect(conninfo(url)) as connection:
            connection.execute("SELECT pg_advisory_xact_lock(%s)", (_SETTING_UP,))
            before = found_mark(connection)
            if before == mark():
                return
            if before is not None:
                _refuse_alive(connection, url)
                connection.execute(f"DROP SCHEMA {SCHEMA} CASCADE")
            connection.execute(f"CREATE SCHEMA {SCHEMA}")
            connection.execute(SchemaManager.get_schema())
            connection.execute(_OWN)
            connection.execute(f"COMMENT ON SCHEMA {SCHEMA} IS '{mark()}'")
    except psycopg.Error as error:
        reason = " ".join(str(error).split())
        raise BookError(say("no queue can be made in {url}: {reason}", url=shown(url), reason=reason)) from error


def _refuse_alive(connection: psycopg.Connection[Any], url: URL) -> None:
    import psycopg

    try:
        with connection.transaction():
            found = sorted({str(row[0]) for row in connection.execute(ALIVE)})
    except psycopg.errors.UndefinedTable:
        return
    if found:
        raise BookError(
            say(
                "the queue in {url} is of another version, and workers of {found} are alive; this is {own}: end them "
                "first",
                url=shown(url),
                found=", ".join(found),
                own=__version__,
            )
        )
