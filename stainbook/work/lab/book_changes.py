"""What changes what holds in the book: readings, firings and outcomes taken back, things shared with other labs."""

from __future__ import annotations

from pathlib import Path

from stainbook.book import Book
from stainbook.book.thing_words import thing_words
from stainbook.errors import InputError, UnknownNameError
from stainbook.files import read_readings
from stainbook.kept import Firing, Outcome
from stainbook.language import say
from stainbook.records import Reading
from stainbook.work.documents.book_schemas import EnteredShown, ShareResult, WithdrawResult
from stainbook.work.firing.corrections import take_back_firing, take_back_zone
from stainbook.work.lab.things import entered_as

_TAKEN_BACK = ("reading", "firing", "outcome")


def withdraw(book: Book, thing: str, *, why: str, by: Path | None = None) -> WithdrawResult:
    """Take back the newest reading of a sample, an outcome, or a firing with its outcomes.

    thing : kind/name, such as reading/W-1042-11
    by : a readings file that holds the sample as it should have been read

    Raises UnknownNameError for what the book does not hold, InputError for what was taken back before.
    """
    kind, name = kind_and_name(thing)
    if kind not in _TAKEN_BACK:
        raise UnknownNameError(say("kind that can be taken back"), kind, _TAKEN_BACK)
    if by is not None and kind != "reading":
        raise InputError(
            say(
                "{kind} {name!r} is not read from a file of readings; `stainbook record --because` corrects it",
                kind=thing_words(kind),
                name=name,
            )
        )
    holding = _holding(book, kind, name)
    if holding is None:
        entered_as(book, name, kind)  # names what is near
        raise InputError(
            say("{kind} {name!r} was taken back before; nothing was changed", kind=thing_words(kind), name=name)
        )
    instead = read_readings(by).get(name) if by is not None else None
    fired = book.outcomes_of(holding.case) if isinstance(holding, Firing) else ()
    gone = [one for one in fired if one.fired_at == holding.fired_at] if isinstance(holding, Firing) else []
    (entered,) = [one for one in book.entered(kind, name) if one.record == holding][-1:]
    if isinstance(holding, Firing):
        take_back_firing(book, holding.case, holding.fired_at, why=why)
    elif isinstance(holding, Outcome):
        take_back_zone(book, holding.case, holding.outcome, why=why)
    else:
        book.take_back(holding, why=why, by=instead)
    shown = EnteredShown(
        kind=kind, name=name, revision=entered.revision, author=entered.author, created_at=entered.created_at
    )
    return WithdrawResult(**shown.model_dump(), why=why, outcomes=len(gone))


def _holding(book: Book, kind: str, name: str) -> Reading | Firing | Outcome | None:
    if kind == "reading":
        return book.find_reading(name)
    if kind == "firing":
        return next((one for one in book.firings() if one.firing == name), None)
    return next((one for one in book.outcomes() if one.outcome == name), None)


def share(book: Book, thing: str, *, shared: bool = True) -> ShareResult:
    """Show a thing to the other labs of the database, or no longer; raises UnknownNameError for what there is not."""
    kind, name = kind_and_name(thing)
    book.share(kind, name, shared=shared)
    return ShareResult(kind=kind, name=name, shared=shared)


def kind_and_name(thing: str) -> tuple[str, str]:
    """The two parts of kind/name; raises InputError where one is missing."""
    kind, _, name = thing.partition("/")
    if not (kind and name):
        raise InputError(say("found {thing!r}, expected KIND/NAME such as recipe/warm neck", thing=thing))
    return kind, name
