"""A fifth family of cameras, lights and reflectances for photos, and other means of misleading, kept apart.

Written on 2026-11-27 before the limits and radii of that day were set, and looked at once after. Tissue is a layer of
Kubelka and Munk upon what lies below it (gum on bone, enamel on dentine), cameras are differences of two edges, the
chart is a fifth measured copy. It shares no light, lab, camera or form of a tissue with the other families.
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
LAB = 97  # seed of the simulated lab whose pieces these are
LIGHTS = ("LED-V2", "D75", "FL3.10", "LED-B2", "ID65")
Spoil = Callable[[Scene, np.random.Generator], Scene]


def kept_family() -> Family:
    """The family that was kept apart."""
    rng = np.random.default_rng(61207)
    fired, known = fired_pieces(LAB)
    living = {"living tooth": _teeth(rng), "living gum": _gums(rng)}
    living = {kind: within(curves, *LIVING_RANGE[kind]) for kind, curves in living.items()}
    return Family(np.array([_camera(rng) for _ in range(5)]), _lights(), _chart(), living | fired, known)


def _camera(rng: np.random.Generator) -> Array:
    """Channels between two edges, a broad leak of the neighbour, glass in the blue, a filter in the red."""
    rows = []
    for low, high, steep in ((572, 655, 11), (487, 583, 15), (412, 506, 13)):
        rise = np.tanh((NM - low - rng.normal(0, 5)) / (steep * rng.lognormal(0, 0.15)))
        fall = np.tanh((NM - high - rng.normal(0, 5)) / (1.6 * steep * rng.lognormal(0, 0.15)))
        rows.append(0.5 * (rise - fall) + rng.uniform(0.01, 0.04))
    leaks = np.eye(3) + np.array([[0, 0.08, 0.01], [0.1, 0, 0.08], [0.01, 0.12, 0]]) * rng.uniform(0.2, 1.2, (3, 3))
    slope = np.exp(-(((NM - 540) / 160) ** 2))
    return np.asarray((leaks @ np.array(rows) * slope).T)


def _lights() -> Array:
    lamps = []
    for name in LIGHTS:
        sd = colour_science().SDS_ILLUMINANTS[name]
        values = np.interp(NM, sd.wavelengths, sd.values)
        lamps.append(values / values.mean())
    return np.array([*lamps, 0.4 * lamps[1] + 0.6 * lamps[3]])


def _chart() -> Array:
    return np.array(
        [
            np.interp(NM, sd.wavelengths, sd.values)
            for sd in colour_science().SDS_COLOURCHECKERS["babel_average"].values()
        ]
    )


def _over(absorbed: Array, scattered: Array, depth: Array, below: Array) -> Array:
    """Reflectance of a layer on what lies below it (Kubelka and Munk)."""
    a = 1 + absorbed / scattered
    b = np.sqrt(a**2 - 1)
    coth = 1 / np.tanh(np.minimum(b * scattered * depth, 30.0))
    return np.asarray((1 - below * (a - b * coth)) / (a - below + b * coth))


def _gums(rng: np.random.Generator) -> Array:
    """Gum with vessels of one width upon bone, brown grains in it, saliva's mirror in part."""
    draw = _drawn(rng, 3000)
    held = draw(0.45, 0.95)
    blood = PER_CM * (held * OXYGENATED + (1 - held) * REDUCED)
    across = draw(6, 60) * 1e-4 * blood
    inside = np.interp(NM, WAVELENGTHS, np.ones(len(WAVELENGTHS))) * np.array(
        [np.interp(NM, WAVELENGTHS, one) for one in blood * (1 - np.exp(-across)) / across]
    )
    absorbed = 2 * (10 ** draw(-2.2, -0.9) * inside + draw(0.0, 2.0) * (NM / 500) ** -3.3 + 0.3)
    scattered = 0.75 * draw(15, 40) * (NM / 500) ** -draw(0.6, 1.9)
    bone = draw(0.45, 0.75) * (1 - 0.35 * np.exp(-(NM - 380) / 80))
    return draw(0.0, 0.02) + 0.97 * _over(absorbed, scattered, draw(0.05, 0.25), bone)


