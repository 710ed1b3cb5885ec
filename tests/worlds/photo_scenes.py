"""Photos rendered spectrally: a target, teeth, gum, fired pieces and a tab under one light, with the faults of shots.

Colours in a scene are exact: each zone's curve is known. What is between them and the pixels is made up: uneven light,
shading of round surfaces, highlights, flare, light thrown from gum to tooth, noise, prints that differ from their
table, and for JPEG a maker's matrix, a wrong white balance, a contrast curve and the file's own compression.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.worlds.photo_spectra import KINDS, NM, SETS, Family, family

Array = NDArray[np.float64]
WIDTH, HEIGHT = 600, 400
ROWS, COLUMNS, FILL = 4, 6, 0.82
ZONE = 44  # pixels
FULL_WELL, READ_NOISE = 20000.0, 5.0  # electrons
SHIFT = 2.0  # pixels, how near a piece and a target are put back to where they lay
PUT_BACK = 0.4  # how far the piece's plane against the target's is then off, as a share of what it is at first
MOST_BALANCE = 4.0  # how far a camera lifts a channel to make greys grey
TAB_NOISE = 0.2  # of each of L*, a*, b* as the tab is known


@dataclass(frozen=True)
class Faults:
    """How bad a shot is; nothing at 0."""

    uneven: tuple[float, float] = (0.10, 0.25)  # fall of the light over the frame
    shading: float = 0.06  # darkening towards the edges of a zone
    highlights: float = 0.7  # share of zones with one; 0 with crossed polarisers
    flare: float = 0.006
    cast: float = 0.02  # light thrown from gum
    prints: float = 0.012  # how far a print's patches stray from their table
    gain: float = 0.01  # target against piece
    noise: float = 1.0
    contrast: float = 0.5  # share of JPEG with a curve of its own


# As pictures are taken on a usual day: more stray light, patches further from their table, the piece further from it
EVERY_DAY = Faults(flare=0.015, gain=0.02, prints=0.015)
NONE = Faults((0.0, 0.0), 0, 0, 0, 0, 0, 0, 0, 0)


@dataclass(frozen=True)
class ZoneTruth:
    """A zone of the scene: what it is, where, and its curve on ``NM``."""

    kind: str
    polygon: Array
    curve: Array
    glare: float  # share of its pixels under a strong highlight


@dataclass(frozen=True)
class Scene:
    """A rendered shot; ``raw`` is linear camera RGB, ``jpeg`` what the camera would have written."""

    raw: Array
    corners: Array
    zones: tuple[ZoneTruth, ...]
    chart: Array  # as the table has it
    tab: ZoneTruth
    flat: Array
    world: Family
    response: Array = field(repr=False)
    seed: int = 0
    other: Array | None = field(default=None, repr=False)  # the same under another lamp, where that is asked for
    bare: Array | None = field(default=None, repr=False)  # the response without a gel, which the maker knows


@dataclass(frozen=True)
class Shot:
    """Where things are and how the light falls: two shots of one piece differ in it."""

    rng: np.random.Generator
    corners: Array
    light: Array


def render(seed: int, which: str, *, faults: Faults | None = None, polarised: bool = False) -> Scene:
    """One scene of a family; the same seed gives the same scene."""
    world = family(which)
    rng = np.random.default_rng([seed, SETS.index(which)])
    faults = replace(faults or Faults(), **({"highlights": 0.0} if polarised else {}))
    response = response_of(world, rng)
    print_curves = printed(world.chart, faults, rng)
    curves = [(kind, world.pieces[kind][rng.integers(len(world.pieces[kind]))]) for kind in KINDS for _ in range(2)]
    tab = world.pieces["fired tooth"][rng.integers(len(world.pieces["fired tooth"]))]
    return shoot(seed, world, response, print_curves, curves, tab, faults, rng)


def pair(
    seed: int, which: str, *, faults: Faults | None = None, polarised: bool = False, alike: bool = False
) -> tuple[Scene, Scene]:
    """Two shots of the same pieces, target and camera: in the second each piece has changed, and been put down anew.

    alike : lamps and camera stand where they stood, and the pieces lie where they lay, as nearly as a hand does that
    """
    world = family(which)
    rng = np.random.default_rng([seed, SETS.index(which), 7])
    faults = replace(faults or Faults(), **({"highlights": 0.0} if polarised else {}))
    response, print_curves = response_of(world, rng), printed(world.chart, faults, rng)
    before = [(kind, world.pieces[kind][rng.integers(len(world.pieces[kind]))]) for kind in KINDS for _ in range(2)]
    after = [(kind, _changed(curve, world.pieces[kind], rng)) for kind, curve in before]
    tab = world.pieces["fired tooth"][rng.integers(len(world.pieces["fired tooth"]))]
    settings = [np.random.default_rng([seed, 8]) if alike else rng for _ in range(2)]
    first, second = (
        shoot(seed, world, response, print_curves, curves, tab, faults, setting, rng if alike else None)
        for curves, setting in zip((before, after), settings, strict=True)
    )
    return first, second


def response_of(world: Family, rng: np.random.Generator) -> Array:
    """A camera of a family under one of its lights, (71, 3)."""
    camera = world.cameras[rng.integers(len(world.cameras))]
    light = world.lights[rng.integers(len(world.lights))]
    product = camera * light[:, None]
    return np.asarray(product * rng.uniform(0.75, 0.92) / product.sum(axis=0).max())


def _changed(curve: Array, others: Array, rng: np.random.Generator) -> Array:
    """A stain's change: part of the way to another piece of that kind."""
    return np.asarray(curve ** (1 - (part := rng.uniform(0, 0.6))) * others[rng.integers(len(others))] ** part)


