"""What takes more than a second of core: ``python -m tests.benchmarks.long_work [PART …]``.

Seconds of this process's core, which other work on the machine hardly touches, the least of two rounds, after a first
one that loads what is loaded once: photos of 24 megapixels (simulated, 16 zones) as the photo page asks for them, the
files of the arch of the demonstration lab (simulated, 59 zones), learning, and a book handed on and taken in. PART is
photos, reports, learning, exchange; all where none is named.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np

from stainbook.book import Book, open_book
from stainbook.files.scene import SceneZone, SecondShot, read_scene
from stainbook.kept import Outcome
from stainbook.lab import Lab
from stainbook.work.app.demo import make_demo_book
from stainbook.work.app.shipped import shipped
from stainbook.work.photo.photo_colours import PhotoAsked
from stainbook.work.photo.photo_desk import OpenedPhoto
from stainbook.work.reading.dropped import Dropped
from stainbook.work.stains.outcome_learning import learnt_again
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from tests.benchmarks.test_photo import pictures
from tests.photo.shots import table as written_table
from tests.worlds.photo_scenes import HEIGHT, WIDTH, Faults, developed
from tests.worlds.photo_scenes import Scene as Rendered
from tests.worlds.photo_two_shots import two_shots

ARCH, MEGAPIXELS, TIMES, OUTCOMES, SEED = "W-1042", 24, 10, 600, 11
ROUNDS = 2
Job = tuple[str, Callable[[], object]]


def photos(lab: Lab, folder: Path) -> Iterator[Job]:
    """The steps of the photo page, one shot and two."""
    pictures(folder, MEGAPIXELS)
    table = Dropped("target.txt", (folder / "target.txt").read_bytes())
    scene = replace(read_scene(folder / "scene.yaml"), reference=None)
    wish = PhotoAsked()
    for kind in ("jpg", "dng"):
        image = Dropped(f"p.{kind}", (folder / f"p.{kind}").read_bytes())
        desk = OpenedPhoto(image, table, scene)
        bare = replace(desk, scene=replace(scene, corners=None, zones=()))
        yield f"{kind}: look, chart found", lambda bare=bare: lab.photo.look(bare)
        yield (
            f"{kind}: outlines suggested",
            lambda desk=desk: lab.photo.suggested(desk, scene.corners, [(11, "middle"), (21, "middle")]),
        )
        yield f"{kind}: a tap", lambda desk=desk: lab.photo.tapped(desk, scene.corners, "11 middle", (3400, 1000))
        yield f"{kind}: measured", lambda desk=desk: lab.photo.measured(desk, wish)
        before = replace(desk, image=Dropped(f"q.{kind}", image.data))
        yield f"{kind}: with the shot before", lambda d=desk, b=before: lab.photo.measured(d, wish, b, mapped=True)
    first, second = two_shots(2, "test", Faults(highlights=0.0))
    names = [(11 + n // 4, ("cervical", "middle", "incisal", "occlusal")[n % 4]) for n in range(len(first.zones))]
    zones = tuple(
        SceneZone(tooth, zone, "tooth", _points(one.polygon))
        for (tooth, zone), one in zip(names, first.zones, strict=True)
    )
    drawn = replace(scene, zones=zones, corners=None, second=SecondShot(Path(), "cyan", _points(second.corners)))
    image, other = (Dropped(f"{name}.jpg", _large(one)) for name, one in (("one", first), ("two", second)))
    chart = Dropped("first.txt", written_table(folder / "first.txt", first).read_bytes())
    desk = OpenedPhoto(image, chart, drawn, second=other)
    yield "jpg: two shots", lambda: lab.photo.measured(desk, wish)


def _points(points: np.ndarray) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in points * TIMES + (TIMES - 1) / 2)


def _large(scene: Rendered) -> bytes:
    size = (WIDTH * TIMES, HEIGHT * TIMES)
    noise = np.random.default_rng(1).integers(-6, 7, (*size[::-1], 3), dtype=np.int16)
    pixels = np.clip(cv2.resize(developed(scene), size).astype(np.int16) + noise, 0, 255).astype(np.uint8)
    return cv2.imencode(".jpg", pixels[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, 92])[1].tobytes()


def reports(lab: Lab) -> Iterator[Job]:
    """The files of a case."""
    case = lab.case(ARCH)
    for kind in ("pdf", "job", "csv", "xlsx"):
        yield f"report {kind}, 59 zones", lambda kind=kind: case.report_file(kind, annex=True)
    yield "label", lambda: case.label_file("pdf")


def learning(book: Book, folder: Path) -> Iterator[Job]:
    """From stripes, from the demonstration's outcomes, and from 600 that are drawn around them."""
    recipes = shipped("recipes")
    files = ChipFiles(recipes / "chips.csv", recipes / "readings.csv", recipes / "stains.yaml", recipes / "bodies.csv")

    def calibrated() -> None:
        with tempfile.TemporaryDirectory(dir=folder) as place, open_book(f"sqlite:///{place}/lab.db") as empty:
            calibrate_files(empty, files)

    yield "calibrate, 17 stains", calibrated
    yield f"learning, {len(book.outcomes())} outcomes", lambda: learnt_again(book)
    with open_book(make_demo_book(_made(folder / "full"))) as full:
        full.add_outcomes(_more(book.outcomes(), OUTCOMES))
        yield f"learning, {len(full.outcomes())} outcomes", lambda: learnt_again(full)


