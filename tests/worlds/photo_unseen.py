"""A sixth family of cameras, lights and reflectances for photos, and other means of misleading, kept apart.

Written on 2026-11-27 before the radii of that evening were set, and looked at once after. Its cameras are dyes before a
sensor, its tissue takes light by how long its ways through it are, its gel is two dyes. It shares no listed lamp, lab,
camera or form of a tissue with the other families.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from stainbook.colour import WAVELENGTHS
from stainbook.photo.tissue_families import OXYGENATED, PER_CM, REDUCED
from tests.colour.library import colour_science
from tests.worlds.photo_misleading import BESIDE, BOTH, Misleading, times
from tests.worlds.photo_scenes import HEIGHT, WIDTH, Scene
from tests.worlds.photo_spectra import LIVING_RANGE, NM, Family, fired_pieces, within

Array = NDArray[np.float64]
LAB = 131  # seed of the simulated lab whose pieces these are
LIGHTS = ("FL9", "FL3.15", "LED-B1", "ISO 7589 Sensitometric Printer")
Spoil = Callable[[Scene, np.random.Generator], Scene]


def unseen_family() -> Family:
    """The family that was not seen."""
    rng = np.random.default_rng(77213)
    fired, known = fired_pieces(LAB)
    living = {"living tooth": _teeth(rng), "living gum": _gums(rng)}
    living = {kind: within(curves, *LIVING_RANGE[kind]) for kind, curves in living.items()}
    return Family(np.array([_camera(rng) for _ in range(6)]), _lights(), _chart(), living | fired, known)


def _camera(rng: np.random.Generator) -> Array:
    """Dyes of some density before silicon: each channel is what two dyes let through, behind glass that takes the red.

    A dye's density is a hill with a foot towards the blue; what is dense still lets a hundredth through.
    """

    def dye(at: float, width: float, density: float) -> Array:
        away = (NM - at - rng.normal(0, 5)) / (width * rng.lognormal(0, 0.1))
        hill = np.exp(-(np.abs(away) ** rng.uniform(2.0, 4.0)))
        return density * rng.lognormal(0, 0.15) * (hill + rng.uniform(0.02, 0.06) * (NM < at))

    yellow, magenta, cyan = (430, 62, 2.2), (525, 52, 2.0), (655, 72, 2.3)
    rows = [
        np.exp(-(dye(*yellow) + dye(*magenta))),
        np.exp(-(0.9 * dye(*yellow) + dye(*cyan))),
        np.exp(-(dye(*magenta) + 1.2 * dye(*cyan) + dye(590, 40, 1.6))),
    ]
    silicon = 1 - np.exp(-(((NM - 330) / 130) ** 1.6))
    glass = np.exp(-(np.maximum(NM - rng.normal(590, 8), 0) ** 1.5) / rng.uniform(170, 260))
    edge = 1 / (1 + np.exp(-(NM - rng.normal(415, 4)) / 6))
    return np.asarray(((np.array(rows) + rng.uniform(0.003, 0.012)) * silicon * glass * edge).T)


def _lights() -> Array:
    """Four listed lamps, an incandescent one through a blue glass, and a lamp beside a window."""
    lamps = []
    for name in LIGHTS:
        sd = colour_science().SDS_ILLUMINANTS[name]
        values = np.interp(NM, sd.wavelengths, sd.values)
        lamps.append(values / values.mean())
    glow = (NM / 560) ** -5 / (np.exp(1.4388e7 / (NM * 3300)) - 1) * np.exp(-1.1 * (NM - 400) / 300)
    return np.array([*lamps, glow / glow.mean(), 0.5 * lamps[2] + 0.5 * glow / glow.mean()])


def _chart() -> Array:
    """The mean of two measured copies."""
    charts = colour_science().SDS_COLOURCHECKERS
    curves = [
        [np.interp(NM, sd.wavelengths, sd.values) for sd in charts[name].values()]
        for name in ("ISO 17321-1", "babel_average")
    ]
    return np.asarray(np.mean(curves, axis=0))


def _by_ways(absorbed: Array, mean: Array, shape: Array, most: Array) -> Array:
    """Reflectance where the lengths of light's ways through a medium have a gamma distribution of a mean (cm)."""
    return np.asarray(most * (1 + absorbed * mean / shape) ** -shape)