def printed(chart: Array, faults: Faults, rng: np.random.Generator) -> Array:
    """The chart at hand: each patch strays smoothly from the table."""
    knots = np.linspace(380, 730, 5)
    drift = np.array([np.interp(NM, knots, row) for row in rng.normal(0, faults.prints, (len(chart), 5))])
    return np.asarray(chart * np.exp(drift + rng.normal(0, faults.prints, (len(chart), 1)) / 2))


def shoot(
    seed: int,
    world: Family,
    response: Array,
    chart: Array,
    curves: list[tuple[str, Array]],
    tab: Array,
    faults: Faults,
    rng: np.random.Generator,
    again: np.random.Generator | None = None,
) -> Scene:
    """One shot; ``again`` draws what differs between two shots of one setting, and ``rng`` is the setting's then."""
    by_hand = (lambda n: again.uniform(-SHIFT, SHIFT, n)) if again else (lambda n: np.zeros(n))
    light = light_over((HEIGHT, WIDTH), faults, rng)
    corners = np.array([[30, 80], [290, 80], [290, 255], [30, 255]], float) + rng.uniform(-8, 8, (4, 2)) + by_hand(2)
    reflected = np.full((HEIGHT, WIDTH, 3), 0.045) * response.sum(axis=0)
    draw_chart(reflected, corners, chart @ response, 1 + rng.normal(0, faults.gain / 2))
    gum = world.pieces["living gum"][0]
    zones = []
    for number, (kind, curve) in zip(rng.permutation(len(curves)), curves, strict=True):
        place = np.array([325 + 65 * (number % 4), 100 + 95 * (number // 4)]) + rng.uniform(-6, 6, 2) + by_hand(2)
        thrown = curve + rng.uniform(0, faults.cast) * curve * gum * ("tooth" in kind)
        lifted = 1 + (again.normal(0, faults.gain * PUT_BACK) if again else 0.0)
        polygon, glare = _draw_zone(reflected, place, lifted * thrown @ response, faults, rng, response.sum(axis=0))
        zones.append(ZoneTruth(kind, polygon, curve, glare))
    polygon, glare = _draw_zone(reflected, np.array([420.0, 300.0]), tab @ response, faults, rng, response.sum(axis=0))
    seen = reflected * light[..., None]
    seen = seen + rng.uniform(0, faults.flare) * seen.mean(axis=(0, 1))
    flat = 0.5 * response.sum(axis=0) * light[..., None]
    noise = again or rng
    return Scene(
        noisy(seen, faults, noise), corners, tuple(zones), world.chart, ZoneTruth("fired tooth", polygon, tab, glare),
        noisy(flat, faults, noise), world, response, seed,
    )  # fmt: skip


def light_over(size: tuple[int, int], faults: Faults, rng: np.random.Generator) -> Array:
    """How much light falls where, about 1 over a frame of rows and columns."""
    height, width = size
    y, x = np.mgrid[0:height, 0:width]
    x, y = (x - width / 2) / (width / 2), (y - height / 2) / (height / 2)
    angle, fall = rng.uniform(0, 2 * np.pi), rng.uniform(*faults.uneven)
    centre = rng.uniform(-0.4, 0.4, 2)
    slope = rng.uniform(0.2, 0.6) * (np.cos(angle) * x + np.sin(angle) * y)
    bowl = (x - centre[0]) ** 2 + (y - centre[1]) ** 2
    shape = slope - 0.5 * bowl
    return np.asarray(1 + fall * (shape - shape.mean()) / np.ptp(shape))


def cells(corners: Array, fill: float = FILL) -> Array:
    """Corner points (24, 4, 2) of the patches within the grid of cells."""
    unit = np.array([[0, 0], [COLUMNS, 0], [COLUMNS, ROWS], [0, ROWS]], np.float32)
    warp = cv2.getPerspectiveTransform(unit, corners.astype(np.float32))
    margin = (1 - fill) / 2
    box = np.array([[margin, margin], [1 - margin, margin], [1 - margin, 1 - margin], [margin, 1 - margin]])
    places = [[column, row] for row in range(ROWS) for column in range(COLUMNS)]
    points = np.array([box + place for place in places], np.float32).reshape(-1, 1, 2)
    return np.asarray(cv2.perspectiveTransform(points, warp), float).reshape(-1, 4, 2)


def draw_chart(image: Array, corners: Array, rgb: Array, gain: float) -> None:
    """Paint the patches of a target, their camera RGB (24, 3)."""
    for polygon, colour in zip(cells(corners), rgb, strict=True):
        cv2.fillPoly(image, [np.round(polygon * 16).astype(np.int32)], (gain * colour).tolist(), shift=4)


def _draw_zone(
    image: Array, place: Array, rgb: Array, faults: Faults, rng: np.random.Generator, white: Array
) -> tuple[Array, float]:
    """Paint a round, shaded patch and maybe a highlight; gives the zone's polygon and the share under glare."""
    x0, y0 = np.round(place).astype(int)
    v, u = np.mgrid[0:ZONE, 0:ZONE] / (ZONE - 1) * 2 - 1
    depth = rng.uniform(0, faults.shading)
    shade = 1 - depth * (u**2 + 0.5 * v**2) + rng.normal(0, faults.gain)
    patch = shade[..., None] * rgb * (1 + rng.normal(0, 0.01 if faults.noise else 0, (ZONE, ZONE, 1)))
    glare = 0.0
    if rng.random() < faults.highlights:
        centre, size = rng.uniform(-0.8, 0.8, 2), rng.choice([0.12, 0.2, 0.3, 0.9], p=[0.45, 0.3, 0.17, 0.08])
        far = ((u - centre[0]) ** 2 + (v - centre[1]) ** 2) / size**2
        shine = rng.uniform(0.5, 3.0) * np.exp(-far) + 0.02 * np.exp(-far / 16)
        glare = float((shine > 0.1).mean())
        patch = patch + shine[..., None] * white
    image[y0 : y0 + ZONE, x0 : x0 + ZONE] = patch
    inset = 3.0
    low, high = np.array([x0, y0]) + inset, np.array([x0, y0]) + ZONE - 1 - inset
    return np.array([[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]], float), glare


def noisy(seen: Array, faults: Faults, rng: np.random.Generator) -> Array:
    """With the noise of light and of the sensor, 0-1."""
    if faults.noise:
        electrons = seen * FULL_WELL
        spread = faults.noise * np.sqrt(np.maximum(electrons, 0) + READ_NOISE**2)
        seen = (electrons + spread * rng.standard_normal(seen.shape)) / FULL_WELL
    return np.asarray(np.clip(seen, 0, 1))


# ---------------------------------------------------------------- files


def as_uint16(linear: Array) -> NDArray[np.uint16]:
    """Linear pixels of 16 bits."""
    return np.round(linear * 65535).astype(np.uint16)


def developed(scene: Scene, faults: Faults | None = None) -> NDArray[np.uint8]:
    """What the camera makes of its raw data for a JPEG: balance, matrix, curve, 8 bits. RGB, before compression."""
    faults = faults or Faults()
    rng = np.random.default_rng([scene.seed, 3])
    grey = scene.world.chart[21] @ scene.response
    balance = (
        np.minimum(grey[1] / grey, MOST_BALANCE)
        * np.exp(rng.normal(0, 0.03, 3))
        * 0.88
        / (0.9 * scene.response.sum(axis=0)[1] + 0.05)
    )
    matrix = _maker_matrix(scene)
    linear = np.clip(np.clip(scene.raw * balance, 0, 1) @ matrix.T, 0, 1)
    encoded = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    if rng.random() < faults.contrast:
        strength = rng.uniform(0.2, 0.6)
        bent = encoded + strength * encoded * (1 - encoded) * (encoded - 0.45)
        encoded = np.clip(bent, 0, 1)
    return np.asarray(np.round(255 * encoded), np.uint8)


def _maker_matrix(scene: Scene) -> Array:
    """From balanced camera RGB to linear sRGB, as a maker fits it: on the chart, white kept."""
    from stainbook.colour import spectrum_to_xyz

    curves, response = scene.world.chart, scene.response if scene.bare is None else scene.bare
    xyz = spectrum_to_xyz(curves, NM, illuminant="D65", observer=2) / 100
    to_srgb = np.array([[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]])
    rgb = curves @ response / response.sum(axis=0)
    wanted = xyz @ to_srgb.T
    fitted = np.linalg.lstsq(rgb, wanted, rcond=None)[0].T
    return np.asarray(fitted / fitted.sum(axis=1, keepdims=True))


def compressed(rgb: NDArray[np.uint8], quality: int = 92) -> NDArray[np.uint8]:
    """The pixels after a JPEG of 4:2:0."""
    done, data = cv2.imencode(".jpg", rgb[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])
    assert done
    return np.asarray(cv2.imdecode(data, cv2.IMREAD_COLOR_RGB), np.uint8)
