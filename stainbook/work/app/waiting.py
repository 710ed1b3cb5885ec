"""What waits: the cases of a folder, how each stands, and what its next job is; no advice is worked out for it."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from stainbook.book import Book, open_book
from stainbook.errors import InputError
from stainbook.kept import Painted
from stainbook.records import Case
from stainbook.work.case.case_gaps import case_gaps
from stainbook.work.case.case_views import case_heads
from stainbook.work.case.delivery import OUT
from stainbook.work.case.measuring_sheet import sample_of
from stainbook.work.case.views import NOT_READ, OFF, State, zone_state
from stainbook.work.case.zones import samples_of
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
    "returned",
    "delivered",
    "provisional",
    "mend",
)  # what a case can wait for

_MOST_ROWS = 1000  # stored between two looks, of which each is looked at
_CONCERN_ALL = frozenset({"correction", "settings", "tab", "instrument", "chip", "body", "share", "erased"})


@dataclass(frozen=True, slots=True)
class Waiting:
    """One case of the list; ``broken`` says in one sentence why its file cannot be used."""

    path: str
    case: str
    job: str
    material: str | None = None
    stage: str | None = None
    zones: int = 0
    waiting: int = 0  # zones that the job is about
    worst: AdvisedZone | None = None
    fired: tuple[tuple[tuple[int, str], int], ...] = ()  # how often each zone that is off was fired
    names: frozenset[str] = frozenset()  # samples that it stands by
    broken: str | None = None

    @property
    def state(self) -> State:
        """How the worst zone stands."""
        return zone_state(self.worst) if self.worst else NOT_READ


def newest_cases(folder: Path, *, out: bool | None = None) -> list[Path]:
    """The case files of a folder, the one changed last first; ``out``: those alone that left the lab, or did not."""
    heads = [one for one in case_heads(folder) if out is None or (one[2] in OUT) is out]
    return [path for path, _, _ in sorted(heads, key=lambda one: (-one[1], one[0]))]


@dataclass(slots=True)
class Board:
    """How the cases of a book stand, each worked out once until its file or something in the book concerns it."""

    most: int = 2000  # cases that are kept
    _known: dict[tuple[str, str], Waiting] = field(default_factory=dict)
    _change: int = 0
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def standing(self, url: str | None, paths: Sequence[Path]) -> list[Waiting]:
        """How some cases stand; raises BookError for a book that cannot be opened."""
        folders = {folder: _folder_mark(folder) for folder in {path.parent for path in paths}}
        keys = [(str(path), f"{folders[path.parent]} {path.stat().st_mtime_ns}") for path in paths]
        with self._lock, open_book(url) as book:
            self._forget(book)
            new = [key for key in keys if key not in self._known]
            if len(self._known) + len(new) > self.most:
                self._known.clear()
                new = keys
            self._known.update((key, _waiting(book, Path(key[0]))) for key in new)
            return [_chosen(book, one) if one.job == "step" else one for one in map(self._known.__getitem__, keys)]

    def _forget(self, book: Book) -> None:
        """Let go what the rows stored since concern; of very many rows, or such as concern all cases, everything."""
        change = book.last_change()
        rows = book.stored_since(self._change, _MOST_ROWS) if change > self._change else []
        self._change = change
        if len(rows) == _MOST_ROWS or any(kind in _CONCERN_ALL for kind, _ in rows):
            self._known.clear()
            return
        named = {name for _, name in rows}
        gone = [key for key, one in self._known.items() if named & one.names or one.case in _codes(named)]
        for key in gone:
            del self._known[key]


def _codes(names: Iterable[str]) -> set[str]:
    """The cases that firings, outcomes and the like are named after: all that stands before a blank."""
    return {name[:end] for name in names for end in (*(at for at, one in enumerate(name) if one == " "), len(name))}


def _folder_mark(folder: Path) -> str:
    """Of the readings beside the cases."""
    seen = [(one.name, one.stat().st_size, one.stat().st_mtime_ns) for one in sorted(folder.glob("*.csv"))]
    return hashlib.sha256(repr(seen).encode()).hexdigest()


def _waiting(book: Book, path: Path) -> Waiting:
    try:
        found = case_gaps(book, path)
        painted = book.painted(found.case.case)
        read_since = _read_since(book, found.case, painted) if painted else 0
    except InputError as error:
        return Waiting(str(path), path.stem, "mend", broken=str(error))
    zones, case = found.shown.zones, found.case
    job, concerned = _at_the_bench(painted, read_since) or _out(case) or _job(zones, case)
    read = [zone for zone in zones if zone.gap is not None]
    worst = max(read, key=lambda zone: zone.gap.dE00 if zone.gap else 0.0, default=None)
    off = {(zone.tooth, zone.zone) for zone in zones if zone_state(zone) == OFF}
    fired = tuple((zone.key, zone.fired) for zone in case.zones if zone.key in off)
    names = frozenset((case.case, *samples_of(case)))
    return Waiting(str(path), case.case, job, case.material, case.stage, len(zones), concerned, worst, fired, names)


def _chosen(book: Book, one: Waiting) -> Waiting:
    """A case whose every zone that is off has a chosen step waits to be painted; choices change nothing else."""
    chosen = book.choices(one.case)
    ready = [key for key, fired in one.fired if (found := chosen.get(key)) and found.fired == fired]
    return replace(one, job="paint", waiting=len(ready)) if ready and len(ready) == len(one.fired) else one


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
    """A case that is out of the lab, or came back."""
    if case.stage in OUT:
        return "delivered", 0
    return ("returned", 0) if case.stage == "returned" and case.accepted_by is None else None


def _job(zones: Sequence[AdvisedZone], case: Case) -> tuple[str, int]:
    """What comes next, and how many zones it concerns."""
    without = sum(zone.target is None for zone in zones)
    unread = sum(zone.target is not None and zone.now is None for zone in zones)
    states = [zone_state(zone) for zone in zones]
    off = states.count(OFF)
    if case.accepted_by is not None:
        return "deliver", len(zones)
    if without == len(zones):
        return "target", without
    if unread:
        return "read", unread
    if off:
        return ("provisional", off) if case.stage == "trial" else ("step", off)
    return "judge", len(zones)
