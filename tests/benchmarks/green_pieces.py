"""How well liquids, and surface stain after them, are predicted in a lab of files like practice-green.

``python -m tests.benchmarks.green_pieces FOLDER`` prints two rows, in some seconds: pieces with liquids alone, sintered
and matt, from their blank; and layers of surface stain on coloured pieces, from what was read before them. ``--seeds 1
2 3`` adds simulated labs (`tests.worlds.green_lab`) of liquids alone. ΔE00 (D65, 10°) to the ideal, and how often
what a hand made lay inside the claimed radius of 9 in 10. ``--beside`` has the simulated pieces by two-flux theory too,
those whose liquids all have broad bands apart.
"""

from __future__ import annotations

import argparse
import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from stainbook.colour import delta_e_2000
from stainbook.files import read_bodies, read_chips, read_readings, read_stains
from stainbook.optics.calibrate import Calibration, calibrate
from stainbook.optics.forecast import draw
from stainbook.records import Body, Chip, Layer, Layers, Pot, Reading, Stain, Viewing
from stainbook.work.reading.optical import lab_on_grid, optical
from stainbook.work.stains.learnt import hands_of
from stainbook.work.stains.predict import LabOptics, forecasts_on
from stainbook.work.stains.stain_calibration import fired_chip
from tests.worlds.baselines import BASELINES, lab_of
from tests.worlds.fired_labs import colour, table
from tests.worlds.green_lab import BROAD, green_lab

DRAWS = 512
SEEN = Viewing()


@dataclass(frozen=True)
class GreenPiece:
    """One piece: layers on a sample, and the samples of what a hand made of it and of the same without hand error."""

    name: str
    tissue: str
    layers: Layers
    on: str
    after: str
    ideal: str
    finish: str


@dataclass(frozen=True, eq=False)
class GreenLab:
    """A folder's stains, chips, blanks and readings."""

    stains: dict[str, Stain]
    bodies: dict[str, Body]
    chips: tuple[Chip, ...]
    readings: dict[str, Reading]

    @classmethod
    def of(cls, folder: Path) -> GreenLab:
        """The lab of a folder."""
        return cls(
            {one.name: one for one in read_stains(folder / "stains.yaml").records},
            {one.body: one for one in read_bodies(folder / "bodies.csv").records},
            tuple(read_chips(folder / "chips.csv").records),
            {one.sample: one for one in read_readings(folder / "readings.csv").all},
        )

    @classmethod
    def simulated(cls, seed: int) -> tuple[GreenLab, list[GreenPiece]]:
        """A lab of `tests.worlds.green_lab`, and its pieces."""
        stains, bodies, chips, readings, pieces = green_lab(seed)
        own = [GreenPiece(n, "tooth", layers, on, f"{n}-after", f"{n}-ideal", "none") for n, layers, on in pieces]
        return cls(stains, bodies, chips, readings), own

    def learnt(self) -> Calibration:
        """What the chips teach."""
        return calibrate([fired_chip(c, self.readings, self.bodies, self.stains) for c in self.chips], self.stains)


def soaked(folder: Path) -> list[GreenPiece]:
    """Pieces with liquids alone."""
    return [
        GreenPiece(name, rows[0]["tissue"], _layers(rows), rows[0]["body"], f"{name}-after", f"{name}-ideal", "none")
        for name, rows in _trials(folder / "soaked.csv")
    ]


def sequences(folder: Path) -> list[GreenPiece]:
    """Coloured pieces with surface stain on them."""
    return [
        GreenPiece(
            name,
            rows[0]["tissue"],
            _layers([row for row in rows if row["stage"] == "blasted"]),
            f"{name}-blasted",
            f"{name}-glazed",
            f"{name}-ideal",
            "glaze",
        )
        for name, rows in _trials(folder / "sequences.csv")
    ]


def _trials(path: Path) -> Iterator[tuple[str, list[dict[str, str]]]]:
    found: dict[str, list[dict[str, str]]] = {}
    with path.open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            found.setdefault(row["trial"], []).append(row)
    yield from found.items()


def _layers(rows: list[dict[str, str]]) -> Layers:
    pots: dict[int, tuple[dict[str, float], int]] = {}
    for row in rows:
        pots.setdefault(int(row["layer"]), ({}, int(row["coats"])))[0][row["stain"]] = float(row["strength"])
    return tuple(Layer(Pot.of(pot), coats) for _, (pot, coats) in sorted(pots.items()))


