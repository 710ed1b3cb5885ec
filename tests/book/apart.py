"""A PostgreSQL database that keeps two labs apart, and the roles that ask it."""

from __future__ import annotations

import contextlib
import uuid
from collections.abc import Iterator

from stainbook.book.labs_apart import prepare_lab


@contextlib.contextmanager
def two_labs(server: str) -> Iterator[dict[str, str]]:
    """URLs by who asks: the labs north and south, the database's owner, who is no superuser, nobody, a superuser."""
    import psycopg

    name = f"t{uuid.uuid4().hex[:12]}"
    keeper, north, south, nobody = (f"{one}_{name}" for one in ("keeper", "north", "south", "nobody"))
    with psycopg.connect(f"{server.replace('+psycopg', '')}/postgres", autocommit=True) as connection:
        connection.execute(f"CREATE ROLE {keeper} LOGIN CREATEROLE")
        connection.execute(f"CREATE ROLE {nobody} LOGIN")
        connection.execute(f"CREATE DATABASE {name} OWNER {keeper}")
    whole = f"{server}/{name}"
    owner = whole.replace("postgres@", f"{keeper}@")
    found = {
        lab: prepare_lab(owner, lab, role).render_as_string() for lab, role in (("north", north), ("south", south))
    }
    yield {**found, "owner": owner, "nobody": owner.replace(keeper, nobody), "super": whole}
    with psycopg.connect(f"{server.replace('+psycopg', '')}/postgres", autocommit=True) as connection:
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)")
        for role in (north, south, nobody, keeper):
            connection.execute(f"DROP OWNED BY {role} CASCADE")
            connection.execute(f"DROP ROLE {role}")
