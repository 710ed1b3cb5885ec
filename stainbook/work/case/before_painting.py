"""The book as it was before anything of what lies on a piece was painted: what the bench sheet said then."""

from __future__ import annotations

from stainbook.book import Book


def row_before_painting(book: Book, code: str) -> int | None:
    """The newest row of the journal before the first painting of what lies on a case now; None where nothing lies.

    >>> from stainbook.book import open_book
    >>> with open_book("sqlite:///painting.db") as empty:
    ...     print(row_before_painting(empty, "W-7"))
    None
    """
    if book.painted(code) is None:
        return None
    fired = max((one.fired_at for one in book.firings_of(code)), default="")
    since = 0
    for one in book.entered("painted", f"{code} painted"):
        if one.record.painted_at > fired:
            since = since or one.number
            since = since if one.record.zones else 0  # wiped off: what comes after is painted anew
    return since - 1 if since else None
