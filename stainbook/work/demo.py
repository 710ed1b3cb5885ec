"""The demonstration lab as a fresh book."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from stainbook.book import open_book
from stainbook.files import read_guide
from stainbook.work.calibrate import ChipFiles, calibrate_files
from stainbook.work.shipped import shipped


def new_demo_folder() -> Path:
    """A new temporary folder of its own."""
    return Path(tempfile.mkdtemp(prefix="stainbook-demo-"))


def make_demo_folder(folder: Path) -> Path:
    """Copy the shipped recipes into a folder, so that cases can be made and read there; gives where they are."""
    return Path(shutil.copytree(shipped("recipes"), folder / "recipes"))


def make_demo_book(folder: Path) -> str:
    """Make ``lab.db`` in a folder from the shipped recipes, its stains learnt from their chips; gives its URL.

    Raises InputError or BookError where the folder cannot take it.
    """
    url = f"sqlite:///{folder.absolute() / 'lab.db'}"
    lab = shipped("recipes")
    with open_book(url) as book:
        book.add_guide(read_guide(lab / "guide.csv").records)
        chips = ChipFiles(lab / "chips.csv", lab / "readings.csv", lab / "stains.yaml", lab / "bodies.csv")
        calibrate_files(book, chips)
    return url
