"""The way of each zone of a case through its firings: what was read, and what had been expected."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from stainbook.book import Book
from stainbook.errors import InputError
from stainbook.kept import Outcome
from stainbook.records import LabRef, Viewing
from stainbook.work.case.views import PathPoint
from stainbook.work.case.zones import ZoneColours
from stainbook.work.documents.document_parts import ColourResult
from stainbook.work.reading.samples import colour_of

Key = tuple[int, str]


def zone_paths(book: Book, case: str, zones: Iterable[ZoneColours]) -> Mapping[Key, tuple[PathPoint, ...]]:
    """The places of each zone that was fired before, in order, as far as they hold under its target's light."""
    fired: dict[Key, list[Outcome]] = {}
    for one in sorted(book.outcomes_of(case), key=lambda outcome: outcome.fired_at):
        fired.setdefault((one.tooth, one.zone), []).append(one)
    lights = {zone.zone.key: zone.target.viewing for zone in zones if zone.target is not None}
    return {key: tuple(_way(found, lights[key])) for key, found in fired.items() if key in lights}


def _way(outcomes: list[Outcome], viewing: Viewing) -> Iterator[PathPoint]:
    yield from _before(outcomes[0], viewing)
    for one in outcomes:
        yield from _point(one.expected, viewing, measured=False)
        yield from _point(one.got, viewing, measured=True)


def _before(outcome: Outcome, viewing: Viewing) -> Iterator[PathPoint]:
    if outcome.before is None:
        return
    try:
        L, a, b = (float(value) for value in colour_of(outcome.before, viewing).lab)
    except InputError:  # L*a*b* of another light
        return
    yield from _point(LabRef((L, a, b), viewing), viewing, measured=True)


def _point(found: LabRef | None, viewing: Viewing, *, measured: bool) -> Iterator[PathPoint]:
    if found is not None and found.viewing == viewing:
        L, a, b = found.lab
        colour = ColourResult(L=L, a=a, b=b, illuminant=viewing.illuminant, observer=viewing.observer or None)
        yield PathPoint(colour, measured)
