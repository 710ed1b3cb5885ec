"""The same firing told twice is stored once: case, kind, layers, readings agree, and the time, where it was told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stainbook.book import Book
from stainbook.book.events import Event, ZoneFired, moment
from stainbook.book.fold import encode_layers
from stainbook.kept import FiredZone, Firing, Report
from stainbook.language import say
from stainbook.records import LabRef, Reading, SampleRef
from stainbook.work.case.library import Library

_PLACES = 2  # decimals of L*, a*, b* to which two tellers' numbers agree: as displays show them


@dataclass(frozen=True, slots=True)
class ToldBefore:
    """A firing that the book holds already: who told it, and when."""

    by: str
    at: str

    @property
    def line(self) -> str:
        """What to say of it."""
        return say("this firing was told before, by {by} at {at}: nothing was stored", by=self.by, at=self.at[:16])


def told_before(book: Book, report: Report, library: Library, *, timed: bool) -> ToldBefore | None:
    """The same firing as the book holds it, None where it does not.

    timed : somebody told the firing's time, which then has to agree
    """
    firing = report.firing
    for event in book.events(firing.case):
        if event.what != "fired":
            continue
        told: Firing = event.told
        when = not timed or not firing.fired_at or moment(told.fired_at) == moment(firing.fired_at)
        kind = firing.kind is None or told.kind in (None, firing.kind)
        if when and kind and _agree(firing, told) and _same_zones(report.zones, event, library):
            return ToldBefore(event.author, event.told_at)
    return None


def _agree(one: Firing, other: Firing) -> bool:
    """Whether nothing that both say differs."""
    names = ("operator", "programme", "furnace", "minutes", "run", "finish", "accepted_by", "returned", "checked_by")
    pairs = [(getattr(one, name), getattr(other, name)) for name in names]
    return all(first is None or first == second for first, second in pairs)


def _same_zones(zones: Sequence[FiredZone], event: Event, library: Library) -> bool:
    held = {one.key: one for one in event.zones}
    return {one.key for one in zones} == held.keys() and all(_same(one, held[one.key], library) for one in zones)


def _same(told: FiredZone, held: ZoneFired, library: Library) -> bool:
    if encode_layers(told.layers) != encode_layers(held.layers):
        return False
    return told.note is None and told.recipe is None and _same_reading(told.after, held.after, library)


def _same_reading(told: SampleRef | LabRef | Reading | None, held: Reading | None, library: Library) -> bool:
    if told is None or held is None:
        return told is None and held is None
    if isinstance(told, LabRef):
        return held.lab is not None and _rounded(told.lab) == _rounded(held.lab) and told.viewing == held.viewing
    if isinstance(told, SampleRef):
        found = library.file(told.file).get(told.sample, told.stage) if told.file is not None else None
        if found is None:
            return told.sample == held.sample
        return _bare(found) == _bare(held)
    return _bare(told) == _bare(held)


def _bare(reading: Reading) -> Reading:
    lab = _rounded(reading.lab) if reading.lab is not None else None
    return replace(reading, source="", taken_at=None, sample="", stage=None, lab=lab)


def _rounded(lab: tuple[float, float, float]) -> tuple[float, float, float]:
    L, a, b = (round(value, _PLACES) for value in lab)
    return L, a, b
