"""Photos of front teeth with their gum beside a target, rendered spectrally, with where everything truly is."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.worlds.photo_scenes import Faults, as_uint16, draw_chart, light_over, noisy, response_of
from tests.worlds.photo_spectra import family

Array = NDArray[np.float64]
WIDTH, HEIGHT = 900, 600
CHART = np.array([[40.0, 360], [340, 360], [340, 560], [40, 560]])
TEETH = (12, 11, 21, 22)
WIDTHS = {1: 104.0, 2: 80.0}  # pixels; crowns 8.5 and 6.5 mm wide (from memory)
FAULTS = Faults(uneven=(0.08, 0.2), highlights=0.0)


@dataclass(frozen=True)
class Row:
    """A picture as linear pixels, the target's corners, and the mask (h, w) of each third of a tooth and of its gum."""

    pixels: NDArray[np.uint16]
    corners: Array
    zones: dict[tuple[int, str], NDArray[np.bool_]]
    chart: Array


def render_row(
    seed: int, which: str = "test", *, ground: float = 0.03, gap: float = 4.0, shine: bool = True, gum: bool = True
) -> Row:
    """Four upper front teeth; ``ground`` is the reflectance of what is behind them, ``gap`` the line between two."""
    world, rng = family(which), np.random.default_rng([seed, 91])
    response = response_of(world, rng)
    reflected = np.full((HEIGHT, WIDTH, 3), ground) * response.sum(axis=0)
    draw_chart(reflected, CHART, world.chart @ response, 1.0)
    tooth = world.pieces["living tooth"][rng.integers(len(world.pieces["living tooth"]))]
    gums = world.pieces["living gum"][rng.integers(len(world.pieces["living gum"]))]
    if gum:
        reflected[60:215, 395:865] = gums @ response * (1 + rng.normal(0, 0.03, (155, 470, 1)))
    zones = {}
    left = 430.0
    for number in TEETH:
        width = WIDTHS[number % 10]
        outline = _crown(left, 190 + rng.uniform(-6, 6), width, width * rng.uniform(1.2, 1.35), rng)
        zones |= _paint(reflected, outline, number, tooth, response, rng, shine=shine)
        zones |= _gum_zones(zones, number, width)
        left += width + gap
    seen = reflected * light_over((HEIGHT, WIDTH), FAULTS, rng)[..., None]
    return Row(as_uint16(noisy(cv2.GaussianBlur(seen, (0, 0), 0.8), FAULTS, rng)), CHART, zones, world.chart)


def _crown(left: float, top: float, width: float, height: float, rng: np.random.Generator) -> Array:
    """An upper crown: a round neck, sides that widen, a nearly straight edge with round corners."""
    t = np.linspace(0, 2 * np.pi, 160, endpoint=False)
    x, y = np.sign(np.cos(t)) * np.abs(np.cos(t)) ** 0.5, np.sign(np.sin(t)) * np.abs(np.sin(t)) ** 0.55
    narrow = 1 - rng.uniform(0.08, 0.16) * (1 - y) / 2
    return np.column_stack([left + width / 2 * (1 + x * narrow), top + height / 2 * (1 + y)])


def _paint(
    image: Array, outline: Array, number: int, curve: Array, response: Array, rng: np.random.Generator, *, shine: bool
) -> dict[tuple[int, str], NDArray[np.bool_]]:
    mask = cv2.fillPoly(np.zeros(image.shape[:2], np.uint8), [np.round(outline).astype(np.int32)], 1).astype(bool)
    rows, columns = np.nonzero(mask)
    down = (rows - rows.min()) / np.ptp(rows)
    side = (columns - columns.mean()) / np.ptp(columns)
    body = (curve @ response) ** (1.06 - 0.1 * down[:, None])  # darker and yellower at the neck
    grain = 1 + rng.normal(0, 0.01, (rows.size, 1))
    image[rows, columns] = body * grain * (1 - 0.35 * side**2)[:, None]
    if shine:
        at = rng.uniform(0.3, 0.7, 2)
        far = ((down - at[1]) ** 2 + (side - at[0] + 0.5) ** 2) / 0.07**2
        image[rows, columns] += 1.5 * np.exp(-far)[:, None] * response.sum(axis=0)
    zones = {}
    for place, name in enumerate(("cervical", "middle", "incisal")):
        part = np.zeros_like(mask)
        chosen = (down >= place / 3) & (down < (place + 1) / 3)
        part[rows[chosen], columns[chosen]] = True
        zones[number, name] = part
    return zones


def _gum_zones(
    zones: dict[tuple[int, str], NDArray[np.bool_]], number: int, width: float
) -> dict[tuple[int, str], NDArray[np.bool_]]:
    """The gum within a fifth of a tooth's width from its neck, and from a quarter to two thirds of it."""
    crown = np.logical_or.reduce([mask for (tooth, _), mask in zones.items() if tooth == number])
    away = cv2.distanceTransform(255 - 255 * crown.astype(np.uint8), cv2.DIST_L2, 5) / width
    rows, columns = np.indices(crown.shape)
    above = (rows < 215) & (rows >= 60) & (np.abs(columns - np.nonzero(crown)[1].mean()) < width / 2)
    bands = {"margin": (0.0, 0.2), "attached": (0.25, 0.67)}
    return {(number, zone): above & (away > low) & (away < high) for zone, (low, high) in bands.items()}
