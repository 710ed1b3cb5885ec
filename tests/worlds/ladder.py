"""A ladder of labs that are not what the optics assume: ``python -m tests.worlds.ladder [--against CHECKOUT] [ROW…]``.

Each row is one thing wrong. Chips are learnt and pieces predicted as the commands do it, by the hand that painted;
told are the lines that a user would see. ΔE00 is to the same layers without hand error, "held" the share of what came
out inside the claimed radius of 9 in 10, the odds those of ending within 1.8 of a target up to 3 off what is
predicted, claimed and met. The seeds were frozen before any row was looked at: half a minute a row of eight labs.

``--against`` climbs the same labs with the program of another checkout, in a process of its own, and tells what changed
as mean and standard error over labs: the labs differ far more from one another than from themselves.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from stainbook.colour import delta_e_2000, delta_e_2000_metric
from stainbook.optics.calibrate import Calibration, calibrate
from stainbook.optics.forecast import Forecast, draw
from stainbook.records import DEFAULT_SHARES, Layer, Pot, Reading, Viewing
from stainbook.work.reading.optical import lab_on_grid, optical
from stainbook.work.reading.plate_and_piece import Pieces
from stainbook.work.reading.reading_conditions import ReadWith, said
from stainbook.work.stains.learnt import hands_of
from stainbook.work.stains.mixed_chips import unlike
from stainbook.work.stains.predict import LabOptics, forecasts_on, wild_hand
from stainbook.work.stains.stain_calibration import fired_chip
from tests.worlds import adding_doubling as ad
from tests.worlds.bodies import Blank
from tests.worlds.fired_labs import table
from tests.worlds.lab import Piece, World
from tests.worlds.pigments import WAVELENGTHS
from tests.worlds.samples import Trial, chips, to_reading, trials

STAINS = {"saddle": "brown", "flour": "white", "thrift": "pink", "squall": "blue"}
SEEDS = (301, 302, 303, 304, 305, 306, 307, 308)
PIECES = 30
DRAWS = 512
ACCEPTED = 1.8  # ΔE00, teeth (Paravina 2015)
TARGETS_OFF = 3.0  # ΔE00 from what is predicted, at most
OWN, OTHER = "bench-1", "bench-2"  # who made the chips, and who paints beside them
OPERATORS = 0.18  # log scatter between hands, as the optics assume it
SEEN = Viewing()
ROOT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Row:
    """One lab of the ladder: what is wrong in it."""

    name: str
    world: dict[str, float] = field(default_factory=dict)
    seating: float = 0.0  # log scatter of all bands of a reading together
    named: bool = True  # the case says whose hand painted
    others: bool = False  # every second chip was made by another hand
    before: Callable[[World, Piece, Reading, np.random.Generator], Reading] | None = None
    after: Callable[[World, Piece, Reading, np.random.Generator], Reading] | None = None
    stripes: int = 7  # of each stain
    plates: int = 2
    wrong: Callable[[dict[str, Reading]], dict[str, Reading]] | None = None  # readings of chips that are not theirs
    pieces: Callable[[World, int], list[Trial]] = trials


@dataclass(frozen=True, eq=False)
class Rung:
    """What came of the pieces of some labs."""

    ideal: np.ndarray
    after: np.ndarray
    radius: np.ndarray
    claimed: np.ndarray
    met: np.ndarray
    told: tuple[str, ...]
    held_back: int

    @property
    def held(self) -> float:
        """Share inside the claimed radius."""
        return float(np.mean(self.after <= self.radius))


def _moved(reading: Reading, R: np.ndarray, **more: object) -> Reading:
    return replace(reading, reflectance=tuple(np.round(R, 5).tolist()), **more)  # type: ignore[arg-type]


def included(world: World, body: Piece, reading: Reading, rng: np.random.Generator) -> Reading:
    """Read with the mirror image of the face."""
    surface = world._bare_surface if body.surface == "matt" else world._glazed_surface
    whole = np.asarray(ad.sphere_reading(surface, body.reflection, surface_seen=1.0).mean(axis=0))
    return _moved(reading, np.array(reading.reflectance) + whole - world.read(body), specular="included")


def ring(world: World, body: Piece, reading: Reading, rng: np.random.Generator) -> Reading:
    """Read with light at 45 degrees."""
    surface = world._bare_surface if body.surface == "matt" else world._glazed_surface
    read = np.asarray(ad.annular_reading(surface, body.reflection, world._media[0]).mean(axis=0))
    return _moved(reading, np.array(reading.reflectance) * read / world.read(body), geometry="45:0", specular=None)


def scaled(world: World, body: Piece, reading: Reading, rng: np.random.Generator) -> Reading:
    """Read with another instrument, whose scale is 5 % higher."""
    return _moved(reading, 1.05 * np.array(reading.reflectance), instrument="other")


def filmed(world: World, body: Piece, reading: Reading, rng: np.random.Generator) -> Reading:
    """A matt face wetted with glycerine: a smooth film of about the index of glass, without any pigment."""
    if body.surface != "matt":
        return reading
    under = ad.sphere_reading(world._glazed_surface, ad.cover(world._inner_surface, body.reflection)).mean(axis=0)
    return _moved(reading, np.array(reading.reflectance) * np.asarray(under) / world.read(body), film="glycerine")


def swapped(readings: dict[str, Reading]) -> dict[str, Reading]:
    """One stripe of each stain stands under the name of another stain's."""
    pairs = [(f"{one}-3", f"{other}-2") for one, other in zip(STAINS, reversed(STAINS), strict=True)][:2]
    crossed = {a: b for pair in pairs for a, b in (pair, pair[::-1])}
    return {name: replace(readings[crossed.get(name, name)], sample=name) for name in readings}


