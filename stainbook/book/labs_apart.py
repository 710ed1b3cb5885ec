"""Several labs in one PostgreSQL database, kept apart by the database itself.

Each lab has a database role of its own. Row-level security, forced on the tables' owner too, shows a role the rows of
its lab alone and lets it store no others; which lab a role has stands in ``lab_roles``, where each sees its own line.
The app's role owns nothing, bypasses nothing and cannot change a table. Numbers, ends and chains are a lab's own
already (see `journal`), so nothing is told from outside what it may see.
"""

from __future__ import annotations

import hashlib
import re
from typing import Any

from sqlalchemy import URL, Connection, text

from stainbook.book import book_tables, upgrade
from stainbook.book.engines import Engines
from stainbook.book.location import locate, shown
from stainbook.errors import BookError, InputError
from stainbook.language import say

_TABLES = ("records", "head", "searched")
_MINE = "lab = (SELECT lab_roles.lab FROM lab_roles WHERE lab_roles.role = CURRENT_USER)"
_LONGEST_NAME = 63  # bytes of a name in PostgreSQL
_ROLE = re.compile(r"[a-z_][a-z0-9_]{0,62}")
_RIGHTS = {
    "records": "SELECT, INSERT, UPDATE",  # an erased row is overwritten, none is deleted
    "head": "SELECT, INSERT, UPDATE",
    "searched": "SELECT, INSERT, UPDATE, DELETE",
    "lab_roles": "SELECT",
    book_tables.VERSION_TABLE: "SELECT",
}


def prepare_lab(url: str | None, lab: str, role: str, *, password: str | None = None, timeout: float = 30.0) -> URL:
    """Make or bring up to date a database, and give a lab a role in it that reaches its own rows alone.

    url : of the database, as its owner; password : of the role, None leaves it as it is
    Gives the URL that the lab's app uses. Raises InputError for names that cannot be, BookError where the owner's
    rights are missing or labs had one chain before.

    >>> prepare_lab("sqlite:///lab.db", "north", "lab_north")
    Traceback (most recent call last):
        ...
    stainbook.errors.InputError: labs are kept apart on PostgreSQL alone, found the file lab.db
    """
    place = locate(url)
    if place.drivername == "sqlite":
        raise InputError(say("labs are kept apart on PostgreSQL alone, found the file {url}", url=shown(place)))
    if not _ROLE.fullmatch(role):
        raise InputError(say("found the role {role!r}, expected small letters, digits and _", role=role))
    if not lab.strip() or lab == book_tables.ALL_LABS:
        raise InputError(say("found no lab, expected its name, as in --lab north"))
    _force(place, timeout, on=False)  # the owner's migration would find no rows
    try:
        engines = upgrade.ready(url, timeout=timeout)
        try:
            with engines.writing() as connection:
                _refuse_one_chain(connection, place)
                _keep_apart(connection)
                _give(connection, lab, role, password)
        finally:
            engines.close()
    except BaseException:
        _force(place, timeout, on=True)
        raise
    return place.set(username=role, password=None)


def _force(place: URL, timeout: float, *, on: bool) -> None:
    """Force on the owner what holds for others, or lift it, where labs are kept apart already."""
    from stainbook.book.engines import connect

    engines = connect(place, timeout=timeout)
    try:
        with engines.writing() as connection:
            for table in _TABLES:
                apart = text("SELECT relrowsecurity FROM pg_class WHERE oid = to_regclass(:name)")
                if connection.scalar(apart, {"name": table}):
                    connection.execute(text(f"ALTER TABLE {table} {'' if on else 'NO '}FORCE ROW LEVEL SECURITY"))
    finally:
        engines.close()


def _refuse_one_chain(connection: Connection, place: URL) -> None:
    if connection.scalar(text("SELECT EXISTS (SELECT 1 FROM head WHERE lab = :all)"), {"all": book_tables.ALL_LABS}):
        raise BookError(
            say(
                "book {place} has rows of before, which all its labs chained together: export each lab with "
                "stainbook book export, and import it into a new database",
                place=shown(place),
            )
        )


def _keep_apart(connection: Connection) -> None:
    run = connection.exec_driver_sql
    run("CREATE TABLE IF NOT EXISTS lab_roles (role name PRIMARY KEY, lab text NOT NULL)")
    schema = connection.scalar(text("SELECT quote_ident(current_schema())"))
    run(f"REVOKE CREATE ON SCHEMA {schema} FROM PUBLIC")
    for table in (*_TABLES, "lab_roles", book_tables.VERSION_TABLE):
        run(f"REVOKE ALL ON {table} FROM PUBLIC")
    for table in _TABLES:
        run(f"ALTER TABLE {table} ENABLE ROW LEVEL SECURITY")
        run(f"ALTER TABLE {table} FORCE ROW LEVEL SECURITY")
        run(f"DROP POLICY IF EXISTS own_lab ON {table}")
        run(f"CREATE POLICY own_lab ON {table} USING ({_MINE}) WITH CHECK ({_MINE})")
    run("ALTER TABLE lab_roles ENABLE ROW LEVEL SECURITY")  # not forced: its owner writes it
    run("DROP POLICY IF EXISTS own_role ON lab_roles")
    run("CREATE POLICY own_role ON lab_roles FOR SELECT USING (role = CURRENT_USER)")


