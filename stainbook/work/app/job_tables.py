"""The queue of searches in a PostgreSQL book's database: `procrastinate`'s tables and two of ours, in a schema apart.

Nothing of the book stands in it: an order names a case by its mark, an answer holds numbers, zones and stains. What is
older than an hour goes, and all of it can be dropped at any time.

Where labs are kept apart by role, each lab's role has a queue of its own in a schema that no other role may use. The
library's notices go over channels that every role of a database hears and may speak on, so that one lab could count
another's work and stop it: there are none, and workers look into the queue instead.
"""

from __future__ import annotations

import hashlib
import importlib.util
from typing import TYPE_CHECKING, Any

from sqlalchemy import URL

from stainbook import __version__
from stainbook.book.labs_apart import queue_schema
from stainbook.book.location import shown
from stainbook.errors import BookError, InputError
from stainbook.language import say

if TYPE_CHECKING:
    import psycopg

SCHEMA = "stainbook_jobs"
TASK = "search"
KEPT_HOURS = 1
_SETTING_UP = 0x57A1B00D  # any number that is ours: one worker of a queue at a time makes the tables
_OWN = """
DROP TRIGGER procrastinate_jobs_notify_queue_job_inserted_v1 ON procrastinate_jobs;
DROP TRIGGER procrastinate_jobs_notify_queue_job_aborted_v1 ON procrastinate_jobs;
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

_DROPS = """
SELECT 1 AS turn, 'DROP TABLE IF EXISTS ' || c.oid::regclass || ' CASCADE' AS drop FROM pg_class c
JOIN pg_namespace n ON n.oid = c.relnamespace WHERE n.nspname = %(schema)s AND c.relkind = 'r'
UNION ALL SELECT 2, 'DROP FUNCTION IF EXISTS ' || p.oid::regprocedure || ' CASCADE' FROM pg_proc p
JOIN pg_namespace n ON n.oid = p.pronamespace WHERE n.nspname = %(schema)s
UNION ALL SELECT 3, 'DROP TYPE IF EXISTS ' || t.oid::regtype || ' CASCADE' FROM pg_type t
JOIN pg_namespace n ON n.oid = t.typnamespace WHERE n.nspname = %(schema)s AND t.typtype IN ('e', 'c')
ORDER BY turn
"""
MARK = """
SELECT obj_description(c.oid, 'pg_class') AS mark FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
WHERE n.nspname = %(schema)s AND c.relname = 'stainbook_workers'
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


def schema_of(url: URL) -> str | None:
    """The schema of the queue that this role uses: its lab's own where labs are kept apart, None for a role of none.

    Raises what the driver raises where the database cannot be asked.
    """
    import psycopg

    with psycopg.connect(conninfo(url, None), autocommit=True) as connection:
        row = connection.execute(
            "SELECT current_user, to_regclass('lab_roles') IS NOT NULL AS apart, has_table_privilege("
            "to_regclass('lab_roles'), 'SELECT')"
        ).fetchone()
        assert row is not None
        role, apart, may_ask = row
        if not apart:
            return SCHEMA
        own = "SELECT EXISTS (SELECT 1 FROM lab_roles WHERE role = current_user)"
        found = connection.execute(own).fetchone() if may_ask else None
        return queue_schema(str(role)) if found and found[0] else None


def conninfo(url: URL, schema: str | None = SCHEMA) -> str:
    """How psycopg is told where the book's database is, and which schema is meant: that of the queue; None, its own."""
    from psycopg.conninfo import make_conninfo

    known = url.translate_connect_args(username="user", database="dbname")
    query: dict[str, Any] = {**url.query}
    own = ["-c", f"search_path={schema}"] if schema else []
    options = " ".join(filter(None, [query.pop("options", ""), *own]))
    return make_conninfo("", **known, **query, options=options, connect_timeout=10)


def mark() -> str:
    """What the tables are made from: another version of the library, or of this program, has another mark."""
    from procrastinate.schema import SchemaManager

    return hashlib.sha256((SchemaManager.get_schema() + _OWN).encode()).hexdigest()[:16]


def set_up(url: URL) -> str:
    """Make the tables where they are missing, anew where another version made them and none of its workers is alive.

    Gives the schema that they are in. Raises BookError where that cannot be, InputError without the queue's library,
    for a book in a file and for a role of no lab where labs are kept apart.
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
        schema = schema_of(url)
        if schema is None:
            raise InputError(
                say(
                    "{url} keeps labs apart, and this role is of none of them: a worker has the role of the lab whose "
                    "work it does",
                    url=shown(url),
                )
            )
        with psycopg.connect(conninfo(url, schema)) as connection:
            connection.execute("SELECT pg_advisory_xact_lock(%s, hashtext(%s))", (_SETTING_UP, schema))
            before = connection.execute(MARK, {"schema": schema}).fetchone()
            if before is not None and before[0] == mark():
                return schema
            there = connection.execute("SELECT to_regnamespace(%s)", (schema,)).fetchone()
            if there is None or there[0] is None:
                connection.execute(f"CREATE SCHEMA {schema}")
            else:
                _refuse_alive(connection, url)
                for _, drop in connection.execute(_DROPS, {"schema": schema}).fetchall():
                    connection.execute(drop)
            connection.execute(SchemaManager.get_schema())
            connection.execute(_OWN)
            connection.execute(f"COMMENT ON TABLE stainbook_workers IS '{mark()}'")
            return schema
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