def unpainted(readings: dict[str, Reading]) -> dict[str, Reading]:
    """One stripe of each stain was glazed without it."""
    bare = readings["clear-plate-pale"]
    return readings | {f"{stain}-3": replace(bare, sample=f"{stain}-3") for stain in STAINS}


def foreign(readings: dict[str, Reading]) -> dict[str, Reading]:
    """One stripe of each stain was read by an instrument that reads 6 % and 0.01 more, and nobody said so."""
    names = [f"{stain}-3" for stain in STAINS]
    return readings | {
        name: _moved(readings[name], 1.06 * np.array(readings[name].reflectance) + 0.01) for name in names
    }


def heaped(world: World, count: int) -> list[Trial]:
    """Four to eight coats of one stain on black bodies, far beyond what any stripe shows."""
    rng, found = world.rng("heaped"), []
    black = Blank("black", "tooth", 10.0 * (WAVELENGTHS / 550) ** -0.2, np.full(31, 8.0), 2.0, 0.1)
    for i in range(count):
        body = replace(world.piece(black), name=f"heaped-{i:03d}")
        share = float(rng.choice(DEFAULT_SHARES[1:-1]))
        layers = (Layer(Pot.of({str(rng.choice(list(world.stains))): share}), int(rng.integers(4, 9))),)
        before = world.read(body, rng=rng)
        after = world.read(world.fire(body, layers, rng=rng), rng=rng)
        ideal = world.read(world.fire(body, layers, ideal=True))
        found.append(Trial(body.name, "tooth", OWN, {}, body, layers, before, after, ideal))
    return found


def through_port(readings: dict[str, Reading]) -> dict[str, Reading]:
    """Plates and chips, which are thick, through the small port: 3 to 4 % of their light is lost sideways."""
    lost = np.random.default_rng(5).uniform(0.03, 0.04, len(readings))
    return {
        name: _moved(one, (1.0 - share) * np.array(one.reflectance), aperture_mm=3.0)
        for share, (name, one) in zip(lost, readings.items(), strict=True)
    }


def lossy(low: float, high: float) -> Callable[[World, Piece, Reading, np.random.Generator], Reading]:
    """Read through a small port that loses light sideways."""

    def read(world: World, body: Piece, reading: Reading, rng: np.random.Generator) -> Reading:
        return _moved(reading, (1.0 - rng.uniform(low, high)) * np.array(reading.reflectance), aperture_mm=3.0)

    return read


ROWS = (
    Row("as assumed: noise 0.1 %, hand 12 %"),
    Row("nobody named", named=False),
    Row("every second chip by another hand", others=True),
    Row("noise 0.4 %", {"noise": 0.004}),
    Row("noise 1 %", {"noise": 0.01}),
    Row("seating 1 %", seating=0.01),
    Row("seating 2 %", seating=0.02),
    Row("pieces with specular included", before=included),
    Row("pieces by 45:0", before=ring),
    Row("pieces by another instrument", before=scaled),
    Row("edge loss of pieces", before=lossy(0.06, 0.16), after=lossy(0.04, 0.11)),
    Row("all through one small port", before=lossy(0.06, 0.16), after=lossy(0.04, 0.11), wrong=through_port),
    Row("matt pieces under a film", before=filmed),
    Row("hand 7 %", {"hand": 0.07}),
    Row("hand 15 %", {"hand": 0.15}),
    Row("hand 30 %", {"hand": 0.30}),
    Row("one stripe of each stain swapped", wrong=swapped),
    Row("one stripe of each stain unpainted", wrong=unpainted),
    Row("one stripe of each stain by another instrument", wrong=foreign),
    Row("one stripe a stain", stripes=1),
    Row("four to eight coats on black", pieces=heaped),
)


