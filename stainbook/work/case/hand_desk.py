"""How a case stands before it leaves and what happened to it so far, for a page; and the steps to take there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from stainbook.book import Book, Entered, open_book
from stainbook.kept import Firing
from stainbook.work.case.delivery import OUT, accept, deliver, standing, take_return
from stainbook.work.documents.book_schemas import HandoverResult


@dataclass(frozen=True, slots=True)
class HistoryEntry:
    """Something that happened to a case: when, in words, and who noted it."""

    at: str
    what: str
    who: str


@dataclass(frozen=True, slots=True)
class DeliveryView:
    """A case about to leave: its zones by grade, what bars delivery, how it was received, and its story."""

    case: str
    stage: str | None
    zones: Mapping[str, tuple[str, ...]]
    barred: str | None
    accepted_by: str | None
    returned: str | None
    story: tuple[HistoryEntry, ...]

    @property
    def is_out(self) -> bool:
        """Whether it left the lab."""
        return self.stage in OUT


def desk_of(url: str | None, path: Path) -> DeliveryView:
    """How the case of a file stands; raises InputError for a case that cannot be used."""
    with open_book(url) as book:
        found = standing(book, path)
        case = found.case
        zones = {"within": found.within, "cannot tell": found.unsure, "beyond": found.beyond, "": found.ungraded}
        story = tuple(sorted(story_of(book, case.case), key=lambda one: one.at))
        return DeliveryView(case.case, case.stage, zones, found.barred, case.accepted_by, case.returned, story)


def story_of(book: Book, case: str) -> Iterator[HistoryEntry]:
    """Firings, acceptances, deliveries and returns of a case as the book has them, in no order."""
    for firing in book.firings_of(case):
        entered = book.entered("firing", firing.firing)[0]
        yield HistoryEntry(firing.fired_at, _fired(firing), firing.operator or entered.author)
    yield from received_of(book, case)


def received_of(book: Book, case: str) -> Iterator[HistoryEntry]:
    """How a case was received, the first first: accepted, delivered, returned."""
    before: Entered | None = None
    for one in book.entered("case", case):
        yield from (HistoryEntry(one.created_at, what, one.author) for what in _received(before, one))
        before = one


def _received(before: Entered | None, one: Entered) -> Iterator[str]:
    """What a revision of a case says of how it was received that the one before did not."""
    old, new = before.record if before else None, one.record
    if new.accepted_by and (old is None or old.accepted_by != new.accepted_by):
        yield f"accepted by {new.accepted_by}"
    if new.stage == "delivered" and (old is None or old.stage != "delivered"):
        yield "delivered"
    if new.returned and (old is None or old.returned != new.returned):
        yield f"returned: {new.returned}"


def _fired(firing: Firing) -> str:
    told = [firing.programme, firing.furnace, f"{firing.minutes:g} minutes" if firing.minutes else None]
    return ", ".join(["fired", *(one for one in told if one)])


def accept_case(url: str | None, path: Path, by: str) -> HandoverResult:
    """Note who accepted the case of a file; raises as `handover.accept` does."""
    with open_book(url) as book:
        return accept(book, str(path), by)


def deliver_case(url: str | None, path: Path) -> HandoverResult:
    """Note that the case of a file left; raises as `handover.deliver` does."""
    with open_book(url) as book:
        return deliver(book, str(path))


def return_case(url: str | None, path: Path, reason: str) -> HandoverResult:
    """Note that the case of a file came back; raises as `handover.take_return` does."""
    with open_book(url) as book:
        return take_return(book, str(path), reason)
