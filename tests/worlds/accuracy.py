"""How well stains are predicted from more and fewer chips, on simulated labs: the table of README.

``python -m tests.worlds.accuracy`` prints it; some minutes.
"""

from __future__ import annotations

import numpy as np

from stainbook.colour import delta_e_2000
from stainbook.optics.calibrate import calibrate
from stainbook.optics.forecast import draw
from stainbook.records import Viewing
from stainbook.work.calibrate import fired_chip
from stainbook.work.learnt import hands_of
from stainbook.work.optical import lab_on_grid, optical
from stainbook.work.predict import Lab, forecasts_on
from tests.worlds.fired_labs import NEAREST, FiredLab, differences, lab_only, simulated, table
from tests.worlds.lab import World

SERIES = ((0, 2), (1, 2), (3, 1), (6, 2), (7, 2))  # stripes a stain, plates
SEEDS = (61, 62, 63)
TRIALS = 40
DRAWS = 512


def predicted(lab: FiredLab, viewing: Viewing) -> dict[str, np.ndarray]:
    """ΔE00 of every trial to the ideal and to what came out, the claimed radius, and the change predicted."""
    known = Lab(
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


def row(matt: bool, stripes: int, plates: int, *, spectral: bool) -> dict[str, np.ndarray]:
    """All trials of some labs together."""
    parts = []
    for seed in SEEDS:
        lab = simulated(seed, matt=matt, stripes=stripes, plates=plates, count=TRIALS)
        parts.append(predicted(lab if spectral else lab_only(lab), Viewing() if spectral else NEAREST))
    return {key: np.concatenate([part[key] for part in parts]) for key in parts[0]}


def cells(found: dict[str, np.ndarray]) -> list[str]:
    """Median / P95, median radius and how often it held."""
    ideal, held = found["ideal"], np.mean(found["after"] <= found["radius"])
    return [
        f"{np.median(ideal):.1f} / {np.percentile(ideal, 95):.1f}",
        f"{np.median(found['radius']):.1f}",
        f"{100 * held:.0f} %",
    ]


def main() -> None:
    """Print the table."""
    header = ["stripes a stain", "pieces", "median / P95 ΔE00", "9 in 10 within", "held"]
    header += ["L\\*a\\*b\\* only: median / P95", "9 in 10 within", "held"]
    rows = []
    for stripes, plates in SERIES:
        name = f"{stripes} on {'two plates' if plates == 2 else 'one plate'}" if stripes > 1 else str(stripes)
        for matt in (False, True):
            both = [cells(row(matt, stripes, plates, spectral=spectral)) for spectral in (True, False)]
            rows.append([name, "matt" if matt else "glazed", *both[0], *both[1]])
            print(rows[-1], flush=True)
    print(
        f"\nSimulated: {len(SEEDS)} labs of each kind, {TRIALS} pieces each; the hand scatters by {World().hand:.0%}.\n"
    )
    print(table(header, rows))


if __name__ == "__main__":
    main()
