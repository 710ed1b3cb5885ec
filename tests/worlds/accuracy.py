"""How well stains are predicted from more and fewer chips, on simulated labs: the table of README.

``python -m tests.worlds.accuracy [FOLDER...]`` prints it; some minutes. Folders hold labs like the practice labs.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from stainbook.colour import delta_e_2000
from stainbook.optics.calibrate import calibrate
from stainbook.optics.forecast import draw
from stainbook.records import CLEAR, Chip, Viewing
from stainbook.work.reading.optical import lab_on_grid, optical
from stainbook.work.stains.learnt import hands_of
from stainbook.work.stains.predict import LabOptics, forecasts_on
from stainbook.work.stains.stain_calibration import fired_chip
from tests.worlds.fired_labs import NEAREST, FiredLab, differences, from_files, lab_only, simulated, table
from tests.worlds.lab import World

SERIES = ((0, 2), (1, 2), (3, 1), (6, 2), (7, 2))  # stripes a stain, plates
SEEDS = (61, 62, 63)
KINDS = ("glazed", "matt")
TRIALS = 40
DRAWS = 512


def predicted(lab: FiredLab, viewing: Viewing) -> dict[str, np.ndarray]:
    """ΔE00 of every trial to the ideal and to what came out, the claimed radius, and the change predicted."""
    known = LabOptics(
        calibrate([fired_chip(chip, lab.readings, {}, lab.stains) for chip in lab.chips], lab.stains).optics,
        {},
        lab.stains,
        {},
    )
    hands = hands_of(known.optics, {}, None, {})  # nobody named: either of two operators may have painted
    colours, radii, shifts = [], [], []
    for i, trial in enumerate(lab.trials):
        (found,) = forecasts_on(
            optical(trial.before), [trial.layers], known, hands, finish="glaze", material="zirconia", key=str(i)
        )
        colours.append(lab_on_grid(found.reflectance, viewing))
        shifts.append(delta_e_2000(colours[-1], lab_on_grid(optical(trial.before).reflectance, viewing)))
        drawn = lab_on_grid(np.exp(draw(found, DRAWS)), viewing)
        radii.append(np.quantile(delta_e_2000(drawn, colours[-1]), 0.9))
    return {
        "ideal": differences(colours, [t.ideal for t in lab.trials], viewing),
        "after": differences(colours, [t.after for t in lab.trials], viewing),
        "radius": np.array(radii),
        "shift": np.array(shifts),
    }


def row(labs: Sequence[FiredLab], *, spectral: bool) -> dict[str, np.ndarray]:
    """All trials of some labs together."""
    parts = [predicted(lab if spectral else lab_only(lab), Viewing() if spectral else NEAREST) for lab in labs]
    return {key: np.concatenate([part[key] for part in parts]) for key in parts[0]}


def fewer(lab: FiredLab, stripes: int, plates: int) -> FiredLab:
    """A lab of files with the first stripes of each stain alone, on one or both of its plates."""
    bodies = list(dict.fromkeys(chip.body for chip in lab.chips))[:plates]
    kept: dict[str, list[Chip]] = {}
    for chip in lab.chips:
        if chip.body in bodies:
            kept.setdefault(chip.layers[0].pot.stains[0] if chip.layers[0].pot.stains else CLEAR, []).append(chip)
    chips = [chip for stain, own in kept.items() for chip in (own if stain == CLEAR else own[:stripes])]
    return replace(lab, chips=tuple(chips))


def groups(
    folders: Sequence[Path], stripes: int, plates: int, kinds: Sequence[str] = KINDS
) -> dict[str, list[FiredLab]]:
    """The labs of a row of the table, by name."""
    named = {folder.name: [fewer(from_files(folder), stripes, plates)] for folder in folders}
    for matt in (kind == "matt" for kind in kinds):
        labs = [simulated(seed, matt=matt, stripes=stripes, plates=plates, count=TRIALS) for seed in SEEDS]
        named["matt" if matt else "glazed"] = labs
    return named


def cells(found: dict[str, np.ndarray]) -> list[str]:
    """Median / P95, median radius and how often it held."""
    ideal, held = found["ideal"], np.mean(found["after"] <= found["radius"])
    return [
        f"{np.median(ideal):.1f} / {np.percentile(ideal, 95):.1f}",
        f"{np.median(found['radius']):.1f}",
        f"{100 * held:.0f} %",
    ]


def main(folders: Sequence[Path], series: Sequence[tuple[int, int]] = SERIES, kinds: Sequence[str] = KINDS) -> None:
    """Print the table; folders hold labs like the practice labs."""
    header = ["stripes a stain", "pieces", "median / P95 ΔE00", "9 in 10 within", "held"]
    header += ["L\\*a\\*b\\* only: median / P95", "9 in 10 within", "held"]
    rows = []
    for stripes, plates in series:
        name = f"{stripes} on {'two plates' if plates == 2 else 'one plate'}" if stripes > 1 else str(stripes)
        for kind, labs in groups(folders, stripes, plates, kinds).items():
            both = [cells(row(labs, spectral=spectral)) for spectral in (True, False)]
            rows.append([name, kind, *both[0], *both[1]])
            print(rows[-1], file=sys.stderr, flush=True)
    print(
        f"Simulated: {len(SEEDS)} labs of each kind, {TRIALS} pieces each; the hand scatters by {World().hand:.0%}.\n"
    )
    print(table(header, rows))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path, nargs="*", help="of a lab like the practice labs")
    parser.add_argument("--stripes", type=int, action="append", help="only series of so many; all without it")
    parser.add_argument(
        "--kind", action="append", choices=KINDS, help="only this kind of simulated labs; both without it"
    )
    asked = parser.parse_args()
    main(asked.folder, [one for one in SERIES if one[0] in (asked.stripes or [one[0]])], asked.kind or KINDS)
