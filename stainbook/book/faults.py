"""What a database says when it fails, as one line that says what to do."""

from __future__ import annotations

from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from stainbook.errors import BookError
from stainbook.language import filled, say

_LOST = say("book {place} lost its server: nothing of this step was stored; try again when the server is back")
_ADVICE = (
    ("database is locked", say("book {place} is busy: another program holds it; close that program or try again")),
    ("lock timeout", say("book {place} is busy: another program holds it; close that program or try again")),
    (
        "not a database",
        say("book {place} is damaged or no book; name another file, or put the newest backup in its place"),
    ),
    ("malformed", say("book {place} is damaged; put the newest backup in its place")),
    (
        "unable to open database file",
        say("book {place} cannot be opened: the file or its folder may not be read and written"),
    ),
    ("readonly database", say("book {place} cannot be written: the file or its folder is read-only")),
    ("disk is full", say("book {place} cannot be written: the disk is full; nothing of this step was stored")),
    (
        "no space left",
        say("book {place} cannot be written: the server's disk is full; nothing of this step was stored"),
    ),
    ("read-only transaction", say("book {place} cannot be written: its server keeps it read-only")),
    (
        "row-level security",
        say("book {place} cannot be written: its database role is another lab's; STAINBOOK_LAB names the lab"),
    ),
    (
        "permission denied",
        say("book {place} cannot be used: its server does not let this user; ask who keeps the server"),
    ),
    ("disk i/o error", say("book {place} cannot be read or written: the disk reports an error")),
    ("server closed the connection", _LOST),
    ("terminating connection", _LOST),
    ("database system is", _LOST),  # starting up, shutting down
    ("connection refused", say("book {place} cannot be reached: no server answers there; start it or correct the URL")),
)


def explained(error: SQLAlchemyError, place: str) -> BookError:
    """The error in one line that names the book.

    place : the book, as it is shown in messages.
    """
    said = " ".join(str(error.orig if isinstance(error, DBAPIError) else error).split())
    for sign, advice in _ADVICE:
        if sign in said.lower():
            return BookError(filled(advice, place=place))
    return BookError(say("book {place} cannot be used: {reason}", place=place, reason=said[:300]))
