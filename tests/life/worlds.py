"""A small simulated lab for the life of a case: five stains, two liquids of tooth colour, three blanks; fixed seeds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from pathlib import Path

from stainbook.records import Chip, LabValues, Layer, Layers, Pot, Reading, Stain
from tests.worlds import samples
from tests.worlds.bodies import Blank, plate
from tests.worlds.coloured import blank_of_colour, lab_of
from tests.worlds.lab import Piece, World
from tests.worlds.pigments import Array, absorption
from tests.worlds.write import write_chips, write_readings, write_rows, write_stains

SURFACE = {"flour": "white", "teasel": "yellow", "husk": "brown", "rosehip": "pink", "claret": "red"}
LIQUIDS = {"gorse": "yellow", "otter": "brown"}  # none of them brings gum anywhere
WORLD = World(seed=11, matt=True, stains=SURFACE)
BLANKS: dict[str, LabValues] = {"reed": (79.0, 0.5, 11.0), "fen": (74.0, 2.0, 16.0), "sedge": (69.0, 4.0, 20.0)}
SOAKED_SHARES = ((1.0, 1), (1.0, 2), (1 / 4, 1))  # stripes of a liquid: share, passes
PASS = 0.02  # of a pigment's absorption, that one pass brings into a mm of zirconia


def write_lab(folder: Path) -> None:
    """stains.yaml, chips.csv, bodies.csv and chip-readings.csv of the lab."""
    fired = samples.chips(WORLD)
    write_stains(folder / "stains.yaml", [*fired.stains, *_liquids()])
    write_chips(folder / "chips.csv", [*fired.chips, *_soaked_chips()])
    header = ("body", "material", "lot", "thickness_mm", "backing", "sintering_programme", "surface")
    names = ("plate-pale", "plate-dark", *BLANKS)
    rows = [(name, "zirconia", f"Z-{name}", 1.6, "grey", "long", "matt") for name in names]
    write_rows(folder / "bodies.csv", header, rows)
    blanks = [samples.to_reading(name, WORLD.read(bare(name)), "matt") for name in BLANKS]
    write_readings(folder / "chip-readings.csv", [*fired.readings, *_soaked_readings(), *blanks])


def _liquids() -> list[Stain]:
    return [Stain(name, "infiltrating", family, ("zirconia",), ("green",), "L-1") for name, family in LIQUIDS.items()]


def _soaked_chips() -> list[Chip]:
    return [
        Chip(f"{name}-{number}", "plate-pale", (Layer(Pot.of({name: share}), passes),), "bench-1")
        for name in LIQUIDS
        for number, (share, passes) in enumerate(SOAKED_SHARES, start=1)
    ]


def _soaked_readings() -> Iterable[Reading]:
    for chip in _soaked_chips():
        piece = WORLD.piece(_soaked(plate(chip.body), chip.layers))
        yield samples.to_reading(chip.chip, WORLD.read(piece, rng=WORLD.rng("soaked", chip.chip)), piece.surface)


def _soaked(blank: Blank, layers: Layers) -> Blank:
    brought = sum(
        PASS * layer.coats * share * absorption(LIQUIDS[name], WORLD.rng(name))
        for layer in layers
        for name, share in layer.pot.shares
    )
    return replace(blank, soaked=brought)


# ---------------------------------------------------------------- pieces of this lab


@cache
def _blank(name: str, tissue: str, wanted: LabValues) -> Blank:
    return blank_of_colour(WORLD, name, tissue, wanted)


def bare(name: str) -> Piece:
    """The lab's blank of that name, sintered."""
    return WORLD.piece(_blank(name, "tooth", BLANKS[name]))


def of_colour(wanted: LabValues, tissue: str = "tooth") -> Piece:
    """A bare piece that looks so under clear glaze (D65, 10 degrees)."""
    return WORLD.piece(_blank("made", tissue, wanted))


def soaked(name: str, layers: Layers) -> Piece:
    """The lab's blank with liquids in it, sintered, without hand error."""
    return WORLD.piece(_soaked(_blank(name, "tooth", BLANKS[name]), layers))


def fired(piece: Piece, layers: Layers) -> Piece:
    """The piece after these layers and the furnace, without hand error."""
    return WORLD.fire(piece, layers, ideal=True)


def seen(piece: Piece) -> Array:
    """Its L*, a*, b* under D65 for the 10 degree observer, without reading noise."""
    return lab_of(WORLD.read(piece))


def reading(sample: str, piece: Piece, taken_at: str | None = None, *, stage: str = "") -> Reading:
    """What the lab's instrument reads of it."""
    read = WORLD.read(piece, rng=WORLD.rng("reading", sample, taken_at or ""))
    stage = stage or ("sintered" if piece.surface == "matt" else "glazed")
    return replace(samples.to_reading(sample, read, piece.surface, stage=stage), taken_at=taken_at)


def layers_of(told: Iterable[dict]) -> Layers:
    """Layers as ``advise`` prints them."""
    return tuple(Layer(Pot.of(layer["pot"]), layer["coats"]) for layer in told)
