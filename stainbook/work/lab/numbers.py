"""The lab's numbers: how often the first firing does, firings a unit, returns by reason, minutes."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from statistics import median

from stainbook.book import Book
from stainbook.errors import InputError, UnknownNameError
from stainbook.files.table import format_table
from stainbook.files.text import write_text
from stainbook.kept import RETURNED_FOR, Firing, Outcome
from stainbook.language import say
from stainbook.work.documents.number_schemas import NumbersResult, NumbersRow
from stainbook.work.lab.things import wilson
from stainbook.work.lab.who_sees import FEW, LEAST_UNITS, seen_by_author

Unit = tuple[str, int]  # case and tooth


@dataclass(frozen=True, slots=True)
class _Fired:
    """A zone's outcome with the firing it came from, and whether it was the first of the zone, whenever that was."""

    outcome: Outcome
    firing: Firing
    first: bool

    @property
    def unit(self) -> Unit:
        return self.outcome.case, self.outcome.tooth


def _stains(one: _Fired) -> Iterable[str]:
    return {name for layer in one.outcome.layers for name in layer.pot.stains}


BY: dict[str, Callable[[_Fired], Iterable[str]]] = {
    "all": lambda one: ("",),
    "programme": lambda one: (one.firing.programme or say("not stated"),),
    "clinic": lambda one: (one.firing.clinic or say("not stated"),),
    "technician": lambda one: (one.firing.operator or say("not stated"),),
    "stain": _stains,
    "month": lambda one: (one.outcome.fired_at[:7],),
}


def numbers(
    book: Book, by: Sequence[str] = tuple(BY), *, since: str | None = None, until: str | None = None
) -> NumbersResult:
    """The lab's numbers over all, and by clinic, technician, stain and month.

    since, until : first and last day of the firings that count (``2026-03-01``, UTC); None: no end on that side.

    Raises UnknownNameError for another grouping, InputError for what is no day.
    """
    check_days(since, until)
    for name in by:
        if name not in BY:
            raise UnknownNameError(say("grouping"), name, BY)
    firings = {(one.case, one.fired_at): one for one in book.firings()}
    outcomes = sorted(book.outcomes(), key=lambda one: one.fired_at)
    seen: set[tuple[str, int, str]] = set()
    fired: list[_Fired] = []
    for one in outcomes:
        zone = (one.case, one.tooth, one.zone)
        if within_days(one, since, until):
            firing = firings.get((one.case, one.fired_at), Firing(one.case, one.fired_at))
            fired.append(_Fired(one, firing, first=zone not in seen))
        seen.add(zone)
    sees = seen_by_author(book)
    rows = [row for name in by for row in _rows(name, fired) if name != "technician" or sees.tells(row.name)]
    notes = [FEW] if any(row.few for row in rows) else []
    notes += [sees.note] if "technician" in by and sees.note is not None else []
    return NumbersResult(rows=rows, notes=notes)


def within_days(one: Outcome, since: str | None, until: str | None) -> bool:
    """Whether a zone was fired between two days, both counted; None: no end on that side."""
    return (since is None or since <= one.fired_at[:10]) and (until is None or one.fired_at[:10] <= until)


def check_days(since: str | None, until: str | None) -> None:
    """Raises InputError for what is no day, and a last one before the first."""
    for day in filter(None, (since, until)):
        try:
            if date.fromisoformat(day).isoformat() != day:
                raise ValueError
        except ValueError as error:
            raise InputError(say("found {day!r}, expected a day such as 2026-03-01", day=day)) from error
    if since and until and since > until:
        raise InputError(say("found {since} to {until}, expected the earlier day first", since=since, until=until))


def _rows(by: str, fired: Sequence[_Fired]) -> list[NumbersRow]:
    groups: dict[str, list[_Fired]] = defaultdict(list)
    for one in fired:
        for name in BY[by](one):
            groups[name].append(one)
    return [_row(by, name, groups[name]) for name in sorted(groups)]


def _row(by: str, name: str, fired: Sequence[_Fired]) -> NumbersRow:
    units = {one.unit for one in fired}
    cases = len({case for case, _ in units})
    if len(units) < LEAST_UNITS:
        return NumbersRow(
            by=by, name=name, cases=cases, units=len(units), zones=len(fired), first_firing=None, firings_a_unit=None,
            few=True,
        )  # fmt: skip
    firings = {(one.firing.case, one.firing.fired_at): one.firing for one in fired}.values()
    at_first = _at_first(fired)
    minutes = [one.minutes for one in firings if one.minutes is not None]
    apart = [one.outcome.to_target for one in fired if one.outcome.to_target is not None]
    low, high = wilson(sum(at_first), len(at_first)) if at_first else (None, None)
    fired_units = len({(*one.unit, one.outcome.fired_at) for one in fired})
    return NumbersRow(
        by=by,
        name=name,
        cases=cases,
        units=len(units),
        zones=len(fired),
        judged=len(at_first),
        first_firing=sum(at_first) / len(at_first) if at_first else None,
        first_firing_low=low,
        first_firing_high=high,
        firings_a_unit=fired_units / len(units) if units else None,
        returned=dict(sorted(Counter(one.returned for one in firings if one.returned).items())),
        minutes=sum(minutes) / len(minutes) if minutes else None,
        dE00_median=median(apart) if apart else None,
    )


def _at_first(fired: Sequence[_Fired]) -> list[bool]:
    """Of each unit whose first firing is among these and was judged: whether all its zones were accepted then."""
    units: dict[Unit, list[bool]] = defaultdict(list)
    for one in fired:
        if one.first and one.outcome.accepted is not None:
            units[one.unit].append(one.outcome.accepted)
    return [all(accepted) for accepted in units.values()]


COLUMNS = (
    "by", "name", "cases", "units", "zones", "judged", "first_firing", "first_firing_low",
    "first_firing_high", "firings_a_unit", "minutes_a_firing", "dE00_median",
    *(f"returned_{reason.replace(' ', '_')}" for reason in RETURNED_FOR),
)  # fmt: skip


def table_of(result: NumbersResult) -> list[tuple[object, ...]]:
    """The numbers as rows under ``COLUMNS``; empty where nothing is known."""
    return [
        (
            one.by,
            one.name,
            one.cases,
            one.units,
            one.zones,
            one.judged,
            one.first_firing,
            one.first_firing_low,
            one.first_firing_high,
            one.firings_a_unit,
            one.minutes,
            one.dE00_median,
            *(one.returned.get(reason, 0) for reason in RETURNED_FOR),
        )
        for one in result.rows
    ]


def csv_of(result: NumbersResult) -> str:
    """The numbers as CSV, no cell of which a spreadsheet takes for a formula."""
    return format_table(COLUMNS, (["" if cell is None else str(cell) for cell in row] for row in table_of(result)))


def write_numbers(result: NumbersResult, path: Path) -> None:
    """Save the numbers as CSV; raises InputError where the place cannot be written."""
    write_text(path, csv_of(result))
