"""What waits: the cases of the book, how each stands, and what its next job is; no advice is worked out for it."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from stainbook.book import Book
from stainbook.book.case_state import CaseState
from stainbook.errors import InputError, message
from stainbook.kept import Painted
from stainbook.records import Case
from stainbook.words import states
from stainbook.words.states import State
from stainbook.work.case.case_gaps import case_gaps
from stainbook.work.case.chosen import chosen_steps
from stainbook.work.case.current_case import known_case
from stainbook.work.case.folded_cases import MOST_ROWS, codes_in
from stainbook.work.case.library import samples_of
from stainbook.work.case.measuring_sheet import sample_of
from stainbook.work.case.standing import unread_since_stained
from stainbook.work.case.views import limits_of, zone_state
from stainbook.work.documents.schemas import AdvisedZone

JOBS = (
    "target",
    "read",
    "step",
    "paint",
    "fire",
    "record",
    "judge",
    "deliver",
    "bonded",
    "returned",
    "delivered",
    "provisional",
    "sinter",
    "back",
    "mend",
)  # what a case can wait for

_CONCERN_ALL = frozenset({"correction", "settings", "tab", "instrument", "chip", "body", "share", "erased"})


@dataclass(frozen=True, slots=True)
class Waiting:
    """One case of the list; ``broken`` says in one sentence why it cannot be used."""

    case: str
    job: str
    material: str | None = None
    stage: str | None = None
    zones: int = 0
    waiting: int = 0  # zones that the job is about
    worst: AdvisedZone | None = None
    off: frozenset[tuple[int, str]] = frozenset()  # the zones that are off
    names: frozenset[str] = frozenset()  # samples that it stands by
    broken: str | None = None

    @property
    def state(self) -> State:
        """How the worst zone stands."""
        return zone_state(self.worst) if self.worst else states.NOT_READ


@dataclass(slots=True)
class Board:
    """How the cases of a book stand, each worked out once until something in the book concerns it."""

    most: int = 2000  # cases that are kept
    _known: dict[str, Waiting] = field(default_factory=dict)
    _change: int = 0
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def standing(self, book: Book, codes: Sequence[str]) -> list[Waiting]:
        """How some cases stand."""
        with self._lock:
            self._forget(book)
            new = [code for code in codes if code not in self._known]
            if len(self._known) + len(new) > self.most:
                self._known.clear()
                new = list(codes)
            self._known.update((code, _waiting(book, code)) for code in new)
            return [_chosen(book, one) if one.job == "step" else one for one in map(self._known.__getitem__, codes)]

    def clear(self) -> None:
        """Forget all of them."""
        with self._lock:
            self._known.clear()

    def _forget(self, book: Book) -> None:
        """Let go what the rows stored since concern; of very many rows, or such as concern all cases, everything."""
        change = book.last_change()
        rows = book.stored_since(self._change, MOST_ROWS) if change > self._change else []
        self._change = change
        if len(rows) == MOST_ROWS or any(kind in _CONCERN_ALL for kind, _ in rows):
            self._known.clear()
            return
        named = {name for _, name in rows}
        gone = [code for code, one in self._known.items() if named & one.names or code in codes_in(named)]
        for code in gone:
            del self._known[code]


def _waiting(book: Book, code: str) -> Waiting:
    try:
        found = case_gaps(book, code)
        painted = book.painted(code)
        read_since = _read_since(book, found.case, painted) if painted else 0
    except InputError as error:
        return Waiting(code, "mend", broken=message(error))
    zones, case, state = found.shown.zones, found.case, found.state
    job, concerned = (
        _at_the_bench(painted, read_since)
        or _out(case)
        or _on_its_way(state)
        or _fired_unread(state, case)
        or _job(zones, case)
    )
    read = [zone for zone in zones if zone.gap is not None]
    worst = max(read, key=lambda zone: zone.gap.dE00 if zone.gap else 0.0, default=None)
    off = frozenset((zone.tooth, zone.zone) for zone in zones if _is_off(zone))
    names = frozenset((code, *samples_of(case)))
    return Waiting(code, job, case.material, case.stage, len(zones), concerned, worst, off, names)


def _is_off(zone: AdvisedZone) -> bool:
    """A zone that a step is to be chosen for: out of tolerance, or likelier out than in where nobody can tell."""
    found = zone_state(zone).known
    open_ = found == states.CANNOT_TELL and zone.gap is not None and zone.gap.dE00 > limits_of(zone).acceptable
    return found == states.OUT_OF_TOLERANCE or open_


def _on_its_way(state: CaseState | None) -> tuple[str, int] | None:
    """An unsintered piece that was coloured, and one that is at the clinic."""
    if state is None:
        return None
    if state.out:
        return "back", 0
    return ("sinter", 0) if state.stage == "green" and (state.coloured or state.dried) else None


def _fired_unread(state: CaseState | None, case: Case) -> tuple[str, int] | None:
    """A piece of which nothing was read since stain was fired on it: how it came out is expected, and nobody saw it."""
    unread = unread_since_stained(state) if state is not None and case.accepted_by is None else 0
    return ("read", unread) if unread else None


def _chosen(book: Book, one: Waiting) -> Waiting:
    """A case whose every zone that is off has a chosen step waits to be painted; choices change nothing else."""
    ready = one.off & chosen_steps(known_case(book, one.case).state).keys()
    return replace(one, job="paint", waiting=len(ready)) if ready and len(ready) == len(one.off) else one


def _read_since(book: Book, case: Case, painted: Painted) -> int:
    """How many of the zones that were painted the book has a reading of that was stored since."""
    lying = {(one.tooth, one.zone) for one in painted.zones}
    stored = (book.entered("reading", sample_of(zone, case))[-1:] for zone in case.zones if zone.key in lying)
    return sum(one.created_at.replace("+00:00", "Z") >= painted.painted_at for last in stored for one in last)


def _at_the_bench(painted: Painted | None, read_since: int) -> tuple[str, int] | None:
    """Stain that lies on a piece goes before all else."""
    if painted is None:
        return None
    return ("record", read_since) if read_since else ("fire", len(painted.zones))


def _out(case: Case) -> tuple[str, int] | None:
    """A case that is out of the lab, bonded and to go there, or came back."""
    if case.stage in ("bonded", "delivered"):
        return case.stage, 0
    return ("returned", 0) if case.stage == "returned" and case.accepted_by is None else None


def _job(zones: Sequence[AdvisedZone], case: Case) -> tuple[str, int]:
    """What comes next, and how many zones it concerns."""
    without = sum(zone.target is None for zone in zones)
    unread = sum(zone.target is not None and zone.now is None for zone in zones)
    off = sum(map(_is_off, zones))
    if case.accepted_by is not None:
        return "deliver", len(zones)
    if without == len(zones):
        return "target", without
    if unread:
        return "read", unread
    if off:
        return ("provisional", off) if case.stage == "trial" else ("step", off)
    return "judge", len(zones)
