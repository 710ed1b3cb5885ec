"""How often the chart is found: ``python -m tests.worlds.photo_found 4``.

Pictures as cameras write them: a chart turned any way, tilted to 25 degrees, on a fifth to two thirds of the frame,
before clutter of soft and hard edges, under six lights and for three cameras, as JPEG with a tone curve and as linear
file. And pictures without a chart, with other charts, and with tiles that look like one. Simulated. ``--pictures
FOLDER`` looks for it in the pictures of a folder too, which hold none: photographs that packages ship.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from stainbook.photo.detect import find_target
from stainbook.photo.picture import Picture, srgb_curves
from stainbook.photo.target import ColourChart
from tests.worlds.photo_accuracy import target_of
from tests.worlds.photo_scenes import COLUMNS, NONE, ROWS, Scene, as_uint16, cells, compressed, developed
from tests.worlds.photo_spectra import Family, family

Array = NDArray[np.float64]
WIDTH, HEIGHT = 1080, 720
TILT = 25.0  # degrees
GRAIN = 0.004  # of full scale
KINDS_OF_FILE, LEAST = (".jpg", ".jpeg", ".png", ".tif", ".tiff"), 120  # pixels a side, below which it is a sign
CURVES = srgb_curves(256)


def placed(rng: np.random.Generator, *, size: tuple[float, float] = (0.22, 0.65)) -> Array:
    """Corners (4, 2) of a chart seen in perspective, wholly in the frame."""
    while True:
        width = rng.uniform(*size) * WIDTH
        flat = (
            (np.array([[0, 0], [COLUMNS, 0], [COLUMNS, ROWS], [0, ROWS]]) - [COLUMNS / 2, ROWS / 2]) * width / COLUMNS
        )
        turn, tilt, about = rng.uniform(0, 2 * np.pi), np.radians(rng.uniform(0, TILT)), rng.uniform(0, 2 * np.pi)
        axis = np.array([np.cos(about), np.sin(about)])
        spun = flat @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        along, across = spun @ axis, spun @ np.array([-axis[1], axis[0]])
        near = 1 / (1 + across * np.sin(tilt) / (1.6 * WIDTH))
        seen = (np.outer(along, axis) + np.outer(across * np.cos(tilt), [-axis[1], axis[0]])) * near[:, None]
        low, high = -seen.min(axis=0) + 15, [WIDTH - 15, HEIGHT - 15] - seen.max(axis=0)
        if np.all(low < high):
            return np.asarray(seen + rng.uniform(low, high))


def clutter(rng: np.random.Generator, white: Array) -> Array:
    """A ground of soft clouds with boxes and ovals upon it, in camera RGB."""
    coarse = rng.normal(0, 1, (int(rng.integers(8, 30)), int(rng.integers(12, 40)), 3))
    clouds = cv2.resize(coarse, (WIDTH, HEIGHT), interpolation=cv2.INTER_CUBIC)
    image = rng.uniform(0.05, 0.5) * np.exp(0.5 * clouds / clouds.std()) * rng.uniform(0.7, 1.0, 3)
    for _ in range(rng.integers(6, 26)):
        colour = (rng.uniform(0.02, 0.9) * rng.uniform(0.5, 1.0, 3)).tolist()
        middle, size = rng.uniform(0, [WIDTH, HEIGHT]), rng.uniform(15, 200, 2)
        box = cv2.boxPoints((tuple(middle), tuple(size), float(rng.uniform(0, 90))))
        if rng.random() < 0.6:
            cv2.fillPoly(image, [box.astype(np.int32)], colour)
        else:
            cv2.ellipse(
                image, tuple(middle.astype(int).tolist()), tuple((size / 2).astype(int).tolist()), 0, 0, 360, colour, -1
            )
    return np.asarray(image * white)


def shot(world: Family, camera: int, light: int, rng: np.random.Generator, chart: Array | None) -> tuple[Scene, Array]:
    """A scene with a chart (24, 71) on it, or None, and its corners; no pieces."""
    product = world.cameras[camera] * world.lights[light][:, None]
    response = product * 0.85 / product.sum(axis=0).max()
    image = clutter(rng, response.sum(axis=0))
    corners = placed(rng)
    if chart is not None:
        frame = corners.mean(axis=0) + 1.07 * (corners - corners.mean(axis=0))
        cv2.fillPoly(image, [np.round(frame).astype(np.int32)], (0.035 * response.sum(axis=0)).tolist())
        for polygon, colour in zip(cells(corners), chart @ response, strict=True):
            cv2.fillPoly(image, [np.round(polygon * 16).astype(np.int32)], colour.tolist(), shift=4)
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
    slope = rng.uniform(-0.2, 0.2, 2)
    image = image * (1 + slope[0] * (x / WIDTH - 0.5) + slope[1] * (y / HEIGHT - 0.5))[..., None]
    soft = cv2.GaussianBlur(image, (0, 0), rng.uniform(0.6, 1.6))
    raw = np.clip(soft + rng.normal(0, GRAIN, soft.shape), 0, 1)
    empty = np.zeros((1, 1, 3))
    scene = Scene(raw, corners, (), world.chart, None, empty, world, response, int(rng.integers(1 << 30)))  # type: ignore[arg-type]
    return scene, corners


def written(scene: Scene, encoding: str, stated: str | None = None) -> Picture:
    """The picture as a JPEG with a tone curve of 5 to 10 % contrast or as a linear file, and as it is said to be."""
    if encoding == "srgb":
        pixels = compressed(developed(scene, replace(NONE, contrast=1.0)), 90)
        return Picture(pixels, "srgb", CURVES) if stated != "linear" else Picture(pixels, "linear")
    if stated == "srgb":
        return Picture(as_uint16(scene.raw), "srgb", srgb_curves(65536))
    return Picture(as_uint16(scene.raw), "linear")


def is_right(picture: Picture, target: ColourChart, corners: Array) -> bool | None:
    """Whether the chart is found to a sixth of a cell; None where nothing is found."""
    found = find_target(picture, target)
    if found is None:
        return None
    cell = np.linalg.norm(corners[1] - corners[0]) / COLUMNS
    return bool(np.abs(found.corners - corners).max() < cell / 6)


def without(world: Family, rng: np.random.Generator, kind: int) -> Scene:
    """A picture without this chart: clutter alone, another chart, or tiles of any colours."""
    other = None
    if kind % 3 == 1:
        other = world.chart[rng.permutation(len(world.chart))]
    if kind % 3 == 2:
        tiles = rng.choice([0.04, 0.2, 0.5, 0.85], (24, 1)) * np.ones((1, world.chart.shape[1]))
        other = tiles * np.exp(rng.uniform(-1, 1, (24, 1)) * np.linspace(-1, 1, world.chart.shape[1]))
    return shot(world, int(rng.integers(len(world.cameras))), int(rng.integers(len(world.lights))), rng, other)[0]


def found_in(folder: Path, target: ColourChart) -> tuple[list[str], int]:
    """The pictures of a folder and below in which a chart is found, and how many were looked at."""
    wrong, looked = [], 0
    for path in sorted(one for one in folder.rglob("*") if one.suffix.lower() in KINDS_OF_FILE):
        pixels = cv2.imread(str(path), cv2.IMREAD_COLOR_RGB)
        if pixels is None or min(pixels.shape[:2]) < LEAST:
            continue
        looked += 1
        if find_target(Picture(np.asarray(pixels, np.uint8), "srgb", CURVES), target) is not None:
            wrong.append(path.name)
    return wrong, looked


def main(arguments: list[str] | None = None) -> None:
    """Print how often it is found, and how often something is that is not there."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("times", type=int, help="pictures of each camera under each light")
    parser.add_argument("--without", type=int, default=150)
    parser.add_argument("--family", default="test")
    parser.add_argument("--pictures", type=Path, action="append", default=[], help="a folder of pictures without one")
    given = parser.parse_args(arguments)
    world = family(given.family)
    target = target_of(world)
    for encoding, stated in (("srgb", None), ("linear", None), ("linear", "srgb"), ("srgb", "linear")):
        rng = np.random.default_rng(7)
        results = []
        for camera in range(3):
            for light in range(len(world.lights)):
                for _ in range(given.times):
                    scene, corners = shot(world, camera, light, rng, world.chart)
                    results.append(is_right(written(scene, encoding, stated), target, corners))
        print(f"{encoding} said to be {stated or encoding}: {results.count(True)} of {len(results)} found,", end=" ")
        print(f"{results.count(False)} elsewhere", flush=True)
    rng, wrong = np.random.default_rng(11), 0
    for kind in range(given.without):
        picture = written(without(world, rng, kind), ("srgb", "linear")[kind % 2])
        wrong += find_target(picture, target) is not None
    print(f"found where there is none: {wrong} of {given.without}", flush=True)
    for folder in given.pictures:
        names, looked = found_in(folder, target)
        print(f"found in {len(names)} of {looked} pictures of {folder}", *names)


if __name__ == "__main__":
    main()
