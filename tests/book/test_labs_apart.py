"""Labs that one PostgreSQL database keeps apart: a lab's own database role is told of no other lab."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from typing import Any

import pytest

from stainbook.book import Book, open_book
from stainbook.book.entries import Share
from stainbook.book.labs_apart import prepare_lab
from stainbook.book.wanted import BookQuery
from stainbook.errors import BookError, InputError, StainbookError
from stainbook.records import Stain
from tests.book.apart import two_labs
from tests.book.worked import case, outcome, recipe

pytestmark = pytest.mark.postgresql


@pytest.fixture(scope="module")
def urls(postgresql_server: str) -> Iterator[dict[str, str]]:
    with two_labs(postgresql_server) as found:
        yield found


@pytest.fixture(scope="module")
def labs(urls: dict[str, str]) -> Iterator[tuple[Book, Book]]:
    with open_book(urls["north"], lab="north") as north, open_book(urls["south"], lab="south") as south:
        north.add_cases([case("N-1")])
        north.add_stains([Stain("husk")])
        north.add_outcomes([outcome("N-1"), outcome("N-1", tooth=21)])
        north.revise_recipe(recipe())
        north.share("recipe", recipe().recipe)
        south.add_stains([Stain("teasel")])
        yield north, south


def ran(url: str, statement: str) -> list[Any]:
    """What a role gets that speaks to the database itself; raises what the database raises."""
    import psycopg

    with psycopg.connect(url.replace("+psycopg", ""), autocommit=True) as connection:
        found = connection.execute(statement)
        return found.fetchall() if found.description else [found.rowcount]


def test_each_lab_counts_chains_and_finds_its_own(labs: tuple[Book, Book]) -> None:
    north, south = labs
    assert (north.newest_row(), south.newest_row()) == (6, 1)
    assert north.counts()["outcome"] == 2
    assert list(south.stains()) == ["teasel"]
    for book, rows in ((north, 6), (south, 1)):
        assert (book.verify().faults, book.verify().rows) == ((), rows)
    assert len(north.search(BookQuery((72.0, 1.0, 18.0), 5.0))) > 0
    assert list(south.search(BookQuery((72.0, 1.0, 18.0), 5.0))) == []
    assert list(south.recipes()) == []  # what north shares stays there: labs that are kept apart hand on bundles


@pytest.mark.parametrize("lab", ["north", "", "south"])
def test_another_labs_name_opens_nothing(labs: tuple[Book, Book], urls: dict[str, str], lab: str) -> None:
    with open_book(urls["south"], lab=lab) as asked:
        own = lab == "south"
        assert list(asked.stains()) == (["teasel"] if own else [])
        assert (list(asked.cases()), asked.outcomes(), asked.names("outcome")) == ([], (), [])
        assert asked.newest_row() == (1 if own else 0)
        for write in (
            lambda: asked.add_stains([Stain("moss")]),
            lambda: asked.add_outcomes([outcome("N-1")]),
            lambda: asked.restore(labs[0].history()),
        ):
            if own:
                break
            with pytest.raises(BookError, match="another lab's"):
                write()
        with contextlib.suppress(StainbookError):
            asked.erase_case("N-1")
        with contextlib.suppress(StainbookError):
            asked.rebuild_index()
    assert labs[0].newest_row() == 6
    assert labs[0].verify().faults == ()


STATEMENTS = [
    "SELECT count(*) FROM records WHERE lab = 'north'",
    "SELECT count(*) FROM head WHERE lab = 'north'",
    "SELECT count(*) FROM searched WHERE lab = 'north'",
    "SELECT count(*) FROM lab_roles WHERE lab = 'north'",
    "WITH found AS (UPDATE records SET author = 'x' WHERE lab = 'north' RETURNING 1) SELECT count(*) FROM found",
    "WITH found AS (UPDATE head SET last = 0 WHERE lab = 'north' RETURNING 1) SELECT count(*) FROM found",
    "WITH found AS (DELETE FROM searched WHERE lab = 'north' RETURNING 1) SELECT count(*) FROM found",
    "SELECT count(*) FROM pg_stats WHERE tablename IN ('records', 'head', 'searched')",
]
REFUSED = [
    "UPDATE records SET lab = 'north'",
    "INSERT INTO head VALUES ('north', 9, 'x', 0)",
    "INSERT INTO lab_roles VALUES (current_user, 'north')",
    "UPDATE lab_roles SET lab = 'north'",
    "DELETE FROM records",
    "TRUNCATE searched",
    "COPY records TO PROGRAM 'cat'",
    "ALTER TABLE records DISABLE ROW LEVEL SECURITY",
    "ALTER TABLE records NO FORCE ROW LEVEL SECURITY",
    "DROP POLICY own_lab ON records",
    "CREATE POLICY more ON records USING (true)",
    "CREATE TABLE mine (x int)",
    "CREATE FUNCTION f() RETURNS int LANGUAGE sql AS 'SELECT 1'",
    "ALTER ROLE current_user BYPASSRLS",
    "DROP TABLE records",
]


@pytest.mark.parametrize("statement", STATEMENTS)
def test_the_database_shows_a_role_no_row_of_another_lab(
    labs: tuple[Book, Book], urls: dict[str, str], statement: str
) -> None:
    ran(urls["super"], "ANALYZE")
    assert ran(urls["south"], statement) == [(0,)]


@pytest.mark.parametrize("statement", REFUSED)
def test_the_database_refuses_a_role_whatever_would_reach_further(
    labs: tuple[Book, Book], urls: dict[str, str], statement: str
) -> None:
    import psycopg

    with pytest.raises(psycopg.Error):
        ran(urls["south"], statement)


def test_nobody_becomes_another_labs_role(labs: tuple[Book, Book], urls: dict[str, str]) -> None:
    import psycopg

    for whose in ("north", "owner", "super"):
        role = urls[whose].partition("://")[2].partition("@")[0]
        for statement in (f"SET ROLE {role}", f"SET SESSION AUTHORIZATION {role}", f"GRANT {role} TO current_user"):
            with pytest.raises(psycopg.Error):
                ran(urls["south"], statement)


def test_row_security_is_forced_and_the_owner_sees_nothing_either(
    labs: tuple[Book, Book], urls: dict[str, str]
) -> None:
    forced = "SELECT count(*) FROM pg_class WHERE relforcerowsecurity AND relname IN ('records', 'head', 'searched')"
    assert ran(urls["owner"], forced) == [(3,)]
    assert ran(urls["owner"], "SELECT count(*) FROM records") == [(0,)]
    with open_book(urls["owner"], lab="north") as asked:
        assert asked.newest_row() == 0


def test_who_has_no_lab_reaches_nothing(labs: tuple[Book, Book], urls: dict[str, str]) -> None:
    with pytest.raises(BookError, match="does not let this user"):
        open_book(urls["nobody"], lab="north")


def test_a_server_starts_with_its_own_labs_role_alone(labs: tuple[Book, Book], urls: dict[str, str]) -> None:
    for whose, lab, said in (
        ("owner", "north", "owns the tables"),
        ("super", "north", "owns the tables"),
        ("south", "north", "role of 'south'"),
        ("south", "", "role of 'south'"),
    ):
        with open_book(urls[whose], lab=lab) as asked, pytest.raises(BookError, match=said):
            asked.check_apart()
    for book in labs:
        book.check_apart()


def test_preparing_again_changes_nothing_and_an_older_book_is_its_owners_to_bring_up_to_date(
    labs: tuple[Book, Book], urls: dict[str, str]
) -> None:
    role = urls["north"].partition("://")[2].partition("@")[0]
    prepare_lab(urls["owner"], "north", role)
    assert labs[0].verify().faults == ()
    with pytest.raises(InputError, match="the lab north already"):
        prepare_lab(urls["owner"], "west", role)
    ran(urls["super"], "UPDATE stainbook_revision SET version_num = '0003'")
    with pytest.raises(BookError, match="server prepare"):
        open_book(urls["owner"])
    ran(urls["super"], "UPDATE stainbook_revision SET version_num = '0004'")


@pytest.mark.parametrize("role", ["North", "north; DROP TABLE records", "a b", "", "x" * 64])
def test_a_role_that_is_no_plain_name_is_refused(urls: dict[str, str], role: str) -> None:
    with pytest.raises(InputError, match="small letters"):
        prepare_lab(urls["owner"], "west", role)


def test_a_role_with_rights_over_others_is_refused(urls: dict[str, str]) -> None:
    with pytest.raises(InputError, match="rights over others"):
        prepare_lab(urls["super"], "west", "postgres")


def test_a_share_is_a_row_like_others(labs: tuple[Book, Book]) -> None:
    assert [one.record for one in labs[0].newest_entered("share")] == [Share(f"recipe/{recipe().recipe}", True)]