def _gums(rng: np.random.Generator) -> Array:
    """Blood in fine and in wide vessels, more of the long ways at long wavelengths, a brown skin passed twice."""
    draw = _drawn(rng, 4000)
    held = draw(0.4, 0.97)
    blood = PER_CM * (held * OXYGENATED + (1 - held) * REDUCED)
    wide = draw(0.0, 0.6)
    packed = sum(
        share * (1 - np.exp(-across * blood)) / (across * blood)
        for share, across in ((1 - wide, draw(4, 10) * 1e-4), (wide, draw(20, 90) * 1e-4))
    )
    inside = np.array([np.interp(NM, WAVELENGTHS, one) for one in packed * blood])
    absorbed = 10 ** draw(-2.4, -0.9) * inside + draw(0.1, 0.9)
    ways = draw(0.12, 0.5) * (NM / 560) ** draw(0.0, 1.4)
    brown = np.exp(-2 * draw(0.0, 0.25) * (NM / 450) ** -3.2)
    return draw(0.0, 0.03) + brown * _by_ways(absorbed, ways, draw(0.5, 1.6), draw(0.5, 0.85))


def _teeth(rng: np.random.Generator) -> Array:
    draw = _drawn(rng, 1500)
    absorbed = draw(0.1, 1.0) + 10 ** draw(-0.2, 1.0) * np.exp(-(((NM - 380) / draw(50, 110)) ** draw(0.8, 1.2)))
    enamel = draw(0.02, 0.2) * (NM / 480) ** -draw(0.5, 2.5)
    dentine = _by_ways(absorbed, draw(0.05, 0.3) + 0 * NM, draw(0.6, 2.0), draw(0.6, 0.95))
    return enamel + (1 - enamel) ** 2 * dentine / (1 - enamel * dentine)


def two_dyes(rng: np.random.Generator) -> Array:
    """A gel of a cyan and a faint yellow dye: what lets the red through least lies about 660 nm, blue is taken too."""
    red = rng.uniform(1.6, 3.0) / (1 + ((NM - rng.normal(660, 7)) / rng.uniform(42, 58)) ** 4)
    blue = rng.uniform(0.0, 0.35) / (1 + ((NM - 425) / 30) ** 2)
    return np.asarray(rng.uniform(0.7, 0.86) * np.exp(-red - blue))


def _drawn(rng: np.random.Generator, count: int):
    return lambda low, high: rng.uniform(low, high, (count, 1))


# ---------------------------------------------------------------- other means of misleading


def _frame() -> tuple[Array, Array]:
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
    return x / WIDTH, y / WIDTH


def in_a_hollow(share: tuple[float, float]) -> Spoil:
    """The piece lies in a tray's hollow: less light, what is lost is a little bluish, least at the tray's middle."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        x, y = _frame()
        middle = np.array([0.5 * (1 + BESIDE / WIDTH), rng.uniform(0.25, 0.4)])
        away = np.hypot(x - middle[0], y - middle[1])
        less = rng.uniform(*share) * np.where(x > BESIDE / WIDTH, 0.8 + 0.8 * away, 0.0)
        gain = cv2.GaussianBlur(1 - less, (0, 0), 4)
        return replace(scene, raw=np.clip(scene.raw * gain[..., None] ** [0.95, 1.0, 1.05], 0, 1))

    return spoil


def hand_shadow(depth: tuple[float, float]) -> Spoil:
    """The soft shadow of a hand or camera over a corner of the frame, chart or piece as it comes."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        x, y = _frame()
        turn = rng.uniform(0, 2 * np.pi)
        along = np.cos(turn) * (x - 0.5) + np.sin(turn) * (y - HEIGHT / WIDTH / 2)
        edge = 1 / (1 + np.exp((along - rng.uniform(0.05, 0.3)) / rng.uniform(0.03, 0.12)))
        return times(scene, 1 - rng.uniform(*depth) * (1 - edge))

    return spoil


def screen_glow(share: tuple[float, float]) -> Spoil:
    """A screen glows from below: its light, another's, is strongest at the frame's lower border."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        _, y = _frame()
        fall = np.exp(-(HEIGHT / WIDTH - y) / rng.uniform(0.2, 0.5))[..., None]
        return replace(scene, raw=np.clip(scene.raw + rng.uniform(*share) * fall * scene.other, 0, 1))

    return spoil


def dehazed(strength: tuple[float, float]) -> Spoil:
    """A phone takes haze away: what is darkest around a place is taken off all of it, and the rest is stretched."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        size = int(rng.integers(60, 140))
        least = cv2.erode(scene.raw.min(axis=-1), np.ones((size, size)))
        taken = rng.uniform(*strength) * cv2.GaussianBlur(least, (0, 0), size / 3)[..., None]
        return replace(scene, raw=np.clip((scene.raw - taken) / np.maximum(1 - taken, 0.5), 0, 1))

    return spoil


