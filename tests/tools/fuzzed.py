"""What is fuzzed: each reader of files as a function of bytes, and whole files to begin with.

A reader gives records or one clear line. What goes into a book goes in whole or not at all, and the book holds then.
"""

from __future__ import annotations

import functools
import io
import json
import re
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np

from stainbook.errors import InputError, StainbookError
from stainbook.files import read_case, read_pasted
from stainbook.files.scene import read_scene
from stainbook.files.text import NamedFile
from tests.files.test_fuzz import PIECES as _PIECES
from tests.files.test_fuzz import SEEDS, holds

PIECES = (*_PIECES, b"\x89PNG", b"\xff\xd8\xff", b"II*\x00", b"MM\x00*", b"PK\x03\x04", b"ftypheic")
Reader = Callable[[bytes], None]


@functools.cache
def place() -> Path:
    """A folder of this process."""
    return Path(tempfile.mkdtemp(prefix="fuzzed"))


def _of_file(read: Callable) -> Reader:
    def reader(data: bytes) -> None:
        holds(read, place() / "damaged", data)

    return reader


def said(error: Exception) -> None:
    """What is told is one line."""
    assert not re.search(r"[\n\r\x1b]", str(error)), "more than one line"
    assert len(str(error)) < 1000, "too long"


def pasted(data: bytes) -> None:
    """Rows that were typed or pasted."""
    try:
        read_pasted(data.decode("utf-8", "replace"), order=["a", "b"] if data[:1] == b"x" else [])
    except InputError as error:
        said(error)


def picture(data: bytes) -> None:
    """A picture, decoded in full."""
    from stainbook.photo.decode import read_picture

    try:
        read_picture("p.jpg", encoding="auto", brought=data)
    except InputError as error:
        said(error)


def profile(data: bytes) -> None:
    """The colour profile of a picture."""
    from stainbook.photo.profiles import profile_curves, profile_name

    curves = profile_curves(data, 256)
    assert curves is None or np.isfinite(curves).all(), "curves that are no numbers"
    profile_name(data)


def chart(data: bytes) -> None:
    """The table of a photo's chart."""
    from stainbook.work.photo.photo_target import read_target

    scene = place() / "scene.yaml"
    if not scene.exists():
        scene.write_text(
            "reference: chart.csv\nrows: 1\ncolumns: 2\nzones:\n"
            "  - {tooth: 11, zone: cervical, polygon: [[1, 1], [9, 1], [9, 9]]}\n"
        )
    try:
        read_target(read_scene(scene), NamedFile("chart.csv", data))
    except InputError as error:
        said(error)


def server(data: bytes) -> None:
    """The settings of a lab's server."""
    from stainbook.work.app.server_settings import server_settings

    path = place() / "server.toml"
    path.write_bytes(data)
    path.chmod(0o600)
    try:
        server_settings(path)
    except StainbookError as error:
        said(error)


# ---------------------------------------------------------------- what goes into a book


@functools.cache
def exported() -> dict[str, bytes]:
    """The files of an exchange, history among them."""
    from stainbook.book import open_book
    from stainbook.records import Reading, Stain, Viewing
    from stainbook.work.lab.bundle import files_in
    from stainbook.work.lab.exchange import export
    from tests.book.worked import case, outcome, recipe

    folder = place() / "exchange"
    with open_book(f"sqlite:///{place() / 'from.db'}") as book:
        book.add_cases([case()])
        book.add_stains([Stain("husk", lot="0117", notes="thin")])
        book.add_readings([Reading("W-1042-11-cervical", lab=(71.0, 1.0, 15.0), viewing=Viewing())])
        book.add_outcomes([outcome(), outcome(tooth=21)])
        book.revise_recipe(recipe())
        book.add_fit("counter", {"total": 1}, data=b"\x01\x02")
        export(book, folder)
    return files_in(folder)


@functools.cache
def _empty() -> bytes:
    """The file of a book that holds nothing."""
    from stainbook.book import open_book

    with open_book(f"sqlite:///{place() / 'empty.db'}") as book:
        book.copy_to(place() / "copy.db")
    return (place() / "copy.db").read_bytes()


def _taken_in(path: Path) -> None:
    """Take a file or folder into a new book: all of it, or a line and nothing."""
    from stainbook.book import open_book
    from stainbook.work.lab.exchange import import_

    file = place() / "into.db"
    for old in file.parent.glob("into.db*"):
        old.unlink()
    file.write_bytes(_empty())
    file.chmod(0o600)
    with open_book(f"sqlite:///{file}") as book:
        try:
            import_(book, path)
        except StainbookError as error:
            said(error)
            assert book.newest_row() == 0, "half of it was stored"
            return
        assert book.verify().faults == (), "the book does not hold"
        rows = book.newest_row()
        import_(book, path)
        assert book.newest_row() == rows, "the same twice changed something"


