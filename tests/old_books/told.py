"""What a program tells of an old book: the commands asked of it, and their answers as plain values.

Asked in the folder of its case files, of which every path is relative, so that no answer names a place. Lists of
many numbers (spectra) are told by their count and sum, other numbers to six decimals.
"""

from __future__ import annotations

import contextlib
import csv
import io
import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

KINDS = ("case", "outcome", "firing", "recipe", "stain", "operator", "programme", "instrument", "tab")
MANY = 12  # numbers from which a list is told by count and sum
DECIMALS = 6
ADVISED = ("V-105", "V-113")  # cases whose whole advice is told: one to stain, one to strip
LIVED = ("V-105", "V-106", "V-108", "V-110", "V-113", "V-121", "V-116")  # cases whose history is told
REPORTED = ("V-107", "V-108", "V-110", "V-115", "V-121")
_NUMBER = re.compile(r"-?\d+\.\d+(e-?\d+)?")
LEFT_OUT = ("made_on", "date")  # of a report: the day on which it is asked for


class Answer(NamedTuple):
    """What one command said: ``case`` is the code that it is about, empty for none."""

    command: str
    case: str
    asked: str
    status: int
    told: Any


def run(url: str, *arguments: object) -> tuple[int, str, str]:
    """A command line in this process: exit status, standard output, standard error."""
    from stainbook.cli.run import main

    out, said = io.TextIOWrapper(io.BytesIO(), encoding="utf-8"), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(said):
        status = main(["--book", url, *map(str, arguments)])
        out.flush()
    return status, out.buffer.getvalue().decode("utf-8"), said.getvalue()  # type: ignore[attr-defined]


def answers(name: str, url: str) -> list[Answer]:
    """All that is asked of a set; the current folder is that of its case files."""
    if name == "revision-1":
        return list(_of_the_first(url))
    codes = _codes(url)
    shown = codes if name.startswith("revision") else [code for code in codes if code in LIVED]
    found = [*_of_the_book(url, shown)]
    if name == "revision-3":
        found += _of_the_files(url)
        found += _of_leaving(url, codes)
    return found


def _ask(url: str, command: str, *rest: object, case: str = "") -> Answer:
    words = command.split()
    status, out, said = run(url, *words, *rest, "--json")
    asked = " ".join(map(str, (command, *rest)))
    return Answer(command, case, asked, status, plain(json.loads(out)) if out else said.strip())


def plain(value: Any) -> Any:
    """A document as it is kept: numbers rounded, long lists of them by count and sum, no day of asking."""
    if isinstance(value, dict):
        return {key: plain(one) for key, one in value.items() if key not in LEFT_OUT}
    if isinstance(value, list):
        if len(value) >= MANY and all(isinstance(one, float) for one in value):
            return {"numbers": len(value), "sum": round(sum(value), DECIMALS)}
        return [plain(one) for one in value]
    return round(value, DECIMALS) if isinstance(value, float) else value


# ---------------------------------------------------------------- what is asked


def _codes(url: str) -> list[str]:
    return [one["name"] for one in _ask(url, "book list", "case").told["things"]]


def _of_the_first(url: str) -> Iterator[Answer]:
    """A book of the first version knows stains, chips, readings, tabs and fits; its case is a file alone."""
    yield _ask(url, "book list")
    for kind in ("stain", "body", "chip", "tab"):
        yield _ask(url, "book list", kind)
    yield _ask(url, "book show", "walnut", "--kind", "stain")
    yield _ask(url, "book show", "walnut-1", "--kind", "chip")
    yield _ask(url, "book show", "plate-pale", "--kind", "reading")
    yield _ask(url, "book history", "walnut", "--kind", "stain")
    yield _ask(url, "book search", "--kind", "stain")
    yield _ask(url, "predict", "recipes.csv", "lab/readings.csv")
    yield _ask(url, "sheet", "V-001.yaml", case="V-001")
    yield _ask(url, "bench", "V-001.yaml", case="V-001")
    yield _ask(url, "advise", "V-001.yaml", case="V-001")


