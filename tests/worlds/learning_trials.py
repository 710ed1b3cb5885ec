"""What learning gives back when jars change: python -m tests.worlds.learning_trials [FOLDER...].

A folder holds a lab like the practice labs, with trials of two periods; in the second the jars are others.
After all outcomes of period 1 and the first few of period 2, the last pieces of period 2 are predicted as
they are without hand error, and how often the radius of 9 in 10 held what was read of them.
"""

from __future__ import annotations

import argparse
import csv
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from stainbook.colour import delta_e_2000
from stainbook.match.fired import Fired
from stainbook.match.learning import learn
from stainbook.optics.calibrate import calibrate
from stainbook.optics.curves import Optics
from stainbook.optics.film import Piece
from stainbook.optics.fit import FiredChip
from stainbook.optics.forecast import Hands, draw, forecast
from stainbook.records import Reading, Viewing
from stainbook.work.stains.learnt import Known, hands_of
from tests.worlds.blind_trials import MATERIAL, NOISE
from tests.worlds.fired_labs import FiredLab, colour, from_files, table

DEFAULT = (Path("../shared/practice-lab"), Path("../shared/practice-matt"))
OUTCOMES = (0, 10, 25, 50)
LAST = 30
SEEN = Viewing()


def optics_of(lab: FiredLab) -> Optics:
    """What the chips teach."""
    fired = [
        FiredChip(
            one.chip, one.body, MATERIAL, one.layers, _spectrum(lab.readings[one.body]),
            lab.readings[one.body].surface or "glazed", _spectrum(lab.readings[one.chip]), 2.0 * NOISE**2 * np.eye(31),
        )
        for one in lab.chips
    ]  # fmt: skip
    return calibrate(fired, lab.stains, operator="bench-1").optics


def outcomes_of(folder: Path, lab: FiredLab, optics: Optics, period: str) -> list[Fired]:
    """The trials of a period as outcomes; each was fired alone."""
    made = []
    for name, operator, lot in _told(folder / "trials.csv", period):
        one = next(trial for trial in lab.trials if trial.before.sample == f"{name}-before")
        before, after = _spectrum(one.before), _spectrum(one.after)
        jars = {} if lot == "chips" else {stain: lot for layer in one.layers for stain in layer.pot.stains}
        made.append(
            Fired(
                name, before, one.before.surface, optics.ceramic(MATERIAL), one.layers, after,
                np.diag((NOISE / after) ** 2 + (NOISE / before) ** 2), MATERIAL, operator, lots=jars,
            )
        )  # fmt: skip
    return made


def _told(path: Path, period: str) -> Iterator[tuple[str, str, str]]:
    with path.open(encoding="utf-8", newline="") as stream:
        rows = [row for row in csv.DictReader(stream) if row["period"] == period]
    yield from dict.fromkeys((row["trial"], row["operator"], row["lot"]) for row in rows)


def _spectrum(reading: Reading) -> np.ndarray:
    return np.array(reading.reflectance)


def told_of(lab: FiredLab, optics: Optics, known: Known, wanted: list[Fired]) -> tuple[float, float, float]:
    """Median and P95 of ΔE00 to the ideal colours, and how often the radius of 9 in 10 held what was read.

    The ideal colours are those of the chips' hand: who painted is no part of them.
    """
    ideal = {trial.before.sample: _spectrum(trial.ideal) for trial in lab.trials}
    off, held = [], []
    for one in wanted:
        hands: Hands = hands_of(optics, {}, one.operator, one.lots, known=known)
        ceramic = optics.ceramic(MATERIAL)
        piece = Piece(one.reading, one.surface, ceramic.stray if one.surface == "matt" else 0.0, ceramic)
        (meant,) = forecast(optics, piece, [one.layers], hands=replace(hands, operator_ln=(0.0, 0.0)))
        off.append(float(delta_e_2000(colour(meant.reflectance, SEEN), colour(ideal[f"{one.key}-before"], SEEN))))
        (found,) = forecast(optics, piece, [one.layers], key=one.key, hands=hands)
        middle = colour(found.reflectance, SEEN)
        radius = np.quantile(delta_e_2000(colour(np.exp(draw(found, 512)), SEEN), middle), 0.9)
        held.append(float(delta_e_2000(middle, colour(one.after, SEEN))) <= radius)
    return float(np.median(off)), float(np.quantile(off, 0.95)), float(np.mean(held))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folders", nargs="*", type=Path, default=DEFAULT)
    rows = []
    for folder in parser.parse_args().folders:
        labs = {period: from_files(folder, period=period) for period in ("1", "2")}
        optics = optics_of(labs["1"])
        first, second = (outcomes_of(folder, labs[period], optics, period) for period in ("1", "2"))
        rows.append((folder.name, "period 1, before learning", *_cells(told_of(labs["1"], optics, Known(), first))))
        for count in OUTCOMES:
            found = learn(optics, [*first, *second[:count]])
            known = Known(found.factors, {}, found.scatters, found.new_hand, found.firing)
            told = told_of(labs["2"], found.optics, known, second[-LAST:])
            rows.append((folder.name, f"period 2, {count}", *_cells(told)))
    print(table(("lab", "after outcomes of", "median / P95 ΔE00", "9 in 10 held"), rows))


def _cells(told: tuple[float, float, float]) -> tuple[str, str]:
    return f"{told[0]:.2f} / {told[1]:.2f}", f"{told[2]:.0%}"


if __name__ == "__main__":
    main()
