"""A bench of the invented lab: its pieces in the simulated furnace, its files, its clock, and the program it runs."""

from __future__ import annotations

import contextlib
import csv
import hashlib
import importlib
import json
import os
import pkgutil
import secrets
import sys
from collections.abc import Collection, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any

import numpy as np

from stainbook.colour import spectrum_to_lab
from stainbook.records import Layer, Layers, Pot, Reading
from tests.old_books.told import run
from tests.worlds.coloured import blank_of_colour
from tests.worlds.demo_lab import BLANKS, DEMO_WORLD
from tests.worlds.lab import Piece
from tests.worlds.pigments import WAVELENGTHS, absorption
from tests.worlds.samples import to_reading
from tests.worlds.write import write_readings

RECIPES = Path(__file__).parents[2] / "recipes"
SURFACE, LIQUIDS = ("walnut", "apricot", "coral"), ("amber", "smoke")
STRIPES = ("1", "3", "5")  # of each surface stain: enough to learn from, small to keep
SIMULATED = "# Simulated, not measured: part of the demonstration lab, whose hand scatters by 12 % a coat\n"
TABS = ("oat-1", "oat-2", "hay-1", "dawn-1", "dawn-2")
LIQUID = 0.02 * absorption(
    "orange", DEMO_WORLD.rng("amber")
)  # per mm of soaked zirconia, one pass, as make_demo has it
Key = tuple[str, int, str]  # case, tooth, zone


class Clock(datetime):
    """Stands for ``datetime`` in the program: the time that the life has come to, a second later at each look."""

    at = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)

    @classmethod
    def now(cls, tz: Any = None) -> datetime:  # type: ignore[override]
        Clock.at += timedelta(seconds=1)
        return Clock.at


@contextlib.contextmanager
def fixed_time_and_chance(seed: str) -> Iterator[None]:
    """Let the whole program see the life's clock and salts that follow from a seed: the same book each time."""
    import stainbook

    for found in pkgutil.walk_packages(stainbook.__path__, "stainbook."):
        if not found.name.startswith(("stainbook.pages", "stainbook.__main__", "stainbook.book.migrations")):
            importlib.import_module(found.name)
    numbers, real = count(), secrets.token_hex
    modules = [one for name, one in sys.modules.items() if name.startswith("stainbook")]
    seeing = [one for one in modules if getattr(one, "datetime", None) is datetime]
    Clock.at = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)
    secrets.token_hex = lambda n=16: hashlib.sha256(f"{seed} {next(numbers)}".encode()).hexdigest()[: 2 * n]
    for one in seeing:
        one.datetime = Clock  # type: ignore[attr-defined]
    try:
        yield
    finally:
        secrets.token_hex = real
        for one in seeing:
            one.datetime = datetime  # type: ignore[attr-defined]


class Learning:
    """Stands for what learns from the outcomes: a fit of each record would make the book ten times as large.

    Nothing else of a record depends on it but what the next ones are expected to bring.
    """

    on = False

    def __init__(self, real: Any, otherwise: Any) -> None:
        self.real, self.otherwise = real, otherwise

    def __call__(self, book: Any) -> Any:
        return self.real(book) if Learning.on else self.otherwise


@contextlib.contextmanager
def learning_when_told() -> Iterator[None]:
    """Let the program learn from outcomes inside ``bench.learning()`` alone."""
    learning = sys.modules.get("stainbook.work.learning")  # the first program knew none

    changed = []
    for name, otherwise in (("relearn", None), ("learn_from", [])):
        real = getattr(learning, name, None)
        for one in [one for key, one in sys.modules.items() if key.startswith("stainbook")]:
            if real is not None and getattr(one, name, None) is real:
                setattr(one, name, Learning(real, otherwise))
                changed.append((one, name, real))
    try:
        yield
    finally:
        for one, name, real in changed:
            setattr(one, name, real)