def _of_the_book(url: str, codes: list[str]) -> Iterator[Answer]:
    yield _ask(url, "book list")
    for kind in KINDS:
        yield _ask(url, "book list", kind)
    for code in codes:
        yield _ask(url, "book show", code, "--kind", "case", case=code)
    for code in LIVED:
        yield _ask(url, "book history", code, "--kind", "case", case=code)
    outcome = "V-108 11 cervical 2026-03-10T11:00:00Z"
    yield _ask(url, "book show", outcome, "--kind", "outcome", case="V-108")
    yield _ask(url, "book history", outcome, "--kind", "outcome", case="V-108")
    for kind, name in (("recipe", "warm neck"), ("recipe", "soft body"), ("stain", "walnut"), ("programme", "stain")):
        yield _ask(url, "book show", name, "--kind", kind)
        yield _ask(url, "book history", name, "--kind", kind)
    for wanted in (
        ("--colour", "70,3,19", "--radius", "2"),
        ("--stain", "walnut", "--lot", "24-136", "--limit", "4"),
        ("--case", "V-109"),
        ("--zone", "middle", "--operator", "bench-2", "--limit", "4"),
        ("--kind", "recipe", "--state", "approved"),
        ("clinic", "Harbour"),
    ):
        yield _ask(url, "book search", *wanted)
    yield _ask(url, "book numbers")
    yield Answer("zones", "", "zones", 0, zones(url))


def zones(url: str) -> dict[str, list[dict[str, Any]]]:
    """By case and zone: how often it was fired, what it is said to stand at, and the newest reading that is used."""
    from stainbook.book import open_book

    told = {}
    with open_book(url) as book:
        for code, case in book.cases().items():
            painted = book.painted(code)
            lying = {(one.tooth, one.zone) for one in painted.zones} if painted else set()
            told[code] = [
                {
                    "zone": f"{one.tooth} {one.zone}",
                    "fired": one.fired,
                    "outcomes": sum((it.tooth, it.zone) == one.key for it in book.outcomes_of(code)),
                    "like": " ".join(map(str, one.like)) if one.like else None,
                    "painted": one.key in lying,
                    "chosen": getattr(book.choices(code).get(one.key), "kind", None),
                    "reading": _reading(book, getattr(one.now, "sample", f"{code}-{one.tooth}-{one.zone}"), code),
                }
                for one in case.zones
            ]
    return told


def _reading(book: Any, sample: str, code: str) -> dict[str, Any] | None:
    found = book.find_reading(sample, case=code)
    if found is None:
        return None
    seen = list(found.lab) if found.lab else list(found.reflectance)
    shown = {"sample": sample, "stage": found.stage, "taken_at": found.taken_at, "photo": found.is_photo}
    return plain({**shown, "seen": seen})


def _of_the_files(url: str) -> Iterator[Answer]:
    for path in sorted(Path().glob("V-*.yaml")):
        yield _ask(url, "sheet", path, case=path.stem)
        yield _ask(url, "bench", path, case=path.stem)
    for code in ADVISED:
        yield _ask(url, "advise", f"{code}.yaml", case=code)
    yield _ask(url, "plan", "V-105.yaml", case="V-105")
    yield _ask(url, "explain", "V-119.yaml", "11 incisal", case="V-119")
    for code in REPORTED:
        found = _ask(url, "report", f"{code}.yaml", "--csv", "report.csv", "--out", "report.pdf", case=code)
        yield found
        with Path("report.csv").open(encoding="utf-8-sig", newline="") as stream:
            yield Answer(
                "report --csv",
                code,
                f"report {code}.yaml --csv",
                0,
                [list(map(_cell, row)) for row in csv.reader(stream)],
            )


def _cell(text: str) -> Any:
    """A cell of a table: a number with a point as a number, anything else as it is."""
    return round(float(text), DECIMALS) if _NUMBER.fullmatch(text) else text


def _of_leaving(url: str, codes: list[str]) -> Iterator[Answer]:
    """Whether each case may be delivered, and returned after, each asked of a copy of the book and its folder."""
    kept = Path.cwd()
    copy = kept.parent / f"{kept.name}-leaving"
    shutil.copytree(kept, copy)
    with contextlib.chdir(copy):
        for code in codes:
            left = _ask(url, "book deliver", code, case=code)
            yield left
            if left.status == 0:
                yield _ask(url, "book return", code, "--for", "fit", case=code)
    shutil.rmtree(copy)


# ---------------------------------------------------------------- kept


def as_text(found: list[Answer]) -> str:
    """Answers as JSON, one a line."""
    rows = [json.dumps(one._asdict(), ensure_ascii=False, separators=(",", ":")) for one in found]
    return "[\n" + ",\n".join(rows) + "\n]\n"


def kept(name: str, folder: Path) -> list[Answer]:
    """The answers of the program that made the set."""
    return [Answer(**one) for one in json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))]
