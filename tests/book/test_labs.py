"""Several labs in one database: each counts, chains and finds its own rows; so do those of a book of one chain."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import pytest
from sqlalchemy import text

from stainbook.book import Book, access, book_tables, open_book, upgrade
from stainbook.book.codec import encode
from stainbook.book.entries import Erased, Share
from stainbook.book.wanted import BookQuery
from stainbook.errors import BookError, InputError
from stainbook.records import Stain
from tests.book.earlier import make_third_version
from tests.book.test_chain import behind
from tests.book.worked import case, outcome, recipe

NEAR = BookQuery((72.0, 1.0, 18.0), 5.0)


@pytest.fixture
def labs(book_url: str) -> Iterator[tuple[Book, Book]]:
    with open_book(book_url, lab="north") as north, open_book(book_url, lab="south") as south:
        north.add_stains([Stain("husk")])
        south.add_stains([Stain("husk", lot="s")])
        north.add_outcomes([outcome(), outcome(tooth=21)])
        south.add_outcomes([outcome("S-1")])
        south.revise_recipe(recipe())
        yield north, south


def _numbers(book: Book) -> list[int]:
    return sorted(one.number for kind in ("stain", "outcome", "recipe", "share") for one in book.newest_entered(kind))


def test_each_lab_counts_its_own_rows(labs: tuple[Book, Book]) -> None:
    north, south = labs
    assert (_numbers(north), _numbers(south)) == ([1, 2, 3], [1, 2, 3])
    assert (north.newest_row(), south.newest_row()) == (3, 3)
    south.add_stains([Stain("teasel")])
    assert (north.newest_row(), north.last_change(), south.newest_row(), south.last_change()) == (3, 3, 4, 4)
    assert north.stored_since(1, 9) == [("outcome", outcome().outcome), ("outcome", outcome(tooth=21).outcome)]
    assert south.stored_since(3, 9) == [("stain", "teasel")]
    assert south.as_of(3).stains() == {"husk": Stain("husk", lot="s")}
    assert north.frozen().scope.upto == 3


def test_each_lab_has_its_own_chain(labs: tuple[Book, Book]) -> None:
    north, south = labs
    before = north.verify()
    south.add_stains([Stain("teasel")])
    after = north.verify()
    assert (before.faults, before.rows, after.faults, after.rows) == ((), 6, (), 7)
    assert after.head == before.head != south.verify().head
    assert south.verify().rows == 7


def test_each_lab_finds_its_own(labs: tuple[Book, Book]) -> None:
    north, south = labs
    husk = BookQuery(conditions=(("stain", "husk"), ("kind", "outcome")))
    for wanted in (NEAR, husk):
        assert {hit.entered.lab for hit in north.search(wanted)} == {"north"}
        assert {hit.entered.lab for hit in south.search(wanted)} == {"south"}
    north.share("outcome", outcome().outcome)
    for wanted in (NEAR, husk):  # its row has the number of one of south's own
        kinds = [(hit.entered.lab, hit.entered.kind) for hit in south.search(wanted) if hit.entered.kind == "outcome"]
        assert sorted(kinds) == [("north", "outcome"), ("south", "outcome")]
        assert len(north.search(wanted)) == 2
    north.take_back(outcome(), why="another piece")
    assert {hit.entered.lab for hit in south.search(NEAR)} == {"south"}
    south.erase_case("S-1")
    assert [one.case for one in north.outcomes()] == ["W-1042"]
    assert north.verify().faults == ()


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE records SET author = 'someone' WHERE lab = 'south' AND id = 2",
        "DELETE FROM records WHERE lab = 'south' AND id = 2",
        "DELETE FROM records WHERE lab = 'south' AND id = 3",
        "DELETE FROM head WHERE lab = 'south'",
        "UPDATE head SET begun = 1 WHERE lab = 'south'",
        "DELETE FROM searched WHERE lab = 'south' AND what = 'terms'",
        "UPDATE searched SET packed = substr(packed, 2) WHERE lab = 'south'",
    ],
)
def test_the_lab_at_fault_is_named(labs: tuple[Book, Book], book_url: str, change: str) -> None:
    with behind(book_url) as connection:
        connection.execute(text(change))
    for book in labs:
        faults = book.verify().faults
        assert faults
        assert [fault for fault in faults if not fault.startswith("lab 'south': ")] == []


def test_the_sign_for_all_labs_is_no_name(book_url: str) -> None:
    with pytest.raises(InputError, match="sign for all labs"):
        open_book(book_url, lab=book_tables.ALL_LABS)


# ---------------------------------------------------------------- a book of before


@pytest.fixture
def of_before(book_url: str) -> str:
    """A book of revision 0003 of two labs whose rows lie between each other's, one of them erased, one shared."""
    erased = encode(outcome("erased-4", operator=None))
    tombstone = Erased("erased-4", ((4, access.Entry("outcome", "x", erased).hash),))
    said = [
        ("north", Stain("husk")),
        ("south", Stain("husk", lot="s")),
        ("north", outcome()),
        ("south", outcome("S-4")),
        ("north", Share(f"outcome/{outcome().outcome}")),
        ("south", tombstone),
        ("north", outcome(tooth=21)),
        ("north", case()),
        ("south", outcome("S-9")),
    ]
    make_third_version(book_url, [(lab, access.entry_of(one)) for lab, one in said], erased={4: erased})
    return book_url


