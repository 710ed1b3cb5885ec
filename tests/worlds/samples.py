"""What a simulated lab fires and reads: plates of chips, and trials on blanks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stainbook.records import CLEAR, DEFAULT_SHARES, Chip, Layer, Layers, Pot, Reading, Stain
from tests.worlds.lab import Piece, World
from tests.worlds.pigments import WAVELENGTHS, Array

# (plate, share, coats, firings), the most telling first: a shorter series takes the head of the list.
STRIPES = (
    ("plate-pale", 1.0, 1, 1),
    ("plate-pale", 1.0, 2, 1),
    ("plate-pale", 1 / 4, 1, 1),
    ("plate-pale", 1 / 16, 1, 1),
    ("plate-dark", 1.0, 1, 1),
    ("plate-dark", 1 / 4, 2, 1),
    ("plate-pale", 1.0, 2, 4),
)
PLATES = ("plate-pale", "plate-dark")


@dataclass(frozen=True)
class ChipSet:
    """Fired chips with the readings of chips and plates."""

    stains: tuple[Stain, ...]
    chips: tuple[Chip, ...]
    readings: tuple[Reading, ...]


@dataclass(frozen=True)
class Trial:
    """Layers put on a blank by hand; ``ideal`` is the same without hand error, heat and reading noise."""

    name: str
    tissue: str
    operator: str
    lots: dict[str, str]
    body: Piece
    layers: Layers
    before: Array
    after: Array
    ideal: Array


def stains(world: World) -> tuple[Stain, ...]:
    """The lab's stains as its file lists them."""
    stages = ("sintered", "blasted", "stained")
    named = [Stain(name, "surface", family, ("zirconia",), stages, "chips", 6) for name, family in world.stains.items()]
    return (*named, Stain(CLEAR, CLEAR, None, ("zirconia",), stages))


def chips(world: World, stripes: int = 7, plates: int = 2, *, second: str = "bench-1") -> ChipSet:
    """The first ``stripes`` stripes of each stain (0 to 7) on one or two plates, and clear glaze on each plate.

    ``second`` is the hand that made every second stripe.
    """
    rng = world.rng("chips", str(stripes), str(plates))
    used = PLATES[:plates]
    bodies = {name: world.body(name) for name in used}
    heats = {(name, fired): world.heat_of(rng) for name in used for fired in (1, 4)}
    made = [*_clear_stripes(used), *_stain_stripes(world, stripes, used, second)]
    readings = [to_reading(name, world.read(body, rng=rng), body.surface) for name, body in bodies.items()]
    for chip in made:
        heat = heats[chip.body, chip.layers[0].firings]
        fired = world.fire(bodies[chip.body], chip.layers, operator=chip.operator or "", rng=rng, heat=heat)
        readings.append(to_reading(chip.chip, world.read(fired, rng=rng), "glazed", stage="stained"))
    return ChipSet(stains(world), tuple(made), tuple(readings))


def _clear_stripes(plates: tuple[str, ...]) -> list[Chip]:
    return [Chip(f"clear-{name}", name, (Layer(Pot.of({})),), "bench-1") for name in plates]


def _stain_stripes(world: World, stripes: int, plates: tuple[str, ...], second: str) -> list[Chip]:
    wanted = [stripe for stripe in STRIPES if stripe[0] in plates][:stripes]
    return [
        Chip(
            f"{stain}-{number}",
            body,
            (Layer(Pot.of({stain: share}), coats, firings=firings),),
            second if number % 2 == 0 else "bench-1",
        )
        for stain in world.stains
        for number, (body, share, coats, firings) in enumerate(wanted, start=1)
    ]


def trials(world: World, count: int, *, period: int = 1, layers: int = 2, coats: int = 2) -> list[Trial]:
    """Random layers on random blanks by two operators; from period 2 on the jars are of another lot."""
    rng = world.rng("trials", str(period))
    lots = {} if period == 1 else dict.fromkeys(world.stains, f"lot-{period}")
    return [_trial(world, f"trial-{period}-{i:03d}", rng, lots, layers, coats) for i in range(1, count + 1)]


def _trial(world: World, name: str, rng: np.random.Generator, lots: dict[str, str], layers: int, coats: int) -> Trial:
    tissue = "gingiva" if rng.random() < 0.25 else "tooth"
    body = world.body(name, tissue)
    chosen = tuple(Layer(_pot(world, rng), int(rng.integers(1, coats + 1))) for _ in range(rng.integers(1, layers + 1)))
    operator = str(rng.choice(["bench-1", "bench-2"]))
    before = world.read(body, rng=rng)
    after = world.read(world.fire(body, chosen, operator=operator, lots=lots, rng=rng), rng=rng)
    ideal = world.read(world.fire(body, chosen, operator=operator, lots=lots, ideal=True))
    return Trial(name, tissue, operator, lots, body, chosen, before, after, ideal)


def _pot(world: World, rng: np.random.Generator) -> Pot:
    names = [str(name) for name in rng.choice(list(world.stains), size=int(rng.integers(1, 3)), replace=False)]
    shares = [float(share) for share in rng.choice(DEFAULT_SHARES[:-1], size=len(names))]
    return Pot.of(dict(zip(names, shares, strict=True)))


def to_reading(sample: str, reflectance: Array, surface: str, *, stage: str = "sintered") -> Reading:
    """A reading record as the instrument writes it, five decimals."""
    return Reading(
        sample,
        tuple(float(nm) for nm in WAVELENGTHS),
        tuple(round(float(value), 5) for value in reflectance),
        stage=stage,
        surface=surface,
        geometry="8:d",
        specular="excluded",
    )
