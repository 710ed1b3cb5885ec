"""Photos that mislead: what a phone, a room and a bench do to a picture, each with the truth kept.

Two lists. ``LOOKED_AT`` is what limits and radii were set on (cameras, lights and pieces of *test*). ``FROZEN`` was
written before any of it was run, does the same harm by other means (edge-keeping and tiled tone mapping, lights from
above and below, slanted and coloured veils, a lens off its axis, another printing of the chart, worn patches) upon the
cameras, lights, chart and tissues of *blind*, and was looked at once, after limits and radii stood.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.worlds.photo_scenes import HEIGHT, WIDTH, Faults, Scene, printed, shoot
from tests.worlds.photo_spectra import KINDS, SETS, Family, family

Array = NDArray[np.float64]
BESIDE = 308  # pixels from the left: the chart ends and the pieces begin


@dataclass(frozen=True)
class Misleading:
    """A way in which a picture misleads: how a scene is spoilt, and what is then read with which table.

    ``spoil`` takes the scene and a generator; ``table`` turns the table's reflectances (24, 71) into those that are
    believed; ``corners`` turns the corners (4, 2). ``tab`` and ``encoding`` choose the way of shooting.
    """

    name: str
    spoil: Callable[[Scene, np.random.Generator], Scene] = lambda scene, rng: scene
    table: Callable[[Array, np.random.Generator], Array] = lambda chart, rng: chart
    corners: Callable[[Array], Array] = lambda corners: corners
    finish: Callable[[NDArray[np.uint8], np.random.Generator], NDArray[np.uint8]] | None = None  # of the developed JPEG
    encodings: tuple[str, ...] = ("srgb",)
    stated: str | None = None  # encoding that the scene file claims
    must_refuse: bool = False


# ---------------------------------------------------------------- how a scene is spoilt


def gaussian_mapping(strength: float, size: float = 40.0) -> Callable[[Scene, np.random.Generator], Scene]:
    """Local tone mapping with a blurred base: bright surroundings are pulled down, dark ones up."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        ln = np.log(np.maximum(scene.raw.mean(axis=-1), 0.004))
        base = cv2.GaussianBlur(ln, (0, 0), size * rng.uniform(0.7, 1.4))
        return times(scene, np.exp(-strength * (base - np.median(base))))

    return spoil


def guided_mapping(strength: float) -> Callable[[Scene, np.random.Generator], Scene]:
    """Local tone mapping whose base keeps edges (a guided filter): no halos."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        ln = np.log(np.maximum(scene.raw.mean(axis=-1), 0.004))
        size = int(rng.integers(40, 110))
        mean, square = (cv2.blur(part, (size, size)) for part in (ln, ln * ln))
        variance = np.maximum(square - mean**2, 0)
        a = variance / (variance + rng.uniform(0.3, 1.0))
        base = cv2.blur(a, (size, size)) * ln + cv2.blur((1 - a) * mean, (size, size))
        return times(scene, np.exp(-strength * (base - np.median(base))))

    return spoil


def tiled_mapping(clip: float) -> Callable[[Scene, np.random.Generator], Scene]:
    """Histograms evened out tile by tile, of luminance; colour keeps its ratios."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        luminance = np.maximum(scene.raw.mean(axis=-1), 1e-4)
        encoded = (np.clip(luminance / luminance.max(), 0, 1) ** (1 / 2.2) * 65535).astype(np.uint16)
        mapped = cv2.createCLAHE(clip, (4, 6)).apply(encoded) / 65535.0
        part = rng.uniform(0.35, 0.6)
        wanted = (part * mapped + (1 - part) * encoded / 65535.0) ** 2.2 * luminance.max()
        return times(scene, np.maximum(wanted, 1e-5) / luminance)

    return spoil


def fused_mapping(lift: float) -> Callable[[Scene, np.random.Generator], Scene]:
    """Two exposures fused: dark surroundings are lifted, light ones kept, with a soft border."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        luminance = scene.raw.mean(axis=-1)
        around = cv2.GaussianBlur(luminance, (0, 0), rng.uniform(18, 45))
        share = 1 / (1 + np.exp((around - 0.8 * np.median(around)) / (0.3 * np.std(around))))
        return times(scene, 1 + lift * share)

    return spoil


def two_lights(along: str) -> Callable[[Scene, np.random.Generator], Scene]:
    """Another lamp of the family from the other side: the scene is rendered anew under both."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
        x, y = x / WIDTH, y / HEIGHT
        place = {"across": x, "down": y, "corner": 0.5 * (x + y)}[along]
        share = 1 / (1 + np.exp(-(place - rng.uniform(0.4, 0.6)) / rng.uniform(0.12, 0.25)))
        return replace(scene, raw=(1 - share[..., None]) * scene.raw + share[..., None] * scene.other)

    return spoil


