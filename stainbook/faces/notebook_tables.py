"""What a notebook brings, as the files that the work reads: paths, data frames, arrays by sample."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stainbook.errors import InputError
from stainbook.language import say
from stainbook.records import Layer, Pot, Reading, Viewing

if TYPE_CHECKING:
    from stainbook.files import Source

Brought = Any  # a path, a pandas data frame, or a mapping of sample to three or 31 values
GRID = range(400, 701, 10)  # nm of the bands of an array of 31
USUAL = Viewing("D65", 10)  # of three values alone
EXPECTED = say("a path, a data frame, or values by sample: L, a, b (D65, 10°) or 31 reflectances, 400 to 700 nm")


def source_of(brought: Brought, name: str) -> Source:
    """Give a table as a file.

    brought : a path, a data frame, or L*, a*, b* (D65, 10°) or 31 reflectances by sample; name : in messages
    Raises InputError for what is none.

    >>> source_of({"tab": [72.0, 1.0, 16.0]}, "readings").data.decode().splitlines()[1][:26]
    'tab,72.0,1.0,16.0,D65,10,,'
    """
    from stainbook.files import NamedFile

    if isinstance(brought, str | Path):
        return Path(brought)
    if hasattr(brought, "to_csv"):
        frame = brought.reset_index() if getattr(brought.index, "name", None) else brought
        return NamedFile(name, frame.to_csv(index=False).encode())
    if isinstance(brought, Mapping):
        return NamedFile(name, _rows_of(brought).encode())
    raise InputError(
        say("{name}: found {found}, expected {expected}", name=name, found=type(brought).__name__, expected=EXPECTED)
    )


def _rows_of(values: Mapping[str, Sequence[float]]) -> str:
    readings = [reading_of(sample, one) for sample, one in values.items()]
    head = ["sample", "L", "a", "b", "illuminant", "observer", *map(str, GRID)]
    text = io.StringIO()
    rows = csv.writer(text)
    rows.writerow(head)
    for one in readings:
        lab = [*one.lab, USUAL.illuminant, USUAL.observer] if one.lab else [""] * 5
        rows.writerow([one.sample, *lab, *(one.reflectance or [""] * len(GRID))])
    return text.getvalue()


def reading_of(sample: str, values: Sequence[float]) -> Reading:
    """Give three values as L*, a*, b* (D65, 10°), 31 as reflectances from 400 to 700 nm.

    Raises InputError for another number of values.

    >>> reading_of("tab", [72.0, 1.0, 16.0]).lab
    (72.0, 1.0, 16.0)
    """
    found = tuple(float(one) for one in values)
    if len(found) == 3:
        return Reading(sample, lab=(found[0], found[1], found[2]), viewing=USUAL, source="a notebook")
    if len(found) == len(GRID):
        return Reading(sample, tuple(map(float, GRID)), found, source="a notebook")
    raise InputError(
        say("{sample}: found {n} values, expected {expected}", sample=sample, n=len(found), expected=EXPECTED)
    )


def layers_of(layers: Any, coats: int) -> tuple[Layer, ...]:
    """Give layers, bottom first, from a mix (shares by stain) and its coats, or from several as (mix, coats).

    Raises InputError for shares or coats that cannot be.

    >>> layers_of({"barley": 1 / 8}, 2)[0].coats
    2
    """
    stack = [(layers, coats)] if isinstance(layers, Mapping) else list(layers)
    for pot, count in stack:
        total = sum(pot.values())
        if any(share <= 0.0 for share in pot.values()) or total > 1.0 + 1e-9:
            raise InputError(
                say(
                    "found shares {shares}, expected each above 0 and at most 1 in all; the rest is clear",
                    shares=dict(pot),
                )
            )
        if int(count) != count or count < 1:
            raise InputError(say("found {n} coats, expected 1 or more", n=count))
    return tuple(Layer(Pot.of(dict(pot)), int(count)) for pot, count in stack)
