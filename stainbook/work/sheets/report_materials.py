"""What a report says of a piece beside its zones: what was prescribed, and the materials with their lots."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

import numpy as np

from stainbook.book import Book
from stainbook.book.case_state import CaseState
from stainbook.book.events import Event
from stainbook.kept import Outcome, StepDone
from stainbook.language import say
from stainbook.records import CLEAR, BodyRef, Case, LabRef, LabValues, SampleRef
from stainbook.report.content import AimReport, MaterialReport, ZoneReport
from stainbook.work.case.case_edits import said_target
from stainbook.work.case.current_case import CurrentCase
from stainbook.work.case.zones import ZoneColours

LIQUID = "infiltrating"
_ORDER = ("liquid", "stain", "glaze")
READ = say("colours that were read")
TYPED = say("colours given as L* a* b*")


def aims_of(zones: Sequence[ZoneColours], reported: Sequence[ZoneReport]) -> tuple[AimReport, ...]:
    """What was prescribed, each aim once with its zones, in the order of the case."""
    groups: dict[str, list[ZoneReport]] = {}
    shared = Counter(one.zone.target.colour for one in zones if one.zone.target)
    for one, told in zip(zones, reported, strict=True):
        wanted = one.zone.target or one.read_at.target
        if wanted is not None:
            said = said_target(wanted)
            if isinstance(wanted.colour, LabRef):
                said = TYPED
            elif isinstance(wanted.colour, SampleRef) and shared[wanted.colour] < 2:
                said = READ
            groups.setdefault(said, []).append(told)
    return tuple(
        AimReport(
            said,
            tuple(one.key for one in told),
            _middle(one.target for one in told),
            _middle(one.result for one in told if one.target),
        )
        for said, told in groups.items()
    )


def _middle(colours: Iterable[LabValues | None]) -> LabValues | None:
    known = [one for one in colours if one is not None]
    if not known:
        return None
    L, a, b = (float(value) for value in np.median(np.array(known), axis=0))
    return L, a, b


def materials_of(book: Book, current: CurrentCase, outcomes: Sequence[Outcome]) -> tuple[MaterialReport, ...]:
    """The blank, then each bottle, jar and glaze that was put on or into the piece, a line for each lot of it."""
    return (*_blanks(book, current), *_painted(book, current.case, current.state, outcomes))


def _blanks(book: Book, current: CurrentCase) -> list[MaterialReport]:
    bodies, case = book.bodies(), current.case
    named: dict[str, str | None]
    if case.blank is not None:
        named = {case.blank.name: case.blank.lot}
    else:
        named = dict.fromkeys(one.now.name for one in case.zones if isinstance(one.now, BodyRef))
    named |= _milled(current.events)
    lots = {name: lot or (bodies[name].lot if name in bodies else None) for name, lot in named.items()}
    return [MaterialReport("blank", name, lot or "") for name, lot in lots.items()]


def _milled(events: Iterable[Event]) -> dict[str, str | None]:
    """The blanks that the bench told with the milling, by name with their lots."""
    done = [one.told for one in events if isinstance(one.told, StepDone) and one.told.blank]
    return {str(one.blank): one.lot for one in done}


def _painted(book: Book, case: Case, state: CaseState, outcomes: Sequence[Outcome]) -> list[MaterialReport]:
    """Each stain with the lots that its firings noted, else the case's; the clear glaze where any was fired."""
    stains = book.stains()
    kinds, named = {one.name: one.kind for one in stains.values()}, dict(case.lots)
    clear = next((name for name, kind in kinds.items() if kind == "clear"), CLEAR)
    kinds.setdefault(clear, "clear")
    fired = [layers for zone in state.zones.values() for layers in zone.fired]
    stacks = [(one.layers, dict(one.lots)) for one in outcomes]
    stacks += [(one.layers, dict(one.lots)) for one in fired]
    stacks += [(zone.soaked, {}) for zone in state.zones.values()]
    used: dict[str, set[str]] = {}
    for layers, lots in stacks:
        for layer in layers:
            thinned = layer.pot.clear > 0.0 and not any(kinds.get(name) == LIQUID for name in layer.pot.stains)
            for name in (*layer.pot.stains, *((clear,) if thinned else ())):
                used.setdefault(name, set()).add(lots.get(name) or named.get(name) or "")
    if state.glazed_at is not None:
        used.setdefault(clear, set()).add(named.get(clear) or "")
    rows = sorted(used.items(), key=lambda one: (_ORDER.index(_kind(kinds.get(one[0]))), one[0]))
    return [
        MaterialReport(_kind(kinds.get(name)), name, lot)
        for name, lots in rows
        for lot in (sorted(filter(None, lots)) or [""])
    ]


def _kind(kind: str | None) -> str:
    return "liquid" if kind == LIQUID else "glaze" if kind == "clear" else "stain"