def veil(amount: tuple[float, float], *, slanted: bool = False) -> Callable[[Scene, np.random.Generator], Scene]:
    """Stray light upon the whole frame, a share of the white; slanted: more of it on one side, and bluish."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        white = scene.raw[80:256, 30:290].max() * scene.response.sum(axis=0) / scene.response.sum(axis=0).max()
        added = rng.uniform(*amount) * np.ones((HEIGHT, WIDTH, 1))
        if slanted:
            white = white * [0.85, 1.0, 1.2]
            added = added * (0.4 + 1.2 * np.linspace(*rng.permutation([0.0, 1.0]), WIDTH)[None, :, None])
        return replace(scene, raw=np.clip(scene.raw + added * white, 0, 1))

    return spoil


def vignette(amount: tuple[float, float], *, decentred: bool = False) -> Callable[[Scene, np.random.Generator], Scene]:
    """A lens that darkens towards the corners; decentred: by the fourth power of the cosine about a shifted axis."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
        at = rng.uniform(-0.25, 0.25, 2) if decentred else np.zeros(2)
        r2 = ((x / WIDTH - 0.5 - at[0]) ** 2 + ((y - HEIGHT / 2) / WIDTH - at[1]) ** 2) / 0.36
        strong = rng.uniform(*amount)
        fall = (1 + strong * r2) ** -2 if decentred else 1 - strong * r2
        return times(scene, fall)

    return spoil


def darker_piece(share: tuple[float, float]) -> Callable[[Scene, np.random.Generator], Scene]:
    """The piece lies deeper than the chart, or turned away: it gets less light."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        gain = np.ones((HEIGHT, WIDTH))
        gain[:, BESIDE:] = 1 - rng.uniform(*share)
        return times(scene, cv2.GaussianBlur(gain, (0, 0), 3))

    return spoil


def times(scene: Scene, gain: Array) -> Scene:
    """The scene with its light times a gain (HEIGHT, WIDTH)."""
    return replace(scene, raw=np.clip(scene.raw * gain[..., None], 0, 1))


# ---------------------------------------------------------------- tables that do not belong to the chart


def other_edition(name: str) -> Callable[[Array, np.random.Generator], Array]:
    """The table of another family's chart, which is laid out alike."""
    return lambda chart, rng: family(name).chart


def worn(fade: float, yellow: float) -> Callable[[Array, np.random.Generator], Array]:
    """The chart was new when its table was made: since then patches have faded and yellowed, each its own way."""

    def table(chart: Array, rng: np.random.Generator) -> Array:
        blue = np.exp(-np.linspace(0, 3, chart.shape[1]))
        by = rng.uniform(0, yellow, (len(chart), 1)) * blue
        lost = rng.uniform(0, fade, (len(chart), 1))
        return np.asarray(np.clip((chart - 0.5 * lost) / (1 - lost), 0.01, 1) * np.exp(by))

    return table


def _rows_swapped(chart: Array, rng: np.random.Generator) -> Array:
    return chart.reshape(4, 6, -1)[[1, 0, 2, 3]].reshape(24, -1)


def _left_half(chart: Array, rng: np.random.Generator) -> Array:
    """Half of the rows twice: what pasting a table by halves gives."""
    return np.vstack([chart[:12], chart[:12]])


def _wall(scene: Scene, rng: np.random.Generator) -> Scene:
    """No chart where it was: the corners are those of an older picture."""
    raw = scene.raw.copy()
    grey = 0.4 * scene.response.sum(axis=0) * np.exp(rng.normal(0, 0.01, (HEIGHT, BESIDE, 1)))
    raw[:, :BESIDE] = grey * np.linspace(0.9, 1.1, BESIDE)[None, :, None]
    return replace(scene, raw=np.clip(raw, 0, 1))


