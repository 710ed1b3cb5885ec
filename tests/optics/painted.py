"""Chips that the model itself made: stains with known numbers, plates, stripes; and chips of simulated labs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from stainbook.colour import WAVELENGTHS
from stainbook.optics.calibrate import Calibration, calibrate
from stainbook.optics.ceramic import Ceramic
from stainbook.optics.curves import Optics, Pooled
from stainbook.optics.film import Piece
from stainbook.optics.fit import FiredChip, group_of, modelled
from stainbook.optics.forecast import forecast
from stainbook.records import Layer, Pot, Stain
from tests.worlds.lab import World
from tests.worlds.samples import ChipSet, chips

W = np.asarray(WAVELENGTHS, dtype=float)
BANDS = W.size
PLATES = {"pale": np.full(BANDS, 0.72), "dark": np.full(BANDS, 0.40)}
STRIPES = (
    ("pale", 1.0, 1, 1),
    ("pale", 1.0, 2, 1),
    ("pale", 1 / 4, 1, 1),
    ("pale", 1 / 16, 1, 1),
    ("dark", 1.0, 1, 1),
    ("dark", 1 / 4, 2, 1),
    ("pale", 1.0, 2, 4),
)
READING = 0.001  # noise of one band of the made readings, relative
ZIRCONIA = Ceramic(2.15, 0.03, 0.018, known=True)


def layer(coats=1, firings=1, **shares):
    return Layer(Pot.of(shares), coats, firings=firings)


def true_numbers(seed=0, exponent=0.93, ln_fade=-0.02):
    """ln K, ln S, exponent and ln fade (64,) of an invented stain."""
    rng = np.random.default_rng(seed)
    K = 0.03 + rng.uniform(0.1, 0.25) * np.exp(-0.5 * ((W - rng.uniform(430, 640)) / 60.0) ** 2)
    S = rng.uniform(0.1, 0.4) * (W / 550.0) ** -1
    return np.concatenate([np.log(K), np.log(S), [exponent, ln_fade]])


def bare_chip(name, plate, layers, *, surface="glazed", material="zirconia", glazed=True, stray=None):
    """A chip whose own reading is still to be made."""
    body = PLATES[plate]
    stray = (0.02 if surface == "matt" else 0.0) if stray is None else stray
    covariance = 2.0 * READING**2 * np.eye(BANDS)
    return FiredChip(name, plate, material, layers, body, surface, body, covariance, stray=stray, glazed=glazed)


def fired(chips, numbers, *, kinds=None, hand=0.0, noise=0.0, seed=0, ceramic=ZIRCONIA):
    """The chips as the model has them with these numbers (by stain), with a hand that scatters and a noisy reading."""
    rng = np.random.default_rng([seed, 7])
    names = tuple(numbers)
    group = group_of(names, kinds or {}, chips, lambda _: ceramic, Pooled())
    each = hand / np.sqrt(np.maximum(group.stack.coats, 1.0)) * rng.standard_normal(group.stack.coats.shape)
    ln = modelled(group, np.array([numbers[name] for name in names]), each)
    ln = ln + noise * rng.standard_normal(ln.shape)
    return [replace(chip, reading=np.exp(row)) for chip, row in zip(chips, ln, strict=True)]


def stripes(stain="husk", bits=STRIPES, **more):
    return [
        bare_chip(f"{stain}-{i}", plate, (layer(coats, firings, **{stain: share}),), **more)
        for i, (plate, share, coats, firings) in enumerate(bits, 1)
    ]


# ---------------------------------------------------------------- simulated labs

SMALL = {"saddle": "brown", "flour": "white", "thrift": "pink", "squall": "blue"}


def world_chips(made: ChipSet, *, noise=READING):
    """The chips of a simulated lab, ready for fitting."""
    read = {reading.sample: np.array(reading.reflectance) for reading in made.readings}
    surface = {reading.sample: reading.surface for reading in made.readings}
    return [
        FiredChip(
            chip.chip,
            chip.body,
            "zirconia",
            chip.layers,
            read[chip.body],
            surface[chip.body],
            read[chip.chip],
            noise**2 * np.eye(BANDS) * 2.0,
        )
        for chip in made.chips
    ]


def stains_of(made: ChipSet) -> dict[str, Stain]:
    return {stain.name: stain for stain in made.stains}


def calibrated(world: World, number=7, plates=2) -> Calibration:
    made = chips(world, number, plates)
    return calibrate(world_chips(made), stains_of(made))


def forecast_one(optics: Optics, reading, surface, layers, **more):
    """One forecast on a body of zirconia."""
    ceramic = optics.ceramic("zirconia")
    piece = Piece(np.asarray(reading), surface, ceramic.stray if surface == "matt" else 0.0, ceramic)
    return forecast(optics, piece, [layers], **more)[0]
