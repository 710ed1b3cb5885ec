"""The searches of a case that take seconds, by name: done here, or by a worker that is told name and plain arguments.

Both run the same function on the same rows of the book. What comes out is the match's own data: it names no case and
no person, and is said in words where it is shown, in whatever language that is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any, Generic, TypeVar

from stainbook.book import Book
from stainbook.book.codec import hand_over, take_over
from stainbook.errors import InputError, UnknownNameError
from stainbook.files import read_bodies
from stainbook.language import joined, say
from stainbook.match import UNWATCHED, Bench, CaseAdvice, Ready, Start, Watch, ZoneAdvice, advise_case, ready_case
from stainbook.match.plan import Plan, plan_case
from stainbook.records import Body, Case
from stainbook.work.case.library import Library
from stainbook.work.case.problems import AdviceAsked, PreparedCase, prepare_case, start_of
from stainbook.work.case.seating import seated_blanks
from stainbook.work.reading.optical import OpticalReading, optical
from stainbook.work.stains.predict import LabOptics

MOST_SHOWN = 6  # mixes up to which the trade-off is shown
MOST_POTS = 26

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Order:
    """A search as it is asked for elsewhere: its name, the case by its mark, up to which row of the book it reads.

    ``most``, ``trade_off`` and ``at_hand`` are a plan's, as of `PlanAsked`.
    """

    search: str
    laboratory: str
    case: str
    row: int
    most: int | None = None
    trade_off: bool = False
    at_hand: bool = False

    def as_dict(self) -> dict[str, str | int | bool | None]:
        """As plain arguments of a job."""
        return asdict(self)

    @classmethod
    def of(cls, given: Mapping[str, Any]) -> Order:
        """An order from arguments that came from outside; raises InputError for what is none."""
        keys = {one.name for one in fields(cls)}
        if set(given) != keys:
            raise InputError(say("found another order, expected {keys}", keys=joined(sorted(keys))))
        found: Order = take_over(cls, hand_over(dict, dict(given)))
        return found


# ---------------------------------------------------------------- advice


def starts_of(book: Book, found: PreparedCase, given: bool | Path = False) -> dict[str, Start]:
    """Other blanks that a piece of the case could be made of; ``given`` are ranked too, those of a file alone.

    Raises InputError where blanks were to be ranked and there are none.
    """
    blanks = seated_blanks(_blanks(book, found.case, found.lab, found.library, given), found.case, found.library)
    return {
        name: start_of(reading, found.lab, body.material or found.case.material)
        for name, (body, reading) in blanks.items()
    }


def advice_on(found: PreparedCase, starts: Mapping[str, Start], ready: Ready, watch: Watch = UNWATCHED) -> CaseAdvice:
    """Every zone's verdict and steps; raises StoppedError when ``watch`` is to stop."""
    return advise_case(found.bench, found.open, stage=found.case.stage, blanks=starts, watch=watch, ready=ready)


def _advice(book: Book, found: PreparedCase, order: Order, watch: Watch) -> CaseAdvice:
    ready = ready_case(found.bench, found.open, stage=found.case.stage, watch=watch)
    return advice_on(found, starts_of(book, found), ready, watch)


def _blanks(
    book: Book, case: Case, lab: LabOptics, library: Library, given: bool | Path
) -> dict[str, tuple[Body, OpticalReading]]:
    """Other bodies of the case's material that were read as they come from sintering."""
    listed = {body.body: body for body in read_bodies(given).records} if isinstance(given, Path) else book.bodies()
    plates = set() if isinstance(given, Path) else {chip.body for chip in book.chips()}  # nobody mills a chip plate
    found = {}
    for name, body in listed.items():
        if name in plates or (case.material and body.material and body.material != case.material):
            continue
        reading = library.find_named(name, case)
        if reading is None:
            continue
        found[name] = body, optical(reading, body=body)
    if given and not found:
        raise InputError(
            say(
                "{source}: no blank of {material} with a reading to rank, expected bodies.csv rows whose body "
                "names are samples of the readings; calibrate with --bodies, or give --readings",
                source=case.source,
                material=case.material or say("any material"),
            )
        )
    return found


# ---------------------------------------------------------------- plan