def local_curve(strength: tuple[float, float]) -> Spoil:
    """Every place gets a power of its own, after how bright a wide ground around it is."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        light = np.maximum(scene.raw.mean(axis=-1), 0.003)
        ground = cv2.GaussianBlur(light, (0, 0), rng.uniform(50, 120))
        power = 2.0 ** (rng.uniform(*strength) * (ground / np.median(ground) - 1))
        return times(scene, np.clip(light, 1e-3, 1) ** (power - 1))

    return spoil


def coloured_shadows(amount: tuple[float, float]) -> Callable[[NDArray[np.uint8], np.random.Generator], NDArray]:
    """A style: shadows are pulled to one colour, lights to its opposite, in the finished picture."""

    def finish(rgb: NDArray[np.uint8], rng: np.random.Generator) -> NDArray[np.uint8]:
        grey = (rgb @ np.array([0.299, 0.587, 0.114]))[..., None] / 255
        pull = rng.uniform(*amount) * rng.permutation([1.0, 0.0, -1.0])
        return np.asarray(np.clip(np.round(rgb + 255 * pull * (0.5 - grey)), 0, 255), np.uint8)

    return finish


def smeared(rgb: NDArray[np.uint8], rng: np.random.Generator) -> NDArray[np.uint8]:
    """Taken in the dark: chroma is smeared over a few pixels, the file is small."""
    yuv = cv2.cvtColor(rgb, cv2.COLOR_RGB2YCrCb)
    size = int(rng.integers(5, 12))
    for channel in (1, 2):
        yuv[..., channel] = cv2.blur(yuv[..., channel], (size, size))
    done, data = cv2.imencode(".jpg", cv2.cvtColor(yuv, cv2.COLOR_YCrCb2BGR), [cv2.IMWRITE_JPEG_QUALITY, 55])
    assert done
    return np.asarray(cv2.imdecode(data, cv2.IMREAD_COLOR_RGB), np.uint8)


def reprinted(spread: tuple[float, float]) -> Callable[[Array, np.random.Generator], Array]:
    """The chart was printed anew by other inks: patches of one column drift alike, each wavelength its own way."""

    def table(chart: Array, rng: np.random.Generator) -> Array:
        much = rng.uniform(*spread)
        knots = np.array([rng.normal(0, much, 6) for _ in range(6)])
        drift = np.array([np.interp(NM, np.linspace(380, 730, 6), row) for row in knots])
        return np.asarray(np.clip(chart * np.exp(drift[np.arange(len(chart)) % 6]), 0.01, 1))

    return table


def glossy(share: tuple[float, float]) -> Spoil:
    """Laminated chart: a lamp's mirror image lies as a soft band over part of it."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        x, y = _frame()
        turn, at = rng.uniform(0, np.pi), rng.uniform(-0.1, 0.1)
        along = np.cos(turn) * (x - 0.26) + np.sin(turn) * (y - 0.28) - at
        band = np.exp(-0.5 * (along / rng.uniform(0.03, 0.08)) ** 2) * (x * WIDTH < BESIDE)
        return replace(
            scene,
            raw=np.clip(scene.raw + rng.uniform(*share) * band[..., None] * scene.response.sum(axis=0), 0, 1),
        )

    return spoil


UNSEEN = (
    Misleading("piece in a hollow, 5-12 %", in_a_hollow((0.05, 0.12)), encodings=BOTH),
    Misleading("shadow of a hand", hand_shadow((0.08, 0.3)), encodings=BOTH),
    Misleading("a screen's glow", screen_glow((0.05, 0.4)), encodings=BOTH),
    Misleading("haze taken away", dehazed((0.3, 0.8))),
    Misleading("a curve for every place", local_curve((0.1, 0.5))),
    Misleading("coloured shadows", finish=coloured_shadows((0.03, 0.12))),
    Misleading("taken in the dark", finish=smeared),
    Misleading("chart printed anew", table=reprinted((0.01, 0.06)), encodings=BOTH),
    Misleading("laminated chart", glossy((0.01, 0.08)), encodings=BOTH),
)  # fmt: skip
