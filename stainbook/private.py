"""Files and folders that their owner alone reads, each written whole or not at all.

What the lab writes names patients' cases: no other user of the machine needs it. A file that others could read
becomes the owner's own; one that a group was given on purpose (nothing for others) stays as it was set.
"""

from __future__ import annotations

import contextlib
import os
import stat
from collections.abc import Iterator
from pathlib import Path
from threading import get_ident

from stainbook.errors import InputError
from stainbook.language import say

FILE, FOLDER = 0o600, 0o700
_OTHERS = 0o007
_NO_FOLDERS = ("/dev/", "/proc/")  # what stands there cannot be replaced


@contextlib.contextmanager
def part_of(path: Path | str) -> Iterator[Path]:
    """A new file beside another, which takes its place when all is written; gives the new file's path.

    On any error inside there is no trace of it, and what was there is as it was. What is no file, such as
    ``/dev/stdout``, is written as it is.

    Raises InputError where the place cannot be written.
    """
    place = Path(path)
    try:
        if str(place.absolute()).startswith(_NO_FOLDERS) or (place.exists() and not place.is_file()):
            yield place
            return
        place = place.resolve()
        part = place.with_name(f"{place.name[:120]}.{os.getpid()}-{get_ident()}.part")
        try:
            os.close(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, FILE))
            yield part
            if place.exists() and not stat.S_IMODE(place.stat().st_mode) & _OTHERS:
                part.chmod(stat.S_IMODE(place.stat().st_mode))
            os.replace(part, place)
        finally:
            part.unlink(missing_ok=True)
    except OSError as error:
        said = say("{path}: cannot be written ({reason}); choose another place", path=path, reason=error.strerror)
        raise InputError(said) from error


def write(path: Path | str, data: bytes | str) -> None:
    """Write a file whole, text as UTF-8; raises InputError where it cannot be written, then all is as it was."""
    with part_of(path) as part:
        part.write_bytes(data.encode("utf-8") if isinstance(data, str) else data)


def make_folder(path: Path) -> None:
    """Make a folder and those above it where they are missing, the new ones for the owner alone; raises OSError."""
    missing = [one for one in (path, *path.parents) if not one.exists()]
    for one in reversed(missing):
        one.mkdir(mode=FOLDER, exist_ok=True)
    if not path.is_dir():
        raise NotADirectoryError(20, "Not a directory", str(path))


def narrow(path: Path) -> bool:
    """Take a file or folder of ours from all others where they could reach it; tells whether it was so."""
    try:
        found = path.stat()
        ours = not hasattr(os, "geteuid") or os.geteuid() in (0, found.st_uid)
        if not ours or not stat.S_IMODE(found.st_mode) & _OTHERS or os.name != "posix":
            return False
        path.chmod(FOLDER if stat.S_ISDIR(found.st_mode) else FILE)
    except OSError:  # read-only: it can be looked at as it is
        return False
    return True
