"""Writes a simulated lab as the files that any lab keeps, by hand and apart from the product's own writers."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from pathlib import Path

from stainbook.records import CLEAR, Chip, Layers, Reading, Stain
from tests.worlds.lab import World
from tests.worlds.samples import Trial, chips, to_reading, trials


def write_lab(world: World, folder: Path, *, stripes: int = 7, plates: int = 2, count: int = 0) -> None:
    """stains.yaml, chips.csv, readings.csv and, when ``count`` trials are asked for, trials.csv."""
    made = chips(world, stripes, plates)
    fired = trials(world, count)
    write_stains(folder / "stains.yaml", made.stains)
    write_chips(folder / "chips.csv", made.chips)
    write_readings(folder / "readings.csv", [*made.readings, *(r for trial in fired for r in _readings(trial))])
    if fired:
        _write_trials(folder / "trials.csv", fired)


def _readings(trial: Trial) -> list[Reading]:
    return [
        to_reading(f"{trial.name}-before", trial.before, trial.body.surface),
        to_reading(f"{trial.name}-after", trial.after, "glazed", stage="stained"),
        to_reading(f"{trial.name}-ideal", trial.ideal, "glazed", stage="stained"),
    ]


def write_stains(path: Path, stains: Iterable[Stain], *, heading: str = "") -> None:
    """One stain a line, in flow style, as the formats show it."""
    path.write_text(heading + "".join(f"- {{{_stain_line(stain)}}}\n" for stain in stains), encoding="utf-8")


def _stain_line(stain: Stain) -> str:
    fields: list[str] = [f"name: {stain.name}", f"kind: {stain.kind}"]
    fields += [f"family: {stain.family}"] if stain.family else []
    fields += [f"materials: [{', '.join(stain.materials)}]"] if stain.materials else []
    fields += [f"stages: [{', '.join(stain.stages)}]"] if stain.stages else []
    fields += [f"lot: {stain.lot}"] if stain.lot else []
    fields += [f"max_firings: {stain.max_firings}"] if stain.max_firings else []
    fields += [f'notes: "{stain.notes}"'] if stain.notes else []
    return ", ".join(fields)


def write_chips(path: Path, chips: Iterable[Chip], *, heading: str = "") -> None:
    """One stain of one layer a row."""
    header = ("chip", "body", "layer", "stain", "strength", "coats", "firings", "lot", "operator")
    rows = [
        (
            chip.chip,
            chip.body,
            number,
            stain,
            share,
            layer.coats,
            layer.firings,
            dict(layer.lots).get(stain, "chips"),
            chip.operator or "",
        )
        for chip in chips
        for number, layer in enumerate(chip.layers, start=1)
        for stain, share in shares_of(layer.pot.shares)
    ]
    write_rows(path, header, rows, heading=heading)


def shares_of(shares: Sequence[tuple[str, float]]) -> list[tuple[str, str]]:
    """The rows of one pot: its stains, or clear alone."""
    return [(name, f"{share:g}") for name, share in shares] or [(CLEAR, "1")]


def layer_rows(layers: Layers) -> list[tuple[int, str, str, int]]:
    """Layer, stain, strength, coats: as recipes and trials list them."""
    return [
        (number, stain, share, layer.coats)
        for number, layer in enumerate(layers, start=1)
        for stain, share in shares_of(layer.pot.shares)
    ]


def _write_trials(path: Path, fired: Iterable[Trial]) -> None:
    header = ("trial", "period", "tissue", "operator", "lot", "layer", "stain", "strength", "coats")
    rows = [
        (t.name, t.name.split("-")[1], t.tissue, t.operator, next(iter(t.lots.values()), "chips"), *row)
        for t in fired
        for row in layer_rows(t.layers)
    ]
    write_rows(path, header, rows)


def write_readings(path: Path, readings: Iterable[Reading], *, heading: str = "") -> None:
    """One spectrum a row, five decimals."""
    readings = list(readings)
    bands = [f"{nm:g}" for nm in readings[0].wavelengths]
    named = ("sample", "stage", "surface", "geometry", "specular", *(("taken_at",) if readings[0].taken_at else ()))
    rows = [(*(getattr(r, name) for name in named), *(f"{value:.5f}" for value in r.reflectance)) for r in readings]
    header = (*named, *bands)
    write_rows(path, header, rows, heading=heading)


def write_rows(path: Path, header: Sequence[str], rows: Iterable[Sequence[object]], *, heading: str = "") -> None:
    """A CSV file with line feeds on every system, after a heading of # lines."""
    with path.open("w", encoding="utf-8", newline="") as stream:
        stream.write(heading)
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(header)
        writer.writerows(rows)
