"""A photo of 24 megapixels to the colours of 16 zones, beside its bare decode."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import cv2
import numpy as np
import pytest

from stainbook.photo.decode import read_picture
from stainbook.work.photo.photo_colours import photo
from tests.photo.dng import mosaic_of, write_dng
from tests.photo.shots import points, table
from tests.worlds.photo_scenes import FILL, HEIGHT, WIDTH, developed, render

SIZE = (6000, 4000)  # ten times the scene's
ZONES = ("cervical", "middle", "incisal", "occlusal")
MOST_MB = 600


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    folder: Path = tmp_path_factory.mktemp("large")
    pictures(folder, 24)
    return folder


def pictures(folder: Path | str, megapixels: int) -> None:
    """A JPEG and a raw file of so many megapixels, and their scenes, with the chart's corners and without."""
    folder, scene, times = Path(folder), render(4, "test"), round(np.sqrt(1e6 * megapixels / (WIDTH * HEIGHT)))
    size = (WIDTH * times, HEIGHT * times)
    table(folder / "target.txt", scene)
    rng = np.random.default_rng(1)
    large = cv2.resize(developed(scene), size).astype(np.int16) + rng.integers(-6, 7, (*size[::-1], 3), dtype=np.int16)
    pixels = np.clip(large, 0, 255).astype(np.uint8)
    assert cv2.imwrite(str(folder / "p.jpg"), pixels[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, 92])
    write_dng(folder / "p.dng", mosaic_of(cv2.resize(scene.raw, size)))

    def enlarged(points_of: np.ndarray) -> np.ndarray:
        return np.asarray(points_of * times + (times - 1) / 2)

    lines = ["subject: patient", "reference: target.txt", "rows: 4", "columns: 6", f"patch_fill: {FILL}"]
    lines.append("zones:")
    for number in range(16):
        outline = enlarged(scene.zones[number // 2].polygon)
        outline[:, 1] = np.clip(outline[:, 1], *sorted((outline[:, 1].mean(), outline[2 * (number % 2), 1])))
        lines.append(f"  - {{tooth: {11 + number // 4}, zone: {ZONES[number % 4]}, polygon: {points(outline)}}}")
    (folder / "found.yaml").write_text("\n".join(lines) + "\n")
    lines.insert(5, f"corners: {points(enlarged(scene.corners))}")
    (folder / "scene.yaml").write_text("\n".join(lines) + "\n")


@pytest.mark.benchmark(group="JPEG of 24 megapixels")
def test_bare_decode(benchmark, folder):
    data = np.fromfile(folder / "p.jpg", np.uint8)
    found = benchmark.pedantic(cv2.imdecode, (data, cv2.IMREAD_COLOR_RGB), rounds=5, warmup_rounds=1)
    assert found.shape == (*SIZE[::-1], 3)


@pytest.mark.benchmark(group="JPEG of 24 megapixels")
def test_16_zones(benchmark, folder):
    """At most twice the bare decode."""
    found = benchmark.pedantic(photo, (None, folder / "p.jpg", folder / "scene.yaml"), rounds=5, warmup_rounds=1)
    assert len(found.zones) == 16


@pytest.mark.benchmark(group="JPEG of 24 megapixels")
def test_16_zones_and_the_target_found(benchmark, folder):
    """At most twice the bare decode, finding the target included."""
    found = benchmark.pedantic(photo, (None, folder / "p.jpg", folder / "found.yaml"), rounds=5, warmup_rounds=1)
    assert "found by itself" in found.method


@pytest.mark.benchmark(group="raw of 24 megapixels")
def test_raw_decode(benchmark, folder):
    found = benchmark.pedantic(read_picture, (folder / "p.dng",), rounds=3, warmup_rounds=1)
    assert found.size == SIZE


@pytest.mark.benchmark(group="raw of 24 megapixels")
def test_raw_16_zones(benchmark, folder):
    """At most 1.5 times the decode."""
    found = benchmark.pedantic(photo, (None, folder / "p.dng", folder / "scene.yaml"), rounds=3, warmup_rounds=1)
    assert len(found.zones) == 16


@pytest.mark.benchmark(group="memory of a JPEG of 24 megapixels")
def test_memory(benchmark, folder):
    """The largest resident size of a process that does one photo, MB."""
    code = (
        "from pathlib import Path; from stainbook.work.photo.photo_colours import photo;"
        "photo(None, Path('p.jpg'), Path('scene.yaml')); print(Path('/proc/self/status').read_text())"
    )

    def run() -> float:
        root = str(Path(__file__).parents[2])
        done = subprocess.run(
            [sys.executable, "-c", code],
            cwd=folder,
            env={"PYTHONPATH": root},
            capture_output=True,
            check=True,
            text=True,
        )
        return int(re.search(r"VmHWM:\s+(\d+)", done.stdout)[1]) / 1024  # not ru_maxrss: it counts the parent's

    megabytes = benchmark.pedantic(run, rounds=1)
    benchmark.extra_info["MB"] = megabytes
    assert megabytes < MOST_MB