def _give(connection: Connection, lab: str, role: str, password: str | None) -> None:
    run = connection.exec_driver_sql
    found = connection.execute(
        text("SELECT rolsuper OR rolbypassrls OR rolcreaterole OR pg_has_role(oid, current_user, 'MEMBER') OR "
             "rolname = current_user FROM pg_roles WHERE rolname = :role"),
        {"role": role},
    ).scalar_one_or_none()  # fmt: skip
    if found:
        raise InputError(say("role {role} has rights over others: name one that has none", role=role))
    if found is None:
        run(f"CREATE ROLE {role} LOGIN NOSUPERUSER NOBYPASSRLS NOCREATEDB NOCREATEROLE NOINHERIT")
    if password is not None:
        run(f"ALTER ROLE {role} PASSWORD '{_encrypted(connection, role, password)}'")
    schema = connection.scalar(text("SELECT quote_ident(current_schema())"))
    run(f"GRANT USAGE ON SCHEMA {schema} TO {role}")
    for table, rights in _RIGHTS.items():
        run(f"REVOKE ALL ON {table} FROM {role}")
        run(f"GRANT {rights} ON {table} TO {role}")
    _give_queue(connection, role)
    other = connection.scalar(text("SELECT lab FROM lab_roles WHERE role = :role"), {"role": role})
    if other not in (None, lab):
        raise InputError(say("role {role} belongs to the lab {lab} already: name another", role=role, lab=other))
    connection.execute(
        text("INSERT INTO lab_roles VALUES (:role, :lab) ON CONFLICT (role) DO NOTHING"), {"role": role, "lab": lab}
    )


def queue_schema(role: str) -> str:
    """The schema in which the workers of a lab have their queue, by the lab's role.

    >>> queue_schema("lab_north"), len(queue_schema("r" * 63))
    ('stainbook_jobs_lab_north', 47)
    """
    name = f"stainbook_jobs_{role}"
    if len(name) > _LONGEST_NAME:
        name = f"stainbook_jobs_{hashlib.sha256(role.encode()).hexdigest()[:32]}"
    return name


def _give_queue(connection: Connection, role: str) -> None:
    """A schema for the lab's queue, in which its role makes tables and which no other lab's may use.

    None where the owner may make none: the lab then has no workers.
    """
    schema, run = queue_schema(role), connection.exec_driver_sql
    may = "SELECT to_regnamespace(:schema) IS NOT NULL, has_database_privilege(current_database(), 'CREATE')"
    there, allowed = connection.execute(text(may), {"schema": schema}).one()
    if not there and not allowed:
        return
    if not there:
        run(f"CREATE SCHEMA {schema}")
    run(f"REVOKE ALL ON SCHEMA {schema} FROM PUBLIC")
    run(f"GRANT USAGE, CREATE ON SCHEMA {schema} TO {role}")


def _encrypted(connection: Connection, role: str, password: str) -> str:
    """A password as the server keeps it: what was typed never reaches its logs."""
    driver: Any = connection.connection.driver_connection
    found: bytes = driver.pgconn.encrypt_password(password.encode(), role.encode(), b"scram-sha-256")
    return found.decode()  # letters, digits, + / = : $ alone


# ---------------------------------------------------------------- before a lab's server starts


def check_apart(engines: Engines, lab: str) -> None:
    """Refuse a role that would see other labs where they are kept apart, and another lab's; raises BookError."""
    if engines.is_sqlite:
        return
    with engines.reading() as connection:
        apart, owns, over, own = connection.execute(text(
            "SELECT c.relrowsecurity, pg_has_role(c.relowner, 'MEMBER'), r.rolsuper OR r.rolbypassrls, "
            "to_regclass('lab_roles') IS NOT NULL "
            "FROM pg_class c, pg_roles r WHERE c.oid = to_regclass('records') AND r.rolname = current_user"
        )).one()  # fmt: skip
        if not (apart and own):
            return
        if owns or over:
            found = say("found one that owns the tables or bypasses their policies")
        else:
            whose = connection.scalar(text("SELECT lab FROM lab_roles WHERE role = CURRENT_USER"))
            if whose == lab:
                return
            found = say("found the role of {whose!r} and STAINBOOK_LAB={lab!r}", whose=whose or "", lab=lab)
    raise BookError(
        say(
            "book {place} keeps labs apart: expected the role of the lab, {found}",
            place=shown(engines.url),
            found=found,
        )
    )
