"""What else waits beside the next job of each case: chips, jars, results held back, pieces to be read, try-ins."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from stainbook.book import Book
from stainbook.book.events import moment
from stainbook.records import CLEAR
from stainbook.work.case.current_case import CurrentCase
from stainbook.work.case.standing import waits_to_be_read
from stainbook.work.lab.jar_stock import shown
from stainbook.work.reading.control_chart import chips_out, control_chips, last_read
from stainbook.work.stains.held import held_back

EVERY = timedelta(days=7)  # a control chip is read each week
TO_DOS = ("chip-out", "chip-due", "held", "read-first", "jar-out", "no-stripe", "try-in")


@dataclass(frozen=True, slots=True)
class ToDo:
    """One line: ``kind`` is one of TO_DOS, ``name`` what it is about, ``case`` where it is a case.

    ``at`` is since when, UTC or a day; ``n`` counts zones or cases.
    """

    kind: str
    name: str
    case: str | None = None
    at: str = ""
    n: int = 0


def to_do(book: Book, known: Mapping[str, CurrentCase], *, now: datetime | None = None) -> tuple[ToDo, ...]:
    """What else waits, in the order of TO_DOS; ``known`` are the cases in the lab."""
    at = now or datetime.now(UTC)
    found = [*_chips(book, at), *_held(book), *_of_cases(known), *_jars(book, known)]
    return tuple(sorted(found, key=lambda one: TO_DOS.index(one.kind)))


def _chips(book: Book, now: datetime) -> Iterator[ToDo]:
    """Control chips that are out, and those that were not read for a week."""
    out = {one.chip: one for one in chips_out(book)}
    for one in out.values():
        yield ToDo("chip-out", one.chip, at=one.since)
    for name, readings in control_chips(book).items():
        last = last_read(readings)
        if name not in out and last and moment(last) + EVERY < now:
            yield ToDo("chip-due", name, at=last)


def _held(book: Book) -> Iterator[ToDo]:
    """Cases with results that nothing is learnt from until somebody decides."""
    for case, n in Counter(one.case for one in held_back(book)).items():
        yield ToDo("held", case, case, n=n)


def _of_cases(known: Mapping[str, CurrentCase]) -> Iterator[ToDo]:
    for code, current in known.items():
        state = current.state
        if state.out:
            sent = next((one.at for one in reversed(current.events) if one.what == "try-in"), "")
            yield ToDo("try-in", code, code, at=sent)
        elif waits_to_be_read(current.case, state):
            yield ToDo("read-first", code, code)


def _jars(book: Book, known: Mapping[str, CurrentCase]) -> Iterator[ToDo]:
    """Jars that ran out and are still meant, and jars that were opened and have no stripe yet."""
    for one in shown(book, known=known).jars:
        name = f"{one.stain}: {one.lot}"
        if one.run_out_on and one.cases:
            yield ToDo("jar-out", name, at=one.run_out_on, n=len(one.cases))
        elif one.entered and not one.run_out_on and not one.stripes and one.stain != CLEAR:
            yield ToDo("no-stripe", name, at=one.opened_on or "")