def bundle(data: bytes) -> None:
    """A bundle as bytes."""
    path = place() / "damaged.zip"
    path.write_bytes(data)
    _taken_in(path)


def packed(data: bytes) -> None:
    """A bundle of which one file was changed and the manifest made to fit; the first byte says which."""
    _changed(data, zipped=True)


def folder(data: bytes) -> None:
    """An exchange's folder of which one file was changed; the first byte says which."""
    _changed(data, zipped=False)


def _changed(data: bytes, *, zipped: bool) -> None:
    import shutil

    from stainbook.work.lab.bundle import write_bundle

    if not data:
        return
    files = exported()
    name = sorted(files)[data[0] % len(files)]
    root = place() / "changed"
    shutil.rmtree(root, ignore_errors=True)
    for other, was in files.items():
        (root / other).parent.mkdir(parents=True, exist_ok=True)
        (root / other).write_bytes(data[1:] if other == name else was)
    if not zipped:
        _taken_in(root)
        return
    path = place() / "packed.zip"
    path.unlink(missing_ok=True)
    write_bundle(root, path)
    _taken_in(path)


def case_kept(data: bytes) -> None:
    """A case's file that is taken into a book."""
    path = place() / "W-1.yaml"
    path.write_bytes(data)
    _taken_in(path)


READERS: dict[str, Reader] = {
    **{read.__name__.removeprefix("read_"): _of_file(read) for read in SEEDS},
    "case": _of_file(read_case),
    "pasted": pasted,
    "chart": chart,
    "picture": picture,
    "profile": profile,
    "server": server,
    "case_kept": case_kept,
    "folder": folder,
    "packed": packed,
    "bundle": bundle,
}


def seeds_of(name: str) -> list[bytes]:
    """Whole files of a reader."""
    of_files = {read.__name__.removeprefix("read_"): [one.encode() for one in texts] for read, texts in SEEDS.items()}
    if name in of_files:
        return of_files[name]
    return _MORE[name]()


def _exchange() -> list[bytes]:
    return [bytes([number]) + exported()[name] for number, name in enumerate(sorted(exported()))]


def _bundles() -> list[bytes]:
    from stainbook.work.lab.bundle import write_bundle

    path = place() / "whole.zip"
    packed(b"\x00" + exported()[sorted(exported())[0]])
    if not path.exists():
        write_bundle(place() / "changed", path)
    return [path.read_bytes(), b"PK\x05\x06" + bytes(18)]


def _pictures() -> list[bytes]:
    from PIL import Image, ImageCms

    from tests.photo.dng import mosaic_of, write_dng

    rng = np.random.default_rng(1)
    small = rng.integers(0, 256, (36, 40, 3), dtype=np.uint8)
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    exif = Image.Exif()
    exif[0x0112], exif[0x0110] = 6, "Bench Box One"
    exif.get_ifd(0x8769).update({0x829A: 0.008, 0x829D: 22.0, 0x8827: 100})
    found = []
    for kind, more in (("JPEG", {"exif": exif, "icc_profile": srgb}), ("PNG", {"exif": exif}), ("TIFF", {})):
        made = io.BytesIO()
        Image.fromarray(small // 32 * 32).save(made, kind, **more)
        found.append(made.getvalue())
    raw = write_dng(place() / "p.dng", mosaic_of(small / 255.0), preview=found[0][:600])
    heif = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + bytes(40)
    return [*found, raw.read_bytes(), heif]


def _profiles() -> list[bytes]:
    from PIL import ImageCms

    names = ("sRGB", "LAB", "XYZ")
    return [ImageCms.ImageCmsProfile(ImageCms.createProfile(name)).tobytes() for name in names]


_MORE: dict[str, Callable[[], list[bytes]]] = {
    "case": lambda: seeds_of("case_with_guide"),
    "pasted": lambda: [b"72,5 0,6 12,9\n", b"xL;a;b\n72.5;0.6;12.9\n71;1;2\n", *seeds_of("readings")],
    "chart": lambda: [b"sample,L,a,b,illuminant,observer\na,70,1,2,D65,10\nb,20,1,2,D65,10\n", *seeds_of("readings")],
    "picture": _pictures,
    "profile": _profiles,
    "server": lambda: [
        b'hosts = ["stain.example"]\ncertificate = "cert.pem"\nkey = "key.pem"\nidle_minutes = 30\nhours = 10\n',
        b'address = "https://stain.example"\n[openid]\nname = "lab"\nissuer = "https://id.example"\n'
        b'client_id = "stainbook"\nclient_secret = "x"\n',
    ],
    "case_kept": lambda: seeds_of("case_with_guide"),
    "folder": _exchange,
    "packed": _exchange,
    "bundle": _bundles,
}


if __name__ == "__main__":  # what there is, and whether the whole files are taken
    for each in READERS:
        for seed in seeds_of(each):
            READERS[each](seed)
    print(json.dumps(list(READERS)))
