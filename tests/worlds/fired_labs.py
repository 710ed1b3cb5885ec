"""Labs whose chips and trials models are judged by: simulated ones, and folders of files like the practice labs."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from stainbook.colour import WAVELENGTHS, delta_e_2000, spectrum_to_lab
from stainbook.files import read_chips, read_readings, read_stains
from stainbook.records import Chip, Layer, Layers, Pot, Reading, Stain, Viewing
from tests.worlds.lab import World
from tests.worlds.samples import chips, to_reading, trials

NEAREST = Viewing("D65", 2)  # what hand-held instruments state L*a*b* for


@dataclass(frozen=True)
class Fired:
    """One trial: what was read before and after, and the true colour of the layers as meant."""

    layers: Layers
    before: Reading
    after: Reading
    ideal: Reading


@dataclass(frozen=True)
class FiredLab:
    """Stains, chips and their readings, and trials that no chip shows."""

    name: str
    stains: dict[str, Stain]
    chips: tuple[Chip, ...]
    readings: dict[str, Reading]
    trials: tuple[Fired, ...]


def simulated(seed: int, *, matt: bool, stripes: int = 7, plates: int = 2, count: int = 40) -> FiredLab:
    """A lab of `tests.worlds.lab`."""
    world = World(seed=seed, matt=matt)
    made = chips(world, stripes, plates)
    fired = tuple(
        Fired(
            trial.layers,
            to_reading(f"{trial.name}-before", trial.before, trial.body.surface),
            to_reading(f"{trial.name}-after", trial.after, "glazed", stage="stained"),
            to_reading(f"{trial.name}-ideal", trial.ideal, "glazed", stage="stained"),
        )
        for trial in trials(world, count)
    )
    name = f"{'matt' if matt else 'glazed'} {seed}"
    return FiredLab(name, {s.name: s for s in made.stains}, made.chips, {r.sample: r for r in made.readings}, fired)


def from_files(folder: Path, *, period: str = "1") -> FiredLab:
    """The lab of a folder with stains.yaml, chips.csv, readings.csv and trials.csv."""
    readings = {r.sample: r for r in read_readings(folder / "readings.csv").all}
    stains = {stain.name: stain for stain in read_stains(folder / "stains.yaml").records}
    fired = tuple(
        Fired(layers, *(readings[f"{name}-{stage}"] for stage in ("before", "after", "ideal")))
        for name, layers in _listed_trials(folder / "trials.csv", period)
    )
    return FiredLab(folder.name, stains, tuple(read_chips(folder / "chips.csv").records), readings, fired)


def _listed_trials(path: Path, period: str) -> list[tuple[str, Layers]]:
    pots: dict[str, dict[int, tuple[dict[str, float], int]]] = {}
    with path.open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            if row["period"] == period:
                pot, _ = pots.setdefault(row["trial"], {}).setdefault(int(row["layer"]), ({}, int(row["coats"])))
                pot[row["stain"]] = float(row["strength"])
    return [
        (name, tuple(Layer(Pot.of(pot), coats) for _, (pot, coats) in sorted(layers.items())))
        for name, layers in pots.items()
    ]


def lab_only(lab: FiredLab) -> FiredLab:
    """The same lab with an instrument that states L*, a*, b* under D65, 2° and two decimals, and no spectrum."""
    return replace(
        lab,
        readings={name: _without_spectrum(reading) for name, reading in lab.readings.items()},
        trials=tuple(replace(one, before=_without_spectrum(one.before)) for one in lab.trials),
    )


def _without_spectrum(reading: Reading) -> Reading:
    lab = np.round(colour(np.array(reading.reflectance), NEAREST), 2)
    seen = (float(lab[0]), float(lab[1]), float(lab[2]))
    return replace(reading, wavelengths=(), reflectance=(), lab=seen, viewing=NEAREST)


def colour(reflectance, viewing: Viewing):
    """L*, a*, b* of spectra on 400-700/10 nm."""
    return spectrum_to_lab(reflectance, WAVELENGTHS, illuminant=viewing.illuminant, observer=viewing.observer)


def differences(predicted, readings: Sequence[Reading], viewing: Viewing):
    """ΔE00 of predicted L*, a*, b* to what was read."""
    return delta_e_2000(predicted, colour(np.array([r.reflectance for r in readings]), viewing))


def table(header: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table in Markdown."""
    lines = [header, ["---"] * len(header), *rows]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines)