def _teeth(rng: np.random.Generator) -> Array:
    draw = _drawn(rng, 900)
    dentine = draw(0.5, 0.8) / (1 + draw(0.2, 1.6) * np.exp(-(NM - 390) / draw(45, 120)))
    absorbed = draw(0.02, 0.25) * (NM / 450) ** -draw(1.0, 3.0)
    return _over(absorbed, draw(2.5, 9.0) * (NM / 550) ** -draw(0.2, 1.8), draw(0.04, 0.13), dentine)


def _drawn(rng: np.random.Generator, count: int):
    return lambda low, high: rng.uniform(low, high, (count, 1))


# ---------------------------------------------------------------- other means of misleading


def _frame() -> tuple[Array, Array]:
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
    return x / WIDTH, y / WIDTH


def window_glare(amount: tuple[float, float]) -> Spoil:
    """A window just outside the frame: its light in the lens falls off from one place at the border."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        x, y = _frame()
        at = rng.permutation([rng.choice([-0.1, 1.1]), rng.uniform(0, 0.67)])
        near = np.exp(-np.hypot(x - at[0], y - at[1]) / rng.uniform(0.35, 0.9))
        white = scene.raw[80:256, 30:290].max() * scene.response.sum(axis=0) / scene.response.sum(axis=0).max()
        added = rng.uniform(*amount) * (near / near.mean())[..., None] * white * [0.9, 1.0, 1.1]
        return replace(scene, raw=np.clip(scene.raw + added, 0, 1))

    return spoil


def dark_corners(amount: tuple[float, float]) -> Spoil:
    """A hood or a ring cuts the frame's border: flat in the middle, then a smooth step."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        x, y = _frame()
        at = rng.uniform(-0.12, 0.12, 2)
        r = np.hypot(x - 0.5 - at[0], y - HEIGHT / WIDTH / 2 - at[1])
        step = np.clip((r - rng.uniform(0.15, 0.25)) / 0.45, 0, 1)
        return times(scene, 1 - rng.uniform(*amount) * step * step * (3 - 2 * step))

    return spoil


def near_lamp(distance: tuple[float, float]) -> Spoil:
    """One lamp close by: light falls with the square of the distance and with the cosine."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        x, y = _frame()
        far, at = rng.uniform(*distance), np.array([rng.uniform(-0.1, 1.1), rng.uniform(-0.2, 0.87)])
        fall = (1 + ((x - at[0]) ** 2 + (y - at[1]) ** 2) / far**2) ** -1.5
        return times(scene, fall / fall.max())

    return spoil


def turned_away(share: tuple[float, float]) -> Spoil:
    """The piece lies on a slope: it gets less light than the chart, and less from one end to the other."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        x, _ = _frame()
        less, more = rng.uniform(*share), rng.uniform(-0.04, 0.04)
        beside = BESIDE / WIDTH
        gain = np.where(x > beside, 1 - less - more * (x - beside) / (1 - beside), 1.0)
        return times(scene, cv2.GaussianBlur(gain, (0, 0), 3))

    return spoil


def coloured_wall(share: tuple[float, float]) -> Spoil:
    """A coloured wall or sleeve at one side throws its colour on what lies near it."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        x, y = _frame()
        side = rng.choice(4)
        away = (x, 1 - x, y, HEIGHT / WIDTH - y)[side]
        colour = rng.permutation([1.0, rng.uniform(0.4, 0.9), rng.uniform(0.1, 0.5)])
        added = rng.uniform(*share) * np.exp(-away / rng.uniform(0.25, 0.6))[..., None] * colour
        return replace(scene, raw=np.clip(scene.raw * (1 + added), 0, 1))

    return spoil


def clarity(strength: tuple[float, float]) -> Spoil:
    """A phone's clarity: detail of several sizes is made stronger, dark places are lifted."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        ln = np.log(np.maximum(scene.raw.mean(axis=-1), 0.004))
        much, gain = rng.uniform(*strength), np.zeros_like(ln)
        for size in (9.0, 25.0, 70.0):
            gain += much * rng.uniform(0.3, 1.0) / 2 * (ln - cv2.GaussianBlur(ln, (0, 0), size))
        base = cv2.GaussianBlur(ln, (0, 0), 60.0)
        gain += 0.5 * much * np.clip(np.median(base) - base, 0, None)
        return times(scene, np.exp(gain))

    return spoil


