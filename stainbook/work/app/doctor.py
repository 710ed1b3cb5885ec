"""What support needs to know of an installation, without a code, name, note, photo or path of the lab."""

from __future__ import annotations

import json
import os
import platform
import re
import sys
import zipfile
from collections.abc import Iterable
from importlib.metadata import PackageNotFoundError, version
from io import BytesIO
from pathlib import Path

from stainbook import private
from stainbook.book import Book
from stainbook.book.location import data_folder
from stainbook.errors import BookError, InputError
from stainbook.kept import Settings
from stainbook.language import LANGUAGE
from stainbook.work.documents.check_schemas import BookHealth, DoctorResult
from stainbook.work.lab.verify_book import verify

PACKAGES = (
    "numpy",
    "scipy",
    "opencv-python-headless",
    "SQLAlchemy",
    "pydantic",
    "streamlit",
    "fpdf2",
)
LAST = 40  # lines of a log
_QUOTED = re.compile(r"'[^']*'|\"[^\"]*\"|`[^`]*`")
_PATH = re.compile(r"(?:[A-Za-z]:)?[^\s'\"]*[/\\][^\s'\"]*")
_CODE = re.compile(r"\b\w*[^\W\d_]\w*-\w*\d[\w-]*\b|\b\w*\d[\w]*-[\w-]+\b")


def doctor(book: Book | None, *, log: Iterable[str] = ()) -> DoctorResult:
    """What a bundle for support holds; ``log`` are lines of the program's messages, of which codes are taken out."""
    names = _names(book)
    return DoctorResult(
        versions=_versions(),
        machine={
            "system": platform.system(), "release": platform.release(), "processor": platform.machine(),
            "cores": str(os.cpu_count() or 0), "python": platform.python_implementation(),
            "language": os.environ.get(LANGUAGE, "en"),
        },
        places={"data folder": _without_home(data_folder()), "package": _without_home(Path(__file__).parents[2])},
        book=_health(book),
        settings={} if book is None else _settings(book.settings()),
        log=[without_names(line, names) for line in [*log][-LAST:]],
    )  # fmt: skip


def save_bundle(found: DoctorResult, path: Path) -> DoctorResult:
    """Write the bundle, a zip of one document; raises InputError where it cannot be written."""
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("doctor.json", json.dumps(found.model_dump(mode="json"), indent=2, ensure_ascii=False))
    private.write(path, packed.getvalue())
    return found.model_copy(update={"bundle": str(path)})


def without_names(line: str, names: frozenset[str] = frozenset()) -> str:
    """A line of a log without what is quoted in it, paths, codes, and names that the book knows.

    >>> without_names("found 'W-1042' in /home/ann/lab.db, case W-1042 of bench-3 failed")
    'found … in …, case … of … failed'
    """
    said = _PATH.sub(_cut, _QUOTED.sub("…", line))
    for name in sorted((one for one in names if one in said), key=len, reverse=True):
        said = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", "…", said)
    return _CODE.sub("…", said)


def _cut(found: re.Match[str]) -> str:
    """A path goes, a comma or colon that ends it stays."""
    text = found[0]
    return "…" + (text[-1] if text[-1] in ",;:." else "")


def _names(book: Book | None) -> frozenset[str]:
    if book is None:
        return frozenset()
    kinds = ("case", "operator", "stain", "recipe", "programme", "instrument", "body")
    return frozenset(name for kind in kinds for name in book.names(kind) if len(name) > 1)


def _versions() -> dict[str, str]:
    found = {"stainbook": "", "python": sys.version.split()[0]}
    for name in ("stainbook", *PACKAGES):
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "missing"
    return found


def _without_home(path: Path) -> str:
    """A path below the home of whoever is logged in, which is not named; of another place only that it is one."""
    try:
        return f"~/{path.relative_to(Path.home()).as_posix()}"
    except (ValueError, RuntimeError):
        return "elsewhere"


def _health(book: Book | None) -> BookHealth:
    if book is None:
        return BookHealth(kind="none")
    size = None
    if book.in_a_file:
        place = Path(book.place)
        size = place.stat().st_size if place.is_file() else None
    try:
        checked = verify(book)
    except (BookError, InputError):
        return BookHealth(kind="file" if book.in_a_file else "server", bytes=size, ok=False)
    return BookHealth(
        kind="file" if book.in_a_file else "server",
        bytes=size,
        records=dict(book.counts()),
        ok=checked.ok,
        faults=len(checked.faults),
    )


def _settings(found: Settings) -> dict[str, str]:
    """Settings that are no free text: numbers, choices, and how many there are of others."""
    viewing = found.viewing
    return {
        "thresholds": ", ".join(found.thresholds),
        "viewing": f"{viewing.illuminant}/{viewing.observer}" if viewing else "",
        "strengths": ", ".join(f"{share:g}" for share in found.strengths),
        "scale step": f"{found.scale_step:g}" if found.scale_step else "",
        "looks on": str(bool(found.shadow)),
        "annex": str(found.annex is not False),
        "standing mixes": str(len(found.mixes)),
        "apprentices": str(len(found.apprentices or ())),
        "leads": str(len(found.leads or ())),
        "prices": str(found.prices is not None),
    }
