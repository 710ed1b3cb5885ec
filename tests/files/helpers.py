"""Small files for the readers' tests."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from stainbook.errors import InputError

BANDS = tuple(range(400, 701, 20))


def spectral(*rows: str, separator: str = ",", band: str = "{}", extra: tuple[str, ...] = ()) -> str:
    """A readings table whose header names the bands; rows are given whole."""
    return "\n".join([separator.join(["sample", *extra, *(band.format(w) for w in BANDS)]), *rows]) + "\n"


def flat(sample: str, value: str, *extra: str, separator: str = ",") -> str:
    """A row of one value in every band."""
    return separator.join([sample, *extra, *[value] * len(BANDS)])


def refused(read: Callable[[Path], object], path: Path, *parts: str) -> str:
    """The message of a refusal: one line that names the file and holds all the parts."""
    with pytest.raises(InputError) as caught:
        read(path)
    message = str(caught.value)
    assert caught.value.exit_code == 2
    assert "\n" not in message
    for part in (path.name, *parts):
        assert part in message, message
    return message


def saved(folder: Path, text: str | bytes, name: str = "readings.csv") -> Path:
    """A file in a folder."""
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path