def sheen(amount: tuple[float, float]) -> Spoil:
    """The chart shines a little, more at one end; the piece does not."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        x, _ = _frame()
        along = rng.permutation([0.3, 1.0])
        level = along[0] + (along[1] - along[0]) * np.clip(x * WIDTH / BESIDE, 0, 1)
        white = scene.response.sum(axis=0) * 0.9
        added = (rng.uniform(*amount) * level * (x * WIDTH < BESIDE))[..., None] * white
        return replace(scene, raw=np.clip(scene.raw + added, 0, 1))

    return spoil


def soiled(share: float) -> Callable[[Array, np.random.Generator], Array]:
    """Fingers and dust since the table was made: some patches are darker and yellower than it says."""

    def table(chart: Array, rng: np.random.Generator) -> Array:
        touched = rng.random((len(chart), 1)) < 0.4
        blue = np.exp(-np.linspace(0, 2, chart.shape[1]))
        lost = touched * rng.uniform(0, share, (len(chart), 1)) + rng.normal(0, 0.01, (len(chart), 1))
        return np.asarray(np.clip(chart * np.exp(lost * (0.5 + blue)), 0.01, 1))

    return table


def vivid(strength: tuple[float, float]) -> Callable[[NDArray[np.uint8], np.random.Generator], NDArray[np.uint8]]:
    """A vivid style: colours of the finished picture are pushed away from its own grey."""

    def finish(rgb: NDArray[np.uint8], rng: np.random.Generator) -> NDArray[np.uint8]:
        grey = rgb @ np.array([0.299, 0.587, 0.114])[:, None]
        return np.asarray(np.clip(np.round(grey + (1 + rng.uniform(*strength)) * (rgb - grey)), 0, 255), np.uint8)

    return finish


def sharpened(rgb: NDArray[np.uint8], rng: np.random.Generator) -> NDArray[np.uint8]:
    """What a phone does at last: noise smoothed by patches, edges sharpened, a small file."""
    smooth = cv2.bilateralFilter(rgb, 5, 18, 3)
    sharp = cv2.addWeighted(smooth, 1.6, cv2.GaussianBlur(smooth, (0, 0), 1.6), -0.6, 0)
    done, data = cv2.imencode(".jpg", sharp[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, int(rng.integers(45, 70))])
    assert done
    return np.asarray(cv2.imdecode(data, cv2.IMREAD_COLOR_RGB), np.uint8)


KEPT = (
    Misleading("clarity 0.15-0.3", clarity((0.15, 0.3))),
    Misleading("window glare 1-5 %", window_glare((0.01, 0.05)), encodings=BOTH),
    Misleading("corners cut dark", dark_corners((0.3, 0.6)), encodings=BOTH),
    Misleading("lamp close by", near_lamp((0.5, 0.9)), encodings=BOTH),
    Misleading("piece turned away 4-12 %", turned_away((0.04, 0.12)), encodings=BOTH),
    Misleading("coloured wall", coloured_wall((0.05, 0.25)), encodings=BOTH),
    Misleading("sheen on the chart", sheen((0.01, 0.04)), encodings=BOTH),
    Misleading("soiled chart", table=soiled(0.08), encodings=BOTH),
    Misleading("vivid style", finish=vivid((0.1, 0.3))),
    Misleading("sharpened, small file", finish=sharpened),
)  # fmt: skip
