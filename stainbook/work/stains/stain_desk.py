"""What the stains page does: plates to print, stripes taken in from files and learnt from, the weekly chip."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from stainbook.book import Book
from stainbook.colour.control import FEWEST
from stainbook.errors import InputError
from stainbook.files import NamedFile
from stainbook.language import say
from stainbook.records import CLEAR
from stainbook.work.documents.schemas import CalibrateResult
from stainbook.work.reading.dropped import Dropped
from stainbook.work.stains.plate import html_of, plan_plates
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from stainbook.work.stains.stripes import PlateOrder

ROLES = ("chips", "readings", "stains", "bodies")  # of the files that a calibration is fed with
MOST_MB = 64


def plate_page(book: Book, stains: Sequence[str]) -> str:
    """Plates of stripes for some stains as a page to print; raises InputError for what cannot be laid out."""
    result, _ = plan_plates(book, PlateOrder(tuple(name for name in stains if name != CLEAR)))
    return html_of(result)


# ---------------------------------------------------------------- stripes by file


def roles_of(dropped: Sequence[Dropped]) -> dict[str, Dropped]:
    """Which file is what, by its content.

    Raises InputError for two files of one kind, and where chips or readings are missing.
    """
    found: dict[str, Dropped] = {}
    for one in dropped:
        role = _role(one)
        if role in found:
            raise InputError(_both(role, found[role].name, one.name))
        found[role] = one
    for role in ROLES[:2]:
        if role not in found:
            missing = say("found no list of stripes among the files, expected chips.csv and its readings together")
            unread = say("found no readings among the files, expected chips.csv and its readings together")
            raise InputError(missing if role == "chips" else unread)
    return found


def _both(role: str, first: str, second: str) -> str:
    known = {"first": first, "second": second}
    return {
        "chips": say("{first} and {second} are both lists of stripes, expected one file of each kind", **known),
        "readings": say("{first} and {second} are both readings, expected one file of each kind", **known),
        "stains": say("{first} and {second} are both lists of stains, expected one file of each kind", **known),
        "bodies": say("{first} and {second} are both lists of blanks, expected one file of each kind", **known),
    }[role]


def learn_from_files(book: Book, dropped: Sequence[Dropped]) -> CalibrateResult:
    """Take in stripes, their readings, and lists of stains and blanks where they are given; learn from them.

    Raises InputError for files that cannot be used; then nothing is stored.
    """
    roles = roles_of(dropped)
    brought = {role: NamedFile(one.name, one.data) for role, one in roles.items()}
    files = ChipFiles(brought["chips"], brought["readings"], brought.get("stains"), brought.get("bodies"))
    return calibrate_files(book, files)


def _role(one: Dropped) -> str:
    if len(one.data) > MOST_MB * 2**20:
        raise InputError(
            say(
                "{file}: found more than {most} MB, expected a list of stripes or readings", file=one.name, most=MOST_MB
            )
        )
    if Path(one.name).suffix.lower() in (".yaml", ".yml"):
        return "stains"
    text = one.data[:4096].decode("utf-8-sig", "replace")
    first = next((line for line in text.splitlines() if line.strip() and not line.startswith("#")), "")
    separator = ";" if ";" in first else "\t" if "\t" in first else ","
    heads = {cell.strip().casefold() for row in csv.reader(io.StringIO(first), delimiter=separator) for cell in row}
    if {"chip", "strength"} <= heads:
        return "chips"
    return "bodies" if "body" in heads and not heads & {"l", "l*", "400"} else "readings"


# ---------------------------------------------------------------- the weekly chip


def weekly_chips(book: Book) -> list[str]:
    """Samples with enough dated readings for a control chart that are no zone of a case, the most read first."""
    dated = Counter(one.sample for one in book.readings() if one.taken_at and one.tissue is None)
    cases = tuple(f"{case}-" for case in book.names("case"))
    return [name for name, count in dated.most_common(40) if count >= FEWEST and not name.startswith(cases)]
