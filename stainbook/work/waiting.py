"""What waits: the cases of a folder, how each stands, and what its next job is; no advice is worked out for it."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.work.case_gaps import case_gaps
from stainbook.work.case_views import case_files_in
from stainbook.work.schemas import AdvisedZone
from stainbook.work.views import MET, NOT_READ, OFF, State, zone_state

JOBS = ("target", "read", "step", "judge", "mend")  # what a case can wait for


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
    broken: str | None = None

    @property
    def state(self) -> State:
        """How the worst zone stands."""
        return zone_state(self.worst) if self.worst else NOT_READ


def newest_cases(folder: Path) -> list[Path]:
    """The case files of a folder, the one changed last first."""
    return sorted(case_files_in(folder), key=lambda path: path.stat().st_mtime_ns, reverse=True)


def waiting_marks(url: str | None, paths: Sequence[Path]) -> list[str]:
    """For each case file a text that changes when the book or a file of its folder does.

    Raises BookError for a book that cannot be opened.
    """
    with open_book(url) as book:
        change = book.last_change()
    folders = {path.parent: _folder_mark(path.parent) for path in paths}
    return [f"{change} {folders[path.parent]} {path.stat().st_mtime_ns}" for path in paths]


def _folder_mark(folder: Path) -> str:
    """Of the readings beside the cases."""
    seen = [(one.name, one.stat().st_size, one.stat().st_mtime_ns) for one in sorted(folder.glob("*.csv"))]
    return hashlib.sha256(repr(seen).encode()).hexdigest()


def waiting_case(url: str | None, path: Path) -> Waiting:
    """How one case stands; raises BookError for a book that cannot be opened."""
    try:
        with open_book(url) as book:
            found = case_gaps(book, path)
    except InputError as error:
        return Waiting(str(path), path.stem, "mend", broken=str(error))
    zones = found.shown.zones
    job, concerned = _job(zones)
    read = [zone for zone in zones if zone.gap is not None]
    worst = max(read, key=lambda zone: zone.gap.dE00 if zone.gap else 0.0, default=None)
    case = found.case
    return Waiting(str(path), case.case, job, case.material, case.stage, len(zones), concerned, worst)


def _job(zones: Sequence[AdvisedZone]) -> tuple[str, int]:
    """What comes next, and how many zones it concerns."""
    without = sum(zone.target is None for zone in zones)
    unread = sum(zone.target is not None and zone.now is None for zone in zones)
    states = [zone_state(zone) for zone in zones]
    off = states.count(OFF)
    if without == len(zones):
        return "target", without
    if unread:
        return "read", unread
    return ("step", off) if off else ("judge", states.count(MET))
