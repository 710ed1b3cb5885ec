"""An exchange as one file for another lab: a zip of the folder, with a manifest of hashes.

A bundle comes from outside: it is refused whole unless every entry is a plain file of a place that an
exchange has, of a size within limits, and exactly what the manifest says.
"""

from __future__ import annotations

import hashlib
import json
import re
import stat
import zipfile
import zlib
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from stainbook import private
from stainbook.errors import FileError, InputError
from stainbook.language import say
from stainbook.private import part_of
from stainbook.work.lab.history_files import PLACES

MANIFEST = "manifest.json"
LAYOUT = 1  # raised when the files change their meaning
MOST_ENTRIES = 100_000
MOST_BYTES = 512 * 2**20  # of all files unpacked
MOST_A_FILE = 64 * 2**20
MOST_RATIO = 200  # unpacked to packed: text packs about tenfold
_PLACE = re.compile(
    rf"(?:(?:cases|outcomes|recipes)/[\w.-]{{1,80}}\.yaml|[a-z]+\.yaml|[a-z]+(?:-\d{{1,6}})?\.csv|{PLACES})", re.ASCII
)
_STAMP = (1980, 1, 1, 0, 0, 0)  # the same content makes the same file


def files_in(folder: Path) -> dict[str, bytes]:
    """The files of an exchange folder by their place in it, sorted."""
    found = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
    return {name: found[name].read_bytes() for name in sorted(found) if _PLACE.fullmatch(name)}


def manifest_of(files: Mapping[str, bytes]) -> bytes:
    """The manifest of some files: the layout, and the SHA-256 of each."""
    hashes = {name: hashlib.sha256(data).hexdigest() for name, data in sorted(files.items())}
    return (json.dumps({"stainbook": LAYOUT, "files": hashes}, indent=1) + "\n").encode()


def write_bundle(folder: Path, path: Path) -> None:
    """Pack an exchange folder; the file gets its name when it is whole.

    Raises InputError where it cannot be written, and for more than a bundle may hold.
    """
    files = files_in(folder)
    odd = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()} - files.keys()
    if odd:
        raise InputError(
            say(
                "{folder}: {file!r} has no place in a bundle; export to a new folder",
                folder=folder,
                file=sorted(odd)[0],
            )
        )
    size = sum(map(len, files.values()))
    if len(files) >= MOST_ENTRIES or size > MOST_BYTES:
        raise InputError(
            say(
                "{path}: found {n} files of {megabytes} MB, expected at most {most} of {most_megabytes}; "
                "export a folder",
                path=path,
                n=len(files),
                megabytes=size >> 20,
                most=MOST_ENTRIES,
                most_megabytes=MOST_BYTES >> 20,
            )
        )
    with part_of(path) as part, zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as bundle:
        for name, data in {MANIFEST: manifest_of(files), **files}.items():
            entry = zipfile.ZipInfo(name, _STAMP)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = (stat.S_IFREG | private.FILE) << 16
            bundle.writestr(entry, data)


def unpacked(path: Path, into: Path) -> None:
    """Unpack a bundle into an empty folder.

    Raises FileError for anything that is not exactly a bundle; then nothing was unpacked.
    """
    files = _read(path)
    for name, data in files.items():
        place = into / name
        private.make_folder(place.parent)
        place.write_bytes(data)


def _read(path: Path) -> dict[str, bytes]:
    try:
        with zipfile.ZipFile(path) as bundle:
            entries = bundle.infolist()
            _check_entries(path, entries)
            data = {entry.filename: _data(path, bundle, entry) for entry in entries}
    except FileNotFoundError as error:
        raise FileError(
            path, say("no such file"), say("a bundle"), hint=say("check the name and the folder")
        ) from error
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError) as error:
        raise _refused(path, say("a damaged archive ({reason})", reason=error)) from error
    except OSError as error:
        raise _refused(path, say("that it cannot be read ({reason})", reason=error.strerror)) from error
    _check_manifest(path, data.pop(MANIFEST, None), data)
    return data


def _refused(path: Path, found: str) -> FileError:
    return FileError(
        path, found, say("a bundle as `stainbook book export` packs it"), hint=say("nothing was taken from it")
    )


def _check_entries(path: Path, entries: Iterable[zipfile.ZipInfo]) -> None:
    seen: set[str] = set()
    size = 0
    for number, entry in enumerate(entries, 1):
        fault = _fault(entry)
        if fault:
            raise _refused(path, say("the entry {file!r:.80} {fault}", file=entry.filename, fault=fault))
        if entry.filename.casefold() in seen:
            raise _refused(path, say("the entry {file!r:.80} twice", file=entry.filename))
        seen.add(entry.filename.casefold())
        size += entry.file_size
        if number > MOST_ENTRIES or size > MOST_BYTES:
            raise _refused(
                path,
                say(
                    "more than {entries} entries or {megabytes} MB",
                    entries=MOST_ENTRIES,
                    megabytes=MOST_BYTES >> 20,
                ),
            )


def _fault(entry: zipfile.ZipInfo) -> str | None:
    """Why an entry is refused, None for a plain file of a known place."""
    kind = stat.S_IFMT(entry.external_attr >> 16)
    if entry.filename != entry.orig_filename or not (entry.filename == MANIFEST or _PLACE.fullmatch(entry.filename)):
        return say("at a place that no exchange has")
    if kind not in (0, stat.S_IFREG) or entry.is_dir():
        return say("that is no plain file")
    if entry.flag_bits & 0x1:
        return say("that is encrypted")
    if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        return say("packed in another way")
    if entry.file_size > MOST_A_FILE or entry.file_size > MOST_RATIO * max(entry.compress_size, 1024):
        return say("that would unpack to more than is reasonable")
    return None


def _data(path: Path, bundle: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    with bundle.open(entry) as stream:
        data = stream.read(entry.file_size + 1)
    if len(data) != entry.file_size:
        raise _refused(path, say("the entry {file!r:.80} of another size than it states", file=entry.filename))
    return data


def _check_manifest(path: Path, manifest: bytes | None, files: Mapping[str, bytes]) -> None:
    if manifest is None:
        raise _refused(path, say("no manifest"))
    try:
        stated: Any = json.loads(manifest)
        layout, hashes = stated["stainbook"], dict(stated["files"])
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        raise _refused(path, say("a manifest that cannot be read")) from error
    if layout != LAYOUT:
        raise _refused(path, say("layout {layout!r:.20}, this version reads {known}", layout=layout, known=LAYOUT))
    for name in sorted(hashes.keys() | files.keys()):
        if name not in files or hashes.get(name) != hashlib.sha256(files[name]).hexdigest():
            raise _refused(path, say("{file!r:.80} that is not what the manifest says", file=name))