def world_of(row: Row, seed: int, *, matt: bool) -> World:
    """A lab of a row."""
    return World(seed=seed, matt=matt, operators=OPERATORS, stains=STAINS, **row.world)  # type: ignore[arg-type]


def lab_read(row: Row, world: World) -> tuple[Calibration, ReadWith]:
    """What the lab's chips teach."""
    made = chips(world, row.stripes, row.plates, second=OTHER if row.others else OWN)
    rng = world.rng("ladder chips")
    readings = {one.sample: _seated(replace(one, aperture_mm=6.0, instrument="own"), row, rng) for one in made.readings}
    readings = row.wrong(readings) if row.wrong else readings
    stains = {one.name: one for one in made.stains}
    to = ReadWith.usual(readings[chip.chip] for chip in made.chips)
    fired = [
        replace(fired_chip(chip, readings, {}, stains, to=to), unlike=unlike(chip, operator=OWN, lots={}))
        for chip in made.chips
    ]
    return calibrate(fired, stains, operator=OWN), to


def _seated(reading: Reading, row: Row, rng: np.random.Generator) -> Reading:
    return _moved(reading, np.array(reading.reflectance) * np.exp(row.seating * rng.standard_normal()))


def _read(row: Row, world: World, trial: Trial, rng: np.random.Generator) -> tuple[Reading, Reading]:
    """Before and after, as this lab reads them; what came out was read as the chips were unless the row says else."""
    before, after = (
        _seated(replace(to_reading(f"{trial.name}-{when}", R, surface), aperture_mm=6.0, instrument="own"), row, rng)
        for when, R, surface in (("before", trial.before, trial.body.surface), ("after", trial.after, "glazed"))
    )
    before = row.before(world, trial.body, before, rng) if row.before else before
    return before, row.after(world, trial.body, after, rng) if row.after else after


def climbed(row: Row, world: World, count: int = PIECES) -> Rung:
    """One lab of a row."""
    found, to = lab_read(row, world)
    optics, rng = found.optics, world.rng("ladder pieces")
    pieces, known = Pieces(chips=to, ceramics=optics.ceramics), LabOptics(optics, {}, {}, {})
    rows, told, wild = [], [], dict[str, None]()
    for i, trial in enumerate(row.pieces(world, count)):
        before, after = _read(row, world, trial, rng)
        hands = hands_of(optics, {}, trial.operator if row.named else None, {})
        body = pieces.laid_on(optical(before), "zirconia")
        told.append(("a piece", body.crossed))
        wild |= dict.fromkeys(wild_hand(optics, hands))
        (one,) = forecasts_on(body, [trial.layers], known, hands, finish="glaze", material="zirconia", key=str(i))
        meant = world.read(world.fire(trial.body, trial.layers, ideal=True))  # by the hand of the chips
        came = lab_on_grid(np.array(after.reflectance), SEEN)
        rows.append(_judged(one, lab_on_grid(meant, SEEN), came, world.rng("target", trial.name)))
    columns = np.array(rows, dtype=float).T
    return Rung(*columns, (*said(told, against="the chips"), *wild), len(found.held_back))


def _judged(one: Forecast, ideal: np.ndarray, came: np.ndarray, rng: np.random.Generator) -> tuple[float, ...]:
    """The columns of a rung, of one piece."""
    colour, drawn = lab_on_grid(one.reflectance, SEEN), lab_on_grid(np.exp(draw(one, DRAWS)), SEEN)
    way = rng.standard_normal(3)
    target = colour + way * rng.uniform(0.0, TARGETS_OFF) / np.sqrt(way @ delta_e_2000_metric(colour) @ way)
    return (
        float(delta_e_2000(colour, ideal)),
        float(delta_e_2000(colour, came)),
        float(np.quantile(delta_e_2000(drawn, colour), 0.9)),
        float(np.mean(delta_e_2000(drawn, target) <= ACCEPTED)),
        float(delta_e_2000(came, target) <= ACCEPTED),
    )


def together(rungs: Sequence[Rung]) -> Rung:
    """All pieces of some labs."""
    parts = [
        np.concatenate(part)
        for part in zip(*((r.ideal, r.after, r.radius, r.claimed, r.met) for r in rungs), strict=True)
    ]
    return Rung(*parts, tuple(dict.fromkeys(line for r in rungs for line in r.told)), sum(r.held_back for r in rungs))


