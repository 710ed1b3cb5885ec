"""What the examples of photo, book and Lab run on: a small picture, a book, the demonstration lab with a photo."""

from __future__ import annotations

import csv
import doctest
import importlib
from pathlib import Path
from types import ModuleType
from typing import Any

import cv2
import numpy as np

from stainbook.files.scene import Scene, SceneZone, format_scene
from stainbook.work.app.demo import make_demo_book, make_demo_folder

SQUARE = ((310.0, 70.0), (370.0, 70.0), (370.0, 130.0), (310.0, 130.0))  # within that of the picture of photo


def run_examples(module: ModuleType, given: dict[str, Any], *, but: str = "") -> doctest.TestResults:
    """Run the examples of a module but of one docstring; those of a class's methods use what its own example made."""
    runner, made = doctest.DocTestRunner(), dict[str, dict[str, Any]]()
    with np.printoptions(legacy=False):  # the reference library of colours turns printing to that of an old numpy
        _run_each(runner, made, module, given, but)
    return runner.summarize(verbose=False)


def _run_each(
    runner: doctest.DocTestRunner,
    made: dict[str, dict[str, Any]],
    module: ModuleType,
    given: dict[str, Any],
    but: str,
) -> None:
    for one in sorted(doctest.DocTestFinder().find(module, extraglobs=given), key=lambda test: test.name):
        if one.examples and one.name != but:
            before = dict(one.globs)
            one.globs |= made.get(one.name.rpartition(".")[0], {})
            runner.run(one, clear_globs=False)
            made[one.name] = {name: value for name, value in one.globs.items() if value is not before.get(name)}


def opened_by(room: str) -> dict[str, Any]:
    """What the examples of a room's own docstring make: the examples of its modules use it by these names."""
    package = importlib.import_module(f"stainbook.{room}")
    (own,) = (one for one in doctest.DocTestFinder().find(package) if one.name == package.__name__)
    failed, attempted = doctest.DocTestRunner().run(own, clear_globs=False)
    assert attempted > failed == 0
    before = vars(package)
    return {name: one for name, one in own.globs.items() if name[0] != "_" and one is not before.get(name)}


def demonstration(folder: Path) -> None:
    """Fill a folder with the demonstration lab, and with a photo of a square beside a chart."""
    make_demo_book(folder)
    make_demo_folder(folder)
    photo = folder / "photo"
    photo.mkdir()
    seen = opened_by("photo")
    cv2.imwrite(str(photo / "shot.png"), seen["picture"].pixels[..., ::-1])
    with (photo / "chart.csv").open("w", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(["sample", *(f"{nm:g}" for nm in seen["nm"])])
        rows.writerows([f"chart-{n}", *curve.round(6)] for n, curve in enumerate(seen["curves"], 1))
    zone = SceneZone(11, "middle", "tooth", SQUARE)
    corners = tuple((float(x), float(y)) for x, y in seen["corners"])
    scene = Scene(Path("chart.csv"), 4, 6, (zone,), encoding="linear", corners=corners)
    (photo / "scene.yaml").write_text(format_scene(scene))