class Bench:
    """One book with the folder of its case files; ``newest`` is false for a program that knows less than the last."""

    def __init__(self, url: str, folder: Path, *, newest: bool) -> None:
        self.url, self.folder, self.newest = url, folder, newest
        self.rng = DEMO_WORLD.rng("old books")
        self.pieces: dict[Key, Piece] = {}
        self.read_so_far: dict[str, list[Reading]] = {}

    # ------------------------------------------------------------ the program

    def at(self, when: str, who: str = "bench-1") -> None:
        """Go on in time, with another one at the bench."""
        Clock.at = datetime.fromisoformat(f"{when}+00:00")
        os.environ["LOGNAME"] = who

    def cli(self, *arguments: object, status: int = 0) -> dict[str, Any]:
        """A command with ``--json`` that must end so; gives what it printed."""
        found, out, told = run(self.url, *arguments, "--json")
        if found != status:
            raise AssertionError(f"{arguments}: status {found}: {told}")
        return dict(json.loads(out)) if out else {}

    @contextlib.contextmanager
    def learning(self) -> Iterator[None]:
        """Let the program learn from what is told now; only the newest one's learning is kept."""
        Learning.on = self.newest
        try:
            yield
        finally:
            Learning.on = False

    def write(self, name: str, text: str) -> Path:
        """A file of the folder; gives its path as the life names it, relative to the folder."""
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
        return Path(name)

    def case(self, code: str, text: str) -> Path:
        """A case file."""
        return self.write(f"{code}.yaml", f"case: {code}\nmaterial: zirconia\n{text}")

    # ------------------------------------------------------------ the pieces

    def mill(self, code: str, blank: str, *zones: tuple[int, str]) -> None:
        """A piece from a blank: each zone is one sample of it."""
        for tooth, zone in zones:
            self.pieces[code, tooth, zone] = _blank(blank)

    def soak(self, code: str, blank: str, passes: int, *zones: tuple[int, str]) -> None:
        """Amber on a green piece, sintered then."""
        for tooth, zone in zones:
            amount = float(self.rng.lognormal(0, DEMO_WORLD.hand, passes).sum())
            made = blank_of_colour(DEMO_WORLD, blank, *BLANKS[blank])
            self.pieces[code, tooth, zone] = DEMO_WORLD.piece(replace(made, soaked=amount * LIQUID))

    def fire(self, code: str, layers: dict[tuple[int, str], Layers]) -> None:
        """Fire layers by hand, all in one heat."""
        heat = DEMO_WORLD.heat_of(self.rng)
        for (tooth, zone), stack in layers.items():
            piece = self.pieces[code, tooth, zone]
            self.pieces[code, tooth, zone] = DEMO_WORLD.fire(piece, stack, rng=self.rng, heat=heat)

    def measure(self, code: str, stage: str, when: str, *zones: tuple[int, str], tag: str = "") -> Path:
        """Read zones of a piece; gives the file of all readings of the case so far."""
        for tooth, zone in zones:
            piece = self.pieces[code, tooth, zone]
            R = DEMO_WORLD.read(piece, rng=self.rng)
            found = to_reading(f"{code}-{tooth}-{zone}{tag}", R, piece.surface, stage=stage)
            self.read_so_far.setdefault(code, []).append(replace(found, taken_at=f"{when}Z"))
        write_readings(self.folder / f"{code}.csv", self.read_so_far[code], heading=SIMULATED)
        return Path(f"{code}.csv")

    def typed(self, code: str, tooth: int, zone: str) -> str:
        """L*, a*, b* of a zone as it is typed: D65, 10°, one decimal."""
        lab = spectrum_to_lab(
            DEMO_WORLD.read(self.pieces[code, tooth, zone], rng=self.rng), WAVELENGTHS, illuminant="D65", observer=10
        )
        return " ".join(f"{value:.1f}" for value in np.asarray(lab))


_blanks: dict[str, Piece] = {}


def _blank(name: str) -> Piece:
    if name not in _blanks:
        _blanks[name] = DEMO_WORLD.piece(blank_of_colour(DEMO_WORLD, name, *BLANKS[name]))
    return _blanks[name]


def layers(*pots: tuple[dict[str, float], int]) -> Layers:
    """Layers, bottom first."""
    return tuple(Layer(Pot.of(pot), coats) for pot, coats in pots)


def painted_yaml(stack: Layers) -> str:
    """Layers as an outcome tells them."""
    return json.dumps([{"pot": one.pot.as_dict(), "coats": one.coats} for one in stack])


# ---------------------------------------------------------------- the lab's own files, a part of the demonstration's


def write_lab(folder: Path, stains: Collection[str] = (*SURFACE, *LIQUIDS, "clear")) -> None:
    """A few of the demonstration's stains with three stripes each, its blanks and five tabs of its guide."""
    kept = set(stains)
    lines = (RECIPES / "stains.yaml").read_text(encoding="utf-8").splitlines(keepends=True)
    wanted = [line for line in lines if line.startswith("#") or line.split("name: ")[1].split(",")[0] in kept]
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "stains.yaml").write_text("".join(wanted), encoding="utf-8", newline="\n")
    chips = _some("chips.csv", lambda row: row[3] in kept and (row[3] not in SURFACE or row[0][-1] in STRIPES))
    shown = {row[0] for row in chips} | {"plate-pale", "plate-dark", *BLANKS}
    rows = _some("readings.csv", lambda row: row[0] in shown or row[0].split("/")[1:2] in [[tab] for tab in TABS])
    for name, some in (
        ("chips.csv", chips),
        ("readings.csv", rows),
        ("bodies.csv", _some("bodies.csv", lambda row: True)),
        ("guide.csv", _some("guide.csv", lambda row: row[1] in TABS)),
    ):
        with (folder / name).open("w", encoding="utf-8", newline="") as stream:
            stream.write(SIMULATED if name == "readings.csv" else "")
            csv.writer(stream, lineterminator="\n").writerows(some)


def _some(name: str, wanted: Any) -> list[list[str]]:
    text = (RECIPES / name).read_text(encoding="utf-8")
    header, *rows = csv.reader(line for line in text.splitlines() if not line.startswith("#"))
    return [header, *filter(wanted, rows)]