def cells(rung: Rung) -> list[str]:
    """Median / P95, held, radius, odds claimed and met, Brier over the base rate's, chips held back, told."""
    base = float(np.mean((rung.met - rung.met.mean()) ** 2))
    brier = float(np.mean((rung.claimed - rung.met) ** 2))
    return [
        f"{np.median(rung.ideal):.2f} / {np.percentile(rung.ideal, 95):.2f}",
        f"{rung.held:.0%}",
        f"{np.median(rung.radius):.2f}",
        f"{rung.claimed.mean():.2f} / {rung.met.mean():.2f}",
        f"{brier:.3f} / {base:.3f}",
        str(rung.held_back),
        "told" if rung.told else "",
    ]


def measures(rung: Rung) -> list[float]:
    """What a lab is compared by: mean ΔE00, share held, median radius, and how far the odds are off, squared."""
    off = float(np.mean((rung.claimed - rung.met) ** 2))
    return [float(rung.ideal.mean()), rung.held, float(np.median(rung.radius)), off]


def differences(own: Sequence[Rung], other: Sequence[Sequence[float]]) -> str:
    """What changed against the same labs of another checkout: mean and standard error over labs."""
    apart = np.array([measures(rung) for rung in own]) - np.array(other)
    mean, error = (
        apart.mean(axis=0),
        apart.std(axis=0, ddof=1) / np.sqrt(len(apart)) if len(apart) > 1 else 0 * apart[0],
    )
    parts = (
        ("ΔE00", 1, "+.3f", ".3f"),
        ("held", 100, "+.1f", ".1f"),
        ("radius", 1, "+.2f", ".2f"),
        ("Brier", 1, "+.4f", ".4f"),
    )
    return ", ".join(
        f"{name} {size * m:{form}} ± {size * e:{plain}}"
        for (name, size, form, plain), m, e in zip(parts, mean, error, strict=True)
    )


def there(checkout: Path, row: Row, matt: bool, seeds: Sequence[int], count: int) -> list[list[float]]:
    """The measures of the same labs by the program, and the worlds, of another checkout."""
    asked = [row.name, str(int(matt)), str(count), *map(str, seeds)]
    told = subprocess.run(
        [sys.executable, "-P", __file__, "--measures", *asked],
        env=os.environ | {"PYTHONPATH": str(checkout.resolve())},
        cwd=checkout,
        check=True,
        stdout=subprocess.PIPE,
    )
    found: list[list[float]] = json.loads(told.stdout)
    return found


def _measured(name: str, matt: str, count: str, *seeds: str) -> None:
    row = next(one for one in ROWS if one.name == name)
    rungs = [climbed(row, world_of(row, int(seed), matt=matt == "1"), int(count)) for seed in seeds]
    print(json.dumps([measures(rung) for rung in rungs]))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--labs", type=int, default=len(SEEDS))
    parser.add_argument("--first", type=int, default=SEEDS[0], help="seed of the first lab")
    parser.add_argument("--pieces", type=int, default=PIECES)
    parser.add_argument("--kind", choices=["glazed", "matt"], help="only this kind of labs")
    parser.add_argument("--against", type=Path, help="a checkout that climbs the same labs")
    parser.add_argument("--measures", nargs="+", help=argparse.SUPPRESS)
    parser.add_argument("row", nargs="*", help="only rows whose name holds one of these")
    asked = parser.parse_args()
    if asked.measures:
        _measured(*asked.measures)
        return
    header = ["row", "lab", "median / P95", "held", "radius", "odds claimed / met", "Brier / base", "held back", ""]
    header += ["against the other: mean ± standard error"] if asked.against else []
    lines, seeds = [], range(asked.first, asked.first + asked.labs)
    for row in ROWS:
        if asked.row and not any(part in row.name for part in asked.row):
            continue
        for kind in ("glazed", "matt"):
            if asked.kind in (None, kind):
                matt = kind == "matt"
                rungs = [climbed(row, world_of(row, seed, matt=matt), asked.pieces) for seed in seeds]
                rung = together(rungs)
                lines.append([row.name, kind, *cells(rung)])
                if asked.against:
                    lines[-1].append(differences(rungs, there(asked.against, row, matt, seeds, asked.pieces)))
                print(" | ".join(lines[-1]), *rung.told, sep="\n    ", flush=True)
    print(table(header, lines))


if __name__ == "__main__":
    main()