def predicted(lab: GreenLab, found: Calibration, pieces: list[GreenPiece]) -> dict[str, np.ndarray]:
    """ΔE00 (n,) of each piece to its ideal and to what came out, and the radius that was claimed."""
    known = LabOptics(found.optics, {}, lab.stains, lab.bodies)
    hands = hands_of(found.optics, {}, None, {})
    rows = []
    for one in pieces:
        before = optical(lab.readings[one.on], body=lab.bodies.get(one.on))
        (likely,) = forecasts_on(
            before, [one.layers], known, hands, finish=one.finish, material="zirconia", key=one.name
        )
        expected = lab_on_grid(likely.reflectance, SEEN)
        ideal, after = (colour(np.array(lab.readings[name].reflectance), SEEN) for name in (one.ideal, one.after))
        drawn = lab_on_grid(np.exp(draw(likely, DRAWS)), SEEN)
        radius = np.quantile(delta_e_2000(drawn, expected), 0.9)
        rows.append((delta_e_2000(expected, ideal), delta_e_2000(expected, after), radius))
    return dict(zip(("ideal", "after", "radius"), np.array(rows, dtype=float).T, strict=True))


def by_two_flux(lab: GreenLab, pieces: list[GreenPiece]) -> np.ndarray:
    """ΔE00 (n,) of each piece to its ideal, as two-flux theory has it from the same chips."""
    told = BASELINES["two-flux"]([fired_chip(c, lab.readings, lab.bodies, lab.stains) for c in lab.chips])
    off = []
    for one in pieces:
        before, ideal = (np.array(lab.readings[name].reflectance) for name in (one.on, one.ideal))
        off.append(delta_e_2000(told.colours(before, "matt", [one.layers], glazed=False)[0], lab_of(ideal)))
    return np.array(off, dtype=float)


def beside(labs: Sequence[tuple[GreenLab, list[GreenPiece]]]) -> list[list[str]]:
    """Rows of broad and of narrow bands: median and P95 by stainbook and by two-flux."""
    own = np.concatenate([predicted(lab, lab.learnt(), pieces)["ideal"] for lab, pieces in labs])
    other = np.concatenate([by_two_flux(lab, pieces) for lab, pieces in labs])
    broad = np.array([all(set(x.pot.stains) <= set(BROAD) for x in one.layers) for _, many in labs for one in many])
    return [
        [name, str(mask.sum()), *(f"{np.median(d[mask]):.2f} / {np.percentile(d[mask], 95):.2f}" for d in (own, other))]
        for name, mask in (("broad bands", broad), ("with narrow bands", ~broad))
    ]


def cells(name: str, rows: dict[str, np.ndarray]) -> list[str]:
    """A row of the table."""
    ideal, held = rows["ideal"], np.mean(rows["after"] <= rows["radius"])
    return [
        name,
        str(len(ideal)),
        f"{np.median(ideal):.2f} / {np.percentile(ideal, 95):.2f}",
        f"{np.median(rows['radius']):.1f}",
        f"{held:.0%}",
    ]


def together(found: Sequence[dict[str, np.ndarray]]) -> dict[str, np.ndarray]:
    """The pieces of several labs."""
    return {key: np.concatenate([one[key] for one in found]) for key in found[0]}


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seeds", type=int, nargs="*", default=[])
    parser.add_argument("--beside", action="store_true", help="the simulated pieces by two-flux theory too")
    asked = parser.parse_args()
    lab = GreenLab.of(asked.folder)
    found = lab.learnt()
    kinds = {"liquids alone, from the blank": soaked(asked.folder), "surface stain after them": sequences(asked.folder)}
    rows = [cells(name, predicted(lab, found, pieces)) for name, pieces in kinds.items()]
    if asked.seeds:
        labs = [GreenLab.simulated(seed) for seed in asked.seeds]
        rows.append(cells("liquids of simulated labs", together([predicted(o, o.learnt(), own) for o, own in labs])))
    print(table(["pieces", "count", "median / P95 ΔE00", "9 in 10 within", "held"], rows))
    if asked.beside:
        print("\n" + table(["liquids of simulated labs", "count", "stainbook", "two-flux"], beside(labs)))
    print("\nheld back:", ", ".join(f"{one.chip} ({one.dE00:.1f})" for one in found.held_back) or "no chip")


if __name__ == "__main__":
    main()
