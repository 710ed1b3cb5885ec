# ruff: noqa: I001  (imports of the programs that lived it: their modules lay elsewhere)
"""What is done again and again at the invented bench: a case opened, fired, chosen, photographed."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from tests.old_books.bench import Bench, layers, painted_yaml

Done = dict[tuple[int, str], Any]
NECK, BODY = layers(({"walnut": 1 / 8, "apricot": 1 / 8}, 1)), layers(({"apricot": 1 / 8}, 1))
THIN = layers(({"walnut": 1 / 16}, 1))
LIMITS = "limits: {firings_left: 2, layers: 1, coats: 1, strengths: [1/8, 1/4]}\n"
C, M, A = (11, "cervical"), (11, "middle"), (11, "attached")


def zone(place: tuple[int, str], target: str = "hay-1", now: str = "", more: str = "") -> str:
    """One zone of a case file."""
    tooth, name = place
    seen = f", now: {now}" if now else ""
    wanted = f", target: {{guide: house, tab: {target}}}" if target else ""
    return f"  - {{tooth: {tooth}, zone: {name}{seen}{wanted}{more}}}\n"


def sample(code: str, place: tuple[int, str]) -> str:
    """A reading of the case's file."""
    return f"{{file: {code}.csv, sample: {code}-{place[0]}-{place[1]}}}"


def opened(
    bench: Bench, code: str, blank: str, when: str, stage: str, *places: tuple[int, str], more: str = "", like: str = ""
) -> Path:
    """A piece milled, read, and its case file brought into the book: its readings with it."""
    bench.mill(code, blank, *(one for one in places if one[1] != "attached"))
    bench.mill(code, "petal", *(one for one in places if one[1] == "attached"))
    bench.measure(code, stage, when, *places)
    tabs = {"attached": "dawn-1"}
    zones = "".join(zone(one, tabs.get(one[1], "hay-1"), sample(code, one)) for one in places)
    path = bench.case(code, f"stage: {stage}\nfinish: glaze\nzones:\n{zones}{like}operator: bench-1\n{more or LIMITS}")
    bring(bench, path)
    return path


def bring(bench: Bench, path: Path) -> None:
    from stainbook.book import open_book
    from stainbook.work.follow import follow_book

    with open_book(bench.url) as book:
        follow_book(book, path)


def outcome(bench: Bench, code: str, name: str, when: str, done: Done, *, head: str = "", tag: str) -> Path:
    """An outcome file: what was painted by zone, read after the firing under the sample's name and a tag."""
    zones = "".join(
        f"  - tooth: {tooth}\n    zone: {part}\n    layers: {painted_yaml(stack)}\n"
        f"    after: {{file: ../{code}.csv, sample: {code}-{tooth}-{part}{tag}}}\n"
        for (tooth, part), stack in done.items()
    )
    return bench.write(f"firings/{name}.yaml", f"case: {code}\nfired_at: {when}Z\n{head}zones:\n{zones}")


def page_firing(
    bench: Bench, code: str, done: Done, *, read: list[tuple[int, str]], operator: str, minutes: str = ""
) -> None:
    """A firing as the page Result stored it: zones that were typed after it, by L*, a*, b*."""
    from stainbook.work.results import FiringResult, ZoneResult, record_result

    told = [ZoneResult(*key, done[key], bench.typed(code, *key)) for key in read]
    record_result(
        bench.url,
        Path(f"{code}.yaml"),
        FiringResult(told, operator, "stain", "small", minutes=minutes, illuminant="D65", observer=10),
    )


def choose(bench: Bench, path: Path, steps: Done) -> None:
    from stainbook.book import open_book
    from stainbook.kept import Choice

    with open_book(bench.url) as book:
        case = book.cases()[path.stem]
        fired = {one.key: one.fired for one in case.zones}
        book.add_choices(
            Choice(case.case, *key, kind=kind, layers=stack, body=body, fired=fired[key])
            for key, (kind, stack, body) in steps.items()
        )


def to_stage(bench: Bench, path: Path, stage: str) -> None:
    """The stage set by hand in the case's file, as labs do after the glaze and after bonding."""
    text = (bench.folder / path).read_text(encoding="utf-8")
    lines = [f"stage: {stage}" if line.startswith("stage:") else line for line in text.splitlines()]
    bench.write(str(path), "\n".join(lines) + "\n")
    bring(bench, path)


def photo(bench: Bench, path: Path, when: str, zones: list[Any]) -> None:
    from stainbook.work.photo_schemas import PhotoReference, PhotoResult, PhotoShot, PhotoZone
    from stainbook.work.photo_store import Copy, store_zones

    shown = [
        PhotoZone(
            tooth=key[0], zone=key[1], L=L, a=a, b=b, illuminant="D65", observer=10, C=(a * a + b * b) ** 0.5, h=80.0,
            u=1.6, pixels=900, masked=0.02, flagged=False, tissue="tooth",
        )
        for key, (L, a, b) in zones
    ]  # fmt: skip
    result = PhotoResult(
        zones=shown,
        reference=PhotoReference(dE00_median=0.5, dE00_left_out=0.7, patches=24),
        method="invented for old books",
        shot=PhotoShot(camera="a camera", exposure_s=0.01, aperture=8.0, iso=200.0, taken_at=when),
    )
    picture = BytesIO()
    grey = np.linspace(90, 210, 48 * 32).reshape(32, 48).astype("uint8")
    Image.fromarray(np.dstack([grey, grey, grey])).save(picture, "JPEG", quality=60)
    outlines = tuple((*key, ((2.0, 2.0), (9.0, 2.0), (9.0, 9.0))) for key, _ in zones)
    store_zones(bench.url, path, result, copy=Copy(picture.getvalue(), 48, 32, outlines))