def _rows(url: str) -> list[tuple[object, ...]]:
    with behind(url) as connection:
        columns = "id, lab, kind, name, revision, created_at, author, hash, content, source, salt, seal, chain"
        return [tuple(row) for row in connection.execute(text(f"SELECT {columns} FROM records ORDER BY lab, id"))]


def test_a_book_of_one_chain_goes_on_by_lab_and_no_row_is_changed(
    of_before: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(upgrade.DUMPED, "yes")
    before = _rows(of_before)
    with open_book(of_before, lab="north") as north, open_book(of_before, lab="south") as south:
        assert _rows(of_before) == before
        checked = north.verify()
        assert (checked.faults, checked.rows, checked.erased) == ((), 9, 1)
        assert (north.newest_row(), south.newest_row()) == (8, 9)
        near = [("south", 9), ("south", 4), ("north", 3)]  # equally near; 4 was erased, 3 is shared
        assert [(hit.entered.lab, hit.entered.number) for hit in south.search(NEAR)] == near
        assert [hit.entered.number for hit in north.search(BookQuery(conditions=(("word", "w"),)))] == [8, 7, 3]
        north.add_stains([Stain("teasel")])
        south.add_stains([Stain("teasel"), Stain("flour")])
        assert (north.newest_row(), south.newest_row()) == (10, 11)  # on from the last row of the one chain
        with open_book(of_before, lab="west") as west:
            west.add_stains([Stain("husk")])
            assert west.newest_row() == 1
            assert west.verify().faults == ()
        assert north.erase_case("W-1042").name == "erased-3"
        assert [north.verify().faults, north.verify().rows] == [(), 14]


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ("UPDATE records SET author = 'someone' WHERE id = 2", "lab 'south': row 2 .*another column"),
        ("DELETE FROM records WHERE id = 5", "row 5: taken out"),
        ("DELETE FROM records WHERE id = 9", "row 9: taken off the end"),
        ("DELETE FROM head WHERE lab = '*'", "lab 'north': row 10 .*does not follow"),
        ("DELETE FROM records WHERE id = 10", "lab 'north': row 10: taken off the end"),
        ("UPDATE records SET content = replace(content, '72.0', '73.0') WHERE id = 4", "lab 'south': row 4 .*content"),
    ],
)
def test_the_rows_of_before_stay_tied(of_before: str, monkeypatch: pytest.MonkeyPatch, change: str, named: str) -> None:
    monkeypatch.setenv(upgrade.DUMPED, "yes")
    with open_book(of_before, lab="north") as north:
        north.add_stains([Stain("teasel")])
        with behind(of_before) as connection:
            assert connection.execute(text(change)).rowcount == 1
        with pytest.raises(AssertionError, match=named):
            raise AssertionError("; ".join(north.verify().faults))


@pytest.mark.parametrize("said", [None, "no", "1"])
def test_a_servers_book_is_migrated_only_by_who_says_that_it_was_dumped(
    of_before: str, monkeypatch: pytest.MonkeyPatch, said: str | None
) -> None:
    monkeypatch.delenv(upgrade.DUMPED, raising=False)
    if said is not None:
        monkeypatch.setenv(upgrade.DUMPED, said)
    if of_before.startswith("sqlite"):
        open_book(of_before).close()  # a file was copied
        return
    before = _rows(of_before)
    with pytest.raises(
        BookError, match=r"is of revision 0003.*pg_dump.*STAINBOOK_DUMPED=yes.*nothing was changed"
    ) as it:
        open_book(of_before)
    assert (it.value.exit_code, "\n" in str(it.value)) == (3, False)
    with behind(of_before) as connection:
        assert connection.scalar(text("SELECT version_num FROM stainbook_revision")) == "0003"
        assert connection.scalar(text("SELECT last FROM head")) == 9
    assert _rows(of_before) == before


@pytest.mark.postgresql
def test_a_servers_book_without_rows_needs_no_dump(postgresql_url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(upgrade.DUMPED, raising=False)
    make_third_version(postgresql_url, [("", access.entry_of(Stain("husk")))], erased={})
    with behind(postgresql_url) as connection:
        connection.execute(text("DELETE FROM records"))
        connection.execute(text("DELETE FROM head"))
    with open_book(postgresql_url) as book:
        assert book.newest_row() == 0
        assert book.add_stains([Stain("teasel")]) == 1
        assert book.verify().faults == ()


def test_names_are_found_by_how_they_begin(book: Book) -> None:
    """In the order of their characters' numbers, whatever language the server sorts by."""
    codes = ["W-1", "W-10", "w-1", "W 1", "W-1 b", "Ä-1", "W-1\U0010fffe"]
    for code, tooth in itertools.product(codes, (11, 21)):
        book.add_outcomes([outcome(code, tooth=tooth)])
    for code in codes:
        assert [(one.case, one.tooth) for one in book.outcomes_of(code)] == [(code, 11), (code, 21)]
    assert book.outcomes_of("W") == ()