def _made(folder: Path) -> Path:
    folder.mkdir()
    return folder


def _more(outcomes: list[Outcome], most: int) -> Iterator[Outcome]:
    rng = np.random.default_rng(SEED)
    for i in range(most - len(outcomes)):
        one = outcomes[i % len(outcomes)]
        L, a, b = one.got.lab + rng.normal(size=3) * [1.0, 0.3, 0.6]
        got = replace(one.got, lab=(float(L), float(a), float(b)))
        at = f"2026-{1 + i // 28 % 9:02d}-{1 + i % 28:02d}T{i // 252:02d}:00:00Z"
        yield replace(one, case=f"M-{i}", fired_at=at, got=got, after=replace(one.after, sample=f"m-{i}"))


def exchange(lab: Lab, folder: Path) -> Iterator[Job]:
    """A book handed on, looked at, and taken in."""
    for history in (False, True):
        yield f"bundle, history {history}", lambda history=history: lab.exchange.packed_book("zip", history=history)
    yield "workbook", lambda: lab.exchange.packed_book("xlsx")
    yield "a case", lambda: lab.exchange.packed_case(ARCH)
    bundle = Dropped("lab.zip", lab.exchange.packed_book("zip", history=True))
    path = folder / "lab.zip"
    path.write_bytes(bundle.data)

    def looked() -> None:
        with tempfile.TemporaryDirectory(dir=folder) as place, Lab.open(f"{place}/lab.db") as empty:
            empty.exchange.preview(bundle)

    def taken() -> None:
        with tempfile.TemporaryDirectory(dir=folder) as place, Lab.open(f"{place}/lab.db") as empty:
            empty.exchange.import_(path)

    yield "import looked at", looked
    yield "import taken in", taken


def main(*named: str) -> None:
    """Print the seconds of each."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        url = make_demo_book(folder)
        lab = Lab.open(url)
        parts = {
            "photos": lambda: photos(lab, folder), "reports": lambda: reports(lab),
            "learning": lambda: learning(lab.book, folder), "exchange": lambda: exchange(lab, folder),
        }  # fmt: skip
        for part in named or parts:
            for name, work in parts[part]():
                work()
                print(f"{name:32} {min(map(_core, [work] * ROUNDS)):6.2f} s", flush=True)


def _core(work: Callable[[], object]) -> float:
    began = time.process_time()
    work()
    return time.process_time() - began


if __name__ == "__main__":
    main(*sys.argv[1:])
