"""Blanks made to a wanted colour: how much of three colourants a body needs to look so under clear glaze."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from stainbook.colour import spectrum_to_lab
from stainbook.records import LabValues, Layer, Pot
from tests.worlds.bodies import Blank
from tests.worlds.lab import World
from tests.worlds.pigments import WAVELENGTHS, Array

CLEAR_COAT = (Layer(Pot.of({})),)
STEP = 1e-4  # of a log amount, for the derivative
CLOSE = 1e-10  # of a log amount: far below what five decimals of a reading show


def _edge(centre: float, width: float) -> Array:
    return np.asarray(1 / (1 + np.exp((WAVELENGTHS - centre) / width)))


def _band(centre: float, width: float) -> Array:
    return np.asarray(np.exp(-0.5 * ((WAVELENGTHS - centre) / width) ** 2))


COLOURANTS = {
    "tooth": np.array([np.ones(31), _edge(462, 30), 0.8 * _edge(575, 20) + 0.2 * _band(520, 30)]),
    "gingiva": np.array([np.ones(31), _edge(476, 24), _band(537, 36) + 0.25 * _band(575, 14)]),
}


def lab_of(spectrum: Array) -> Array:
    """L*, a*, b* under D65 for the 10 degree observer."""
    return np.asarray(spectrum_to_lab(spectrum, WAVELENGTHS, illuminant="D65", observer=10))


def blank_of_colour(world: World, name: str, tissue: str, wanted: LabValues) -> Blank:
    """The blank that has the wanted colour (D65, 10 degrees) once clear glaze is on it.

    Raises
    ------
    ValueError
        When the three colourants of the tissue cannot give that colour.
    """
    logs = np.log([0.01, 0.06, 0.02] if tissue == "tooth" else [0.03, 0.12, 0.15])
    slopes = _slopes(world, name, tissue, logs)
    error = _glazed_lab(world, _blank(name, tissue, logs)) - np.asarray(wanted)
    for _ in range(60):
        step = np.clip(-np.linalg.solve(slopes, error), -0.5, 0.5)
        logs = logs + step
        if np.abs(step).max() < CLOSE:
            return _blank(name, tissue, logs)
        before, error = error, _glazed_lab(world, _blank(name, tissue, logs)) - np.asarray(wanted)
        slopes = slopes + np.outer(error - before - slopes @ step, step) / (step @ step)  # Broyden
    raise ValueError(f"no {tissue} blank of colour {tuple(wanted)} for {name}: ask for another colour")


def _blank(name: str, tissue: str, logs: Sequence[float] | Array) -> Blank:
    absorption = np.exp(logs) @ COLOURANTS[tissue]
    return Blank(name, tissue, 14.0 * (WAVELENGTHS / 550) ** -0.3, absorption, 1.6, 0.6)


def _slopes(world: World, name: str, tissue: str, logs: Array) -> Array:
    centre = _glazed_lab(world, _blank(name, tissue, logs))
    moved = [_glazed_lab(world, _blank(name, tissue, logs + STEP * unit)) for unit in np.eye(3)]
    return np.asarray((np.array(moved) - centre).T / STEP)


def _glazed_lab(world: World, blank: Blank) -> Array:
    return lab_of(world.read(world.fire(world.piece(blank), CLEAR_COAT, ideal=True)))
