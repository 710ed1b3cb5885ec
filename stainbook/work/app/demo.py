"""The demonstration lab as a fresh book.

Making it takes some seconds, most of them for learning from its chips and firings. What was made is kept in the
user's data folder, under a name that changes with the program and the shipped files, and copied the next time.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from stainbook import private
from stainbook.book import Book, open_book
from stainbook.book.location import data_folder
from stainbook.errors import InputError
from stainbook.files import read_guide
from stainbook.kept import Firing, StepDone
from stainbook.language import say
from stainbook.work.app.shipped import shipped
from stainbook.work.case.case_files import case_files_in
from stainbook.work.case.open_case import open_file
from stainbook.work.firing.record import record_files
from stainbook.work.lab.exchange import ImportChoices, import_
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files

FINISHED = "finished"  # what the lab finished before, as an exchange folder with the reports of its firings
HAND = "bench-1"  # who enters all this
_PACKAGE = Path(__file__).parents[2]


def new_demo_folder() -> Path:
    """A new temporary folder of its own."""
    return Path(tempfile.mkdtemp(prefix="stainbook-demo-"))


def make_demo_folder(folder: Path) -> Path:
    """Copy the shipped recipes into a folder, so that cases can be made and read there; gives where they are."""
    return Path(shutil.copytree(shipped("recipes"), folder / "recipes"))


def make_demo_book(folder: Path, tell: Callable[[str], object] | None = None) -> str:
    """Make ``lab.db`` in a folder from the shipped recipes: stains learnt, firings recorded, the cases opened.

    Gives its URL; ``tell`` is told how far it is. Raises InputError or BookError where the folder cannot take it.
    """
    book, kept = folder.absolute() / "lab.db", _kept()
    if kept.is_file():
        with contextlib.suppress(OSError, InputError):
            private.write(book, kept.read_bytes())
            return f"sqlite:///{book}"
    with open_book(f"sqlite:///{book}", author=HAND) as opened:
        _fill(opened, shipped("recipes"), tell or (lambda said: None))
        _keep(opened, kept)
    return f"sqlite:///{book}"


def _fill(book: Book, lab: Path, tell: Callable[[str], object]) -> None:
    tell(say("Making the demonstration lab, 1 of 3: learning from its stripes …"))
    book.add_guide(read_guide(lab / "guide.csv").records)
    calibrate_files(book, ChipFiles(lab / "chips.csv", lab / "readings.csv", lab / "stains.yaml", lab / "bodies.csv"))
    tell(say("Making the demonstration lab, 2 of 3: recording its firings …"))
    import_(book, lab / FINISHED, ImportChoices(own=True))
    record_files(book, sorted((lab / FINISHED / "firings").glob("*.yaml")))
    book.add_steps(_delivered(firings[-1]) for code in book.cases() if (firings := book.firings_of(code)))
    tell(say("Making the demonstration lab, 3 of 3: opening its cases …"))
    for path in case_files_in(lab):
        open_file(book, path)


def _delivered(last: Firing) -> StepDone:
    """A piece left the lab in the evening after its last firing."""
    return StepDone(last.case, "delivered", f"{last.fired_at[:10]}T19:30:00Z", operator=last.operator)


# ---------------------------------------------------------------- a copy for the next time


def _kept() -> Path:
    """Where the copy is that this program would make from these files, whether there is one or not."""
    found = hashlib.sha256()
    for path in _made_from():
        seen = path.stat()
        found.update(f"{path} {seen.st_size} {seen.st_mtime_ns}\n".encode())
    return data_folder() / f"demo-{found.hexdigest()[:16]}.db"


def _made_from() -> Iterator[Path]:
    yield from sorted(_PACKAGE.rglob("*.py"))
    yield from sorted(path for path in shipped("recipes").rglob("*") if path.is_file())


def _keep(book: Book, kept: Path) -> None:
    """Keep a copy, in the place of older ones; where that cannot be done it is made anew the next time."""
    with contextlib.suppress(OSError):
        private.make_folder(kept.parent)
        with tempfile.TemporaryDirectory(dir=kept.parent) as place:
            copy, _ = book.copy_to(Path(place) / kept.name)
            for old in kept.parent.glob("demo-*.db"):
                old.unlink()
            os.replace(copy, kept)
