"""Simulated green zirconia: liquids that soak in to a depth, in pores that fill; some with bands as narrow as ions'.

Written as the files of practice-green are, but for its own numbers: depth, filling, scatter of blanks and sinterings
are drawn from the seed, the light from radiative transfer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from stainbook.records import Body, Chip, Layer, Layers, Pot, Reading, Stain
from tests.worlds.bodies import Blank
from tests.worlds.lab import World
from tests.worlds.pigments import WAVELENGTHS, Array, absorption
from tests.worlds.samples import to_reading

BROAD = {"gorse": "yellow", "bracken": "orange", "otter": "brown", "heron": "grey", "wren": "red"}
IONS = {"campion": ("pink", (487, 521, 543, 653)), "broom": ("yellow", (445, 470, 482))}  # bands in nm
CHIPS = (("fleece", 1.0, 1), ("fleece", 1.0, 2), ("fleece", 1.0, 4), ("fleece", 0.25, 1), ("fleece", 0.25, 3),
         ("fen", 1.0, 1), ("fen", 0.5, 2))  # fmt: skip
BLANKS = ("fleece", "fen", "reed")
PIECE_SD = 0.003  # of ln absorption and scattering: pieces of one blank
SINTERING_SD = 0.02  # of ln of what a liquid brings: sinterings


@dataclass(frozen=True)
class GreenWorld:
    """A matt world whose blanks take liquids before they are sintered."""

    seed: int
    hand: float = 0.12  # log scatter of one pass

    @cached_property
    def world(self) -> World:
        """Where light and faces come from."""
        return World(seed=self.seed, matt=True, stains={"saddle": "brown"})

    @cached_property
    def liquids(self) -> dict[str, Array]:
        """Absorption (31,) that one pass brings, per mm of what is soaked."""
        made = {}
        for name, family in BROAD.items():
            made[name] = 0.06 * absorption(family, self.world.rng("liquid", name))
        for name, (_, centres) in IONS.items():
            rng = self.world.rng("liquid", name)
            bands = [
                rng.uniform(0.3, 2.5) * np.exp(-0.5 * ((WAVELENGTHS - at) / rng.uniform(6, 9)) ** 2) for at in centres
            ]
            made[name] = np.sum(bands, axis=0) + 1e-4
        return made

    @cached_property
    def law(self) -> tuple[float, float]:
        """Depth in mm, and the power of the dose."""
        rng = self.world.rng("law")
        return float(rng.uniform(0.25, 0.7)), float(rng.uniform(0.75, 1.0))

    def blank(self, name: str, rng: np.random.Generator | None = None) -> Blank:
        """A blank, or a piece of it of its own where ``rng`` is given."""
        own = self.world.rng("blank", name)
        edge = 1 / (1 + np.exp((WAVELENGTHS - own.uniform(450, 475)) / 35))
        absorbed = 10 ** own.uniform(-2.0, -1.6) * (1 + own.uniform(3.0, 6.0) * edge)
        scattered = own.uniform(8.0, 12.0) * (WAVELENGTHS / 550) ** -0.3
        spread = np.exp(PIECE_SD * rng.standard_normal(2)) if rng is not None else (1.0, 1.0)
        return Blank(name, "tooth", scattered * spread[0], absorbed * spread[1], 1.6, 0.5)

    def read(self, name: str, layers: Layers, rng: np.random.Generator | None, *, noise: bool = True) -> Reading:
        """A blank with liquids in it, sintered; without ``rng`` no hand error, no spread, no noise."""
        depth, power = self.law
        doses = {stain: share * layer.coats for layer in layers for stain, share in layer.pot.shares}
        whole = sum(doses.values())
        hand = 1.0
        if rng is not None:
            hand = float(np.mean(rng.lognormal(0, self.hand, layers[0].coats if layers else 1)))
            hand *= float(rng.lognormal(0, SINTERING_SD))
        soaked = sum((dose * self.liquids[stain] for stain, dose in doses.items()), np.zeros(31))
        blank = self.blank(name, rng)
        if whole:
            blank = replace(blank, soaked=hand * whole ** (power - 1.0) * soaked, soaked_depth=depth)
        piece = self.world.piece(blank)
        return to_reading(name, self.world.read(piece, rng=rng if noise else None), piece.surface)


Made = tuple[dict[str, Stain], dict[str, Body], tuple[Chip, ...], dict[str, Reading], list[tuple[str, Layers, str]]]


def green_lab(seed: int, count: int = 30) -> Made:
    """Stains, blanks, chips and readings of a world, and pieces: name, layers and blank of each."""
    made = GreenWorld(seed)
    rng = made.world.rng("green lab")
    families = BROAD | {name: family for name, (family, _) in IONS.items()}
    stains = {name: Stain(name, "infiltrating", family, ("zirconia",), ("green",)) for name, family in families.items()}
    bodies = {name: Body(name, "zirconia") for name in BLANKS}
    readings = {name: made.read(name, (), None) for name in BLANKS}
    chips, pieces = [], []
    for stain in stains:
        for number, (body, share, coats) in enumerate(CHIPS, start=1):
            chip = Chip(f"{stain}-{number}", body, (Layer(Pot.of({stain: share}), coats),), "bench-1")
            chips.append(chip)
            readings[chip.chip] = replace(made.read(body, chip.layers, rng), sample=chip.chip)
    for i in range(count):
        names = [str(name) for name in rng.choice(list(stains), size=int(rng.integers(1, 3)), replace=False)]
        pot = Pot.of({name: float(rng.choice([0.125, 0.25, 0.5])) for name in names})
        layers, body = (Layer(pot, int(rng.integers(1, 5))),), BLANKS[i % 3]
        for what, chance in (("after", rng), ("ideal", None)):
            readings[f"p{i}-{what}"] = replace(made.read(body, layers, chance), sample=f"p{i}-{what}")
        pieces.append((f"p{i}", layers, body))
    return stains, bodies, tuple(chips), readings, pieces
