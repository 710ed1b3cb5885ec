"""Small labs for the tests of work: a few chips, a case, an outcome, as files and in a book."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from stainbook.book import Book
from stainbook.colour import WAVELENGTHS
from stainbook.files import write_chips, write_readings, write_stains
from stainbook.records import Chip, Layer, Pot, Reading, Stain
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files

_BANDS = tuple(map(float, WAVELENGTHS))
_PALE = 0.55 + 0.1 * np.linspace(0, 1, len(_BANDS))
_TAKES = {"husk": np.linspace(0.5, 0.1, len(_BANDS)), "teasel": np.linspace(0.3, 0.02, len(_BANDS))}


def reading(sample: str, husk: float = 0.0, teasel: float = 0.0, **more: object) -> Reading:
    """A glazed sample, darker the more stain is on it."""
    R = _PALE * np.exp(-husk * _TAKES["husk"] - teasel * _TAKES["teasel"])
    return Reading(sample, _BANDS, tuple(R.tolist()), surface="glazed", **more)  # type: ignore[arg-type]


def calibrated(book: Book, folder: Path) -> None:
    """Teach a book two stains from six chips."""
    chips, readings = [], [reading("pale")]
    for stain in ("husk", "teasel"):
        for share in (0.125, 0.25, 0.5):
            name = f"{stain}-{share}"
            chips.append(Chip(name, "pale", (Layer(Pot.of({stain: share})),), operator="bench-1", material="zirconia"))
            readings.append(reading(name, **{stain: 2.0 * share}))
    write_chips(folder / "chips.csv", chips)
    write_readings(folder / "readings.csv", readings)
    write_stains(folder / "stains.yaml", [Stain("husk", family="brown"), Stain("teasel", family="yellow")])
    calibrate_files(book, ChipFiles(folder / "chips.csv", folder / "readings.csv", folder / "stains.yaml"))


def fired(folder: Path, *, husk: float = 0.5, extra: str = "", fired_at: str = "2026-03-02T10:40:00Z") -> Path:
    """An outcome file of one zone painted with husk 1/4, and its readings."""
    write_readings(folder / "fired.csv", [reading("W-1042-11-cervical"), reading("W-1042-11-cervical-f1", husk=husk)])
    path = folder / "outcome.yaml"
    path.write_text(
        f"case: W-1042\noperator: bench-1\nfired_at: {fired_at}\nprogramme: glaze-770\n{extra}"
        "zones:\n  - {tooth: 11, zone: cervical, before: {file: fired.csv, sample: W-1042-11-cervical},\n"
        "     layers: [{pot: {husk: 0.25}, coats: 1}], after: {file: fired.csv, sample: W-1042-11-cervical-f1}}\n",
        encoding="utf-8",
    )
    return path
