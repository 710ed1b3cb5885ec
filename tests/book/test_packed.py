"""Rows packed small come back as they were, and sets of them are met as sets are."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import create_engine, func, select

from stainbook.book import Book, packed
from stainbook.book.book_tables import colours, terms
from stainbook.book.wanted import BookQuery
from tests.book.worked import outcome

LOWS = st.sets(st.integers(0, packed.SPAN - 1), max_size=600)


def bits(lows: set[int]) -> int:
    return sum(1 << low for low in lows)


@settings(max_examples=60)
@given(LOWS)
def test_a_piece_comes_back_and_is_never_longer_than_its_bitmap(lows: set[int]) -> None:
    piece = packed.piece_of(bits(lows))
    assert packed.bits_of(piece) == bits(lows)
    assert len(piece) == min(2 * len(lows), packed.SPAN // 8)


@settings(max_examples=60)
@given(st.dictionaries(st.integers(0, 5), LOWS, max_size=4), st.integers(1, 2000))
def test_pieces_make_one_set_whose_newest_rows_come_first(parts: dict[int, set[int]], limit: int) -> None:
    rows = {packed.SPAN * number + low for number, lows in parts.items() for low in lows}
    found = packed.whole({number: packed.piece_of(bits(lows)) for number, lows in parts.items()})
    assert list(packed.numbers(found)) == sorted(rows)
    assert packed.newest(found, limit) == sorted(rows, reverse=True)[:limit]


@given(st.lists(st.tuples(*[st.floats(-120, 120)] * 4), max_size=40))
def test_colours_keep_their_digits(found: list) -> None:
    piece = packed.colours_piece(found)
    assert packed.colours_of(piece) == found
    assert len(piece) == 32 * len(found)  # four numbers of 8 bytes


@pytest.mark.parametrize("alike", [True, False])
def test_many_outcomes_need_few_rows_to_be_found(book: Book, book_url: str, alike: bool) -> None:
    lab = (72.0, 1.0, 18.0)
    some = [outcome(f"W-{n}", lab=lab if alike else (60.0 + n % 30, 1.0, 18.0)) for n in range(100)]
    book.add_outcomes(some)
    engine = create_engine(book_url)
    with engine.connect() as connection:
        full = -(-100 // packed.FULL)
        assert connection.scalar(select(func.count()).select_from(colours)) == (full if alike else 15)
        assert (
            connection.scalar(select(func.count()).select_from(terms)) < 2 * 100 + 40
        )  # each case, its word, the rest
    engine.dispose()
    with book.transaction() as step:
        for one in some[:10]:
            step.take_back(one, why="another piece was read")
    assert len(book.search(BookQuery((72.0, 1.0, 18.0), 100.0, limit=1000))) == 90
    assert book.verify().faults == ()
