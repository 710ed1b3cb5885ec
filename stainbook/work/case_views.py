"""A case as its page shows it: the advice, and the spectra behind it."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import numpy as np

from stainbook.book import open_book
from stainbook.colour import WAVELENGTHS
from stainbook.files import read_case
from stainbook.records import Case, Layer, Pot, Reading, SampleRef
from stainbook.work.advise import CaseDetail, case_detail
from stainbook.work.bench import bench, html_of
from stainbook.work.case_gaps import CaseGaps, case_gaps
from stainbook.work.doubt import reflectance_covariance
from stainbook.work.predict import forecasts_on
from stainbook.work.schemas import AdvisedZone, Move
from stainbook.work.views import CaseView, Curve, Floats, ZoneCurves
from stainbook.work.zones import FOLDER_READINGS, ZoneColours, guide_of

NOW, PREDICTED, TARGET = "now", "predicted", "target"
BAND = 1.645  # standard deviations on each side: 5-95 %
_CASE_KEY = re.compile(r"^case\s*:", re.MULTILINE)
_HEAD_CHARACTERS = 4096  # in which a case file says that it is one


def case_files_in(folder: Path) -> list[Path]:
    """The case files of a folder, by name: YAML with a ``case`` key near its top; none where there is no folder."""
    return [path for path in sorted(folder.glob("*.yaml")) if path.is_file() and _CASE_KEY.search(_head(path))]


def _head(path: Path) -> str:
    with path.open(encoding="utf-8", errors="replace") as file:
        return file.read(_HEAD_CHARACTERS)


def case_mark(url: str | None, path: Path) -> str:
    """A text that changes whenever the book, the case file or a file that it names does.

    Raises InputError for a case file that cannot be used, BookError for a book that cannot be opened.
    """
    with open_book(url) as book:
        case = read_case(path, guide=guide_of(book, path.parent, None)).records[0]
        change = book.last_change()
    seen = [f"{url} {change}", *(_file_mark(one) for one in (path, *_named_files(case)))]
    return hashlib.sha256("\n".join(seen).encode()).hexdigest()


def _named_files(case: Case) -> list[Path]:
    refs = [ref for zone in case.zones for ref in (zone.now, zone.target.colour if zone.target else None)]
    named = [ref.file for ref in refs if isinstance(ref, SampleRef) and ref.file]
    beside = [case.folder / name for name in FOLDER_READINGS] if case.folder else []
    return sorted({*named, *beside})


def _file_mark(path: Path) -> str:
    if not path.is_file():
        return f"{path} -"
    found = path.stat()
    return f"{path} {found.st_size} {found.st_mtime_ns}"


def view_case(url: str | None, path: Path) -> CaseView:
    """Advice on a case and the spectra of its zones; its gaps alone before a stain was calibrated.

    Raises InputError for files that cannot be used, BookError for a book that cannot be opened.
    """
    with open_book(url) as book:
        gaps = case_gaps(book, path)
        if gaps.why is not None:
            return _of_gaps(gaps)
        detail = case_detail(book, path)
    told = zip(detail.shown.zones, detail.zones, strict=True)
    curves = {zone.zone.key: _curves(advised, zone, detail) for advised, zone in told}
    return CaseView(detail.case, detail.shown, curves, detail.warnings)


def view_gaps(url: str | None, path: Path) -> CaseView:
    """The gaps of a case alone, which are there at once; raises as `view_case` does."""
    with open_book(url) as book:
        return _of_gaps(case_gaps(book, path))


def bench_page(url: str | None, path: Path) -> str:
    """The bench sheet of a case as a page to print; raises as `view_case` does."""
    with open_book(url) as book:
        return html_of(bench(book, path))


def _of_gaps(gaps: CaseGaps) -> CaseView:
    return CaseView(gaps.case, gaps.shown, warnings=(*([gaps.why] if gaps.why else []), *gaps.warnings))


def _curves(advised: AdvisedZone, zone: ZoneColours, detail: CaseDetail) -> ZoneCurves:
    return ZoneCurves(
        now=_read(NOW, zone.now.reading) if zone.now else None,
        target=_read(TARGET, zone.target.reading) if zone.target else None,
        moves=tuple(_after(move, zone, detail) for move in advised.moves),
    )


def _read(name: str, reading: Reading) -> Curve | None:
    """A reading's spectrum with the band of its repeats, or of common practice where there were none."""
    if not reading.is_spectral:
        return None
    spread = BAND * np.sqrt(np.diag(reflectance_covariance(reading)))
    R = np.asarray(reading.reflectance)
    return Curve(name, reading.wavelengths, reading.reflectance, _floats(R - spread), _floats(R + spread))


def _after(move: Move, zone: ZoneColours, detail: CaseDetail) -> Curve | None:
    """What a move is expected to look like; None for another blank and where no spectrum was read."""
    start = zone.bare if move.kind == "strip and restain" else zone.now
    if start is None or move.kind == "remake" or not start.reading.is_spectral:
        return None
    case, layers = detail.case, tuple(Layer(Pot.of(one.pot), one.coats) for one in move.layers)
    (found,) = forecasts_on(
        start, [layers], detail.lab, detail.hands, finish=case.finish, material=case.material, key=str(zone.zone.key)
    )
    wavelengths, R = start.after(found.reflectance)
    spread = BAND * np.interp(wavelengths, WAVELENGTHS, np.sqrt(np.diag(found.covariance())))
    return Curve(PREDICTED, _floats(wavelengths), _floats(R), _floats(R * np.exp(-spread)), _floats(R * np.exp(spread)))


def _floats(values: Floats) -> tuple[float, ...]:
    return tuple(float(value) for value in values)