BOTH = ("linear", "srgb")
LOOKED_AT = (
    Misleading("tone mapping 0.15", gaussian_mapping(0.15)),
    Misleading("tone mapping 0.3", gaussian_mapping(0.3)),
    Misleading("tone mapping 0.5", gaussian_mapping(0.5)),
    Misleading("tone mapping 0.3, fine", gaussian_mapping(0.3, 14.0)),
    Misleading("two lights", two_lights("across"), encodings=BOTH),
    Misleading("veil", veil((0.02, 0.06)), encodings=BOTH),
    Misleading("vignette", vignette((0.3, 0.6)), encodings=BOTH),
    Misleading("piece 10 % darker", darker_piece((0.1, 0.1)), encodings=BOTH),
    Misleading("another edition", table=other_edition("tune"), encodings=BOTH),
    Misleading("worn chart", table=worn(0.06, 0.15), encodings=BOTH),
    Misleading("halved table", table=lambda chart, rng: 0.5 * chart, encodings=BOTH, must_refuse=True),
    Misleading("a half pasted twice", table=_left_half, encodings=BOTH, must_refuse=True),
    Misleading("rows swapped", table=_rows_swapped, encodings=BOTH, must_refuse=True),
    Misleading("no chart, old corners", _wall, encodings=BOTH, must_refuse=True),
    Misleading("corners turned", corners=lambda c: np.roll(c, 2, axis=0), encodings=BOTH, must_refuse=True),
    Misleading("corners a quarter on", corners=lambda c: np.roll(c, 1, axis=0), encodings=BOTH, must_refuse=True),
    Misleading("corners mirrored", corners=lambda c: c[[1, 0, 3, 2]], encodings=BOTH, must_refuse=True),
    Misleading("corners upside down", corners=lambda c: c[[3, 2, 1, 0]], encodings=BOTH, must_refuse=True),
    Misleading("linear said to be sRGB", encodings=("linear",), stated="srgb"),
    Misleading("sRGB said to be linear", encodings=("srgb",), stated="linear"),
)  # fmt: skip
FROZEN = (
    Misleading("guided mapping 0.2", guided_mapping(0.2)),
    Misleading("guided mapping 0.45", guided_mapping(0.45)),
    Misleading("tiles evened out", tiled_mapping(2.0)),
    Misleading("exposures fused", fused_mapping(0.6)),
    Misleading("two lights, down", two_lights("down"), encodings=BOTH),
    Misleading("two lights, corner", two_lights("corner"), encodings=BOTH),
    Misleading("slanted veil", veil((0.02, 0.07), slanted=True), encodings=BOTH),
    Misleading("lens off its axis", vignette((0.3, 0.6), decentred=True), encodings=BOTH),
    Misleading("piece 5 to 12 % darker", darker_piece((0.05, 0.12)), encodings=BOTH),
    Misleading("badly worn chart", table=worn(0.12, 0.3), encodings=BOTH),
    Misleading(
        "columns swapped", encodings=BOTH, must_refuse=True,
        table=lambda chart, rng: chart.reshape(4, 6, -1)[:, [0, 4, 2, 3, 1, 5]].reshape(24, -1),
    ),
    Misleading("corners on three quarters", corners=lambda c: np.roll(c, 3, axis=0), encodings=BOTH, must_refuse=True),
    Misleading(
        "corners one cell on", encodings=BOTH, must_refuse=True,
        corners=lambda c: c + (c[1] - c[0]) / 6,
    ),
)  # fmt: skip


def twofold(seed: int, which: str, faults: Faults | None = None) -> Scene:
    """A scene of a family that also holds itself under another lamp of the family (``other``)."""
    world = family(which)
    rng = np.random.default_rng([seed, SETS.index(which), 23])
    faults = faults or Faults()
    camera = world.cameras[rng.integers(len(world.cameras))]
    first, second = rng.permutation(len(world.lights))[:2]
    curves = [(kind, world.pieces[kind][rng.integers(len(world.pieces[kind]))]) for kind in KINDS for _ in range(2)]
    tab = world.pieces["fired tooth"][rng.integers(len(world.pieces["fired tooth"]))]
    chart = printed(world.chart, faults, rng)
    scenes = [
        shoot(seed, world, _lit(world, camera, lamp), chart, curves, tab, faults, deepcopy(rng))
        for lamp in (first, second)
    ]
    return replace(scenes[0], other=scenes[1].raw)


def _lit(world: Family, camera: Array, lamp: int) -> Array:
    """A camera (71, 3) under a lamp, all channels of about one level as after a balance for the first."""
    product = camera * world.lights[lamp][:, None]
    return np.asarray(product * 0.85 / product.sum(axis=0).max())