def plan_for(
    found: PreparedCase,
    *,
    most: int | None = None,
    trade_off: bool = False,
    at_hand: bool = False,
    watch: Watch = UNWATCHED,
) -> Plan:
    """One set of mixes for the case; raises InputError where standing mixes alone are wanted and none is allowed."""
    return plan_case(
        found.bench,
        found.open,
        stage=found.case.stage,
        most=most,
        trade_off=range(1, MOST_SHOWN + 1) if trade_off else (),
        at_hand=from_stock(found.bench, at_hand),
        watch=watch,
    )


def from_stock(bench: Bench, at_hand: bool) -> bool:
    """Whether standing mixes alone are wanted; raises InputError where none may be laid on."""
    ready = [pot for pot in bench.stock.values() if pot in bench.pots]
    if at_hand and not ready:
        raise InputError(
            say("found no standing mix that may be laid on here, expected one or more: `stainbook mixes` takes them")
        )
    return at_hand


def check_mixes(most: int | None) -> None:
    """Refuse mixes that cannot be counted; raises InputError."""
    if most is not None and not 1 <= most <= MOST_POTS:
        raise InputError(say("found {mixes} mixes, expected 1 to {limit}", mixes=most, limit=MOST_POTS))


def _plan(book: Book, found: PreparedCase, order: Order, watch: Watch) -> Plan:
    check_mixes(order.most)
    return plan_for(found, most=order.most, trade_off=order.trade_off, at_hand=order.at_hand, watch=watch)


# ---------------------------------------------------------------- by name


@dataclass(frozen=True, slots=True)
class NamedSearch(Generic[T]):
    """A search by name: what comes out, and how it is run on what a book held."""

    gives: type[T]
    run: Callable[[Book, PreparedCase, Order, Watch], T]


SEARCHES: dict[str, NamedSearch[Any]] = {"advice": NamedSearch(CaseAdvice, _advice), "plan": NamedSearch(Plan, _plan)}
PARTS = tuple[ZoneAdvice, ...]  # what a search leaves with its watch on the way


def searched(name: str, book: Book, found: PreparedCase, here: Callable[[], T], watch: Watch, **asked: Any) -> T:
    """What a search gives: of a worker where the watch knows of one, else of ``here``.

    book : as the case was prepared from; what holds up to no certain row is searched here
    Raises StoppedError when ``watch`` is to stop.
    """
    row, mark = book.scope.upto, found.case.mark
    if watch.elsewhere is None or row is None or not mark:
        return here()
    answer = watch.elsewhere(Order(name, book.lab, mark, row, **asked), watch)
    if answer is None:
        return here()
    try:
        result: T = _taken(name, answer, found)
    except InputError:  # of another version, or of no worker at all
        watch.told = say("What a worker gave cannot be used: this is worked out here.")
        return here()
    return result


def _taken(name: str, answer: str, found: PreparedCase) -> Any:
    """What a worker gave, about the zones that are open in this order; raises InputError for anything else."""
    result = take_over(SEARCHES[name].gives, answer, context={one.key: one for one in found.open})
    if [zone.key for zone in result.zones] != [one.key for one in found.open]:
        raise InputError(say("what was handed over is damaged: {reason}", reason=say("it is about other zones")))
    return result


def answer_of(book: Book, order: Order, watch: Watch) -> str:
    """What a worker gives for an order, from a book of its laboratory.

    Raises InputError for an order that cannot be done, StoppedError when ``watch`` is to stop.
    """
    search = SEARCHES.get(order.search)
    if search is None:
        raise UnknownNameError(say("search"), order.search, SEARCHES)
    seen = book.as_of(order.row)
    code = seen.code_of(order.case)
    if code is None or order.row > book.newest_row():
        raise InputError(say("found no such case in the book, expected the rows that the order was written from"))
    found = prepare_case(seen, code, AdviceAsked())
    return hand_over(search.gives, search.run(seen, found, order, watch))


def parts_of(found: tuple[Any, ...]) -> str:
    """What was left with a watch, as text."""
    return hand_over(PARTS, found)


def parts_taken(content: str) -> tuple[ZoneAdvice, ...]:
    """What ``parts_of`` wrote; raises InputError where it is none."""
    found: tuple[ZoneAdvice, ...] = take_over(PARTS, content)
    return found
