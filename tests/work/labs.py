"""A small simulated lab as files and as a book, for the tests of calibrate and predict."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from stainbook.book import Book, open_book
from stainbook.records import Chip, Reading
from tests.worlds.lab import World
from tests.worlds.samples import ChipSet, chips
from tests.worlds.write import write_chips, write_readings, write_rows, write_stains

WORLD = World(seed=9, matt=True, stains={"saddle": "brown", "thrift": "pink"})


def made(stripes: int = 7, plates: int = 2) -> ChipSet:
    return chips(WORLD, stripes, plates)


def write(folder: Path, fired: ChipSet) -> Path:
    folder.mkdir(exist_ok=True)
    write_stains(folder / "stains.yaml", fired.stains)
    write_chips(folder / "chips.csv", fired.chips)
    write_readings(folder / "readings.csv", fired.readings)
    return folder


def changed(fired: ChipSet, **readings) -> ChipSet:
    """The set with fields of some readings changed, by sample (underscores for dashes)."""
    by_name = {name.replace("_", "-"): fields for name, fields in readings.items()}
    return replace(fired, readings=tuple(replace(r, **by_name.get(r.sample, {})) for r in fired.readings))


def only(fired: ChipSet, *names: str) -> ChipSet:
    return replace(fired, chips=tuple(chip for chip in fired.chips if chip.chip in names))


def more(fired: ChipSet, chip: Chip, *readings: Reading) -> ChipSet:
    return replace(fired, chips=(*fired.chips, chip), readings=(*fired.readings, *readings))


def book_in(folder: Path) -> Book:
    return open_book(f"sqlite:///{folder / 'lab.db'}")


def recipes(path: Path, *rows: tuple) -> Path:
    write_rows(path, ("recipe", "body", "layer", "stain", "strength", "coats"), rows)
    return path
