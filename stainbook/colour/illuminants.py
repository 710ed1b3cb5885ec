"""Light and observer: tables at 360-780 nm by 1 nm, the practice range of ASTM E308.

The common lights and both observers are in one file, rarer lights in another that is read when one is asked for.
``tests/tools/make_colour_tables.py`` makes both from colour-science (its licence lies beside them), and a test holds
them to it.
"""

from __future__ import annotations

import re
from functools import lru_cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from stainbook.errors import UnknownNameError
from stainbook.language import say

Floats = NDArray[np.float64]

SHIPPED_ILLUMINANTS = ("A", "D50", "D55", "D65", "F2", "F11", "LED-B3")
OBSERVERS = (2, 10)  # degrees: CIE 1931 and CIE 1964
FIRST_NM, LAST_NM = 360, 780


def illuminants() -> tuple[str, ...]:
    """Names of all illuminants that can be asked for.

    Returns
    -------
    tuple of str; the common ones first

    >>> from stainbook.colour import illuminants
    >>> illuminants()[:3]
    ('A', 'D50', 'D55')
    """
    return SHIPPED_ILLUMINANTS + tuple(name for name in _other_lights() if name != "nm")


@lru_cache(maxsize=256)
def illuminant_name(name: str) -> str:
    """The one spelling of an illuminant's name: ``d65`` → ``D65``, ``FL11`` → ``F11``, ``led b3`` → ``LED-B3``.

    Parameters
    ----------
    name : str, any case, with or without blanks and hyphens

    Returns
    -------
    str

    Raises
    ------
    UnknownNameError : for an illuminant that is not in the library

    >>> from stainbook.colour import illuminant_name
    >>> illuminant_name("d65")
    'D65'
    """
    wanted = _key(name)
    for known in SHIPPED_ILLUMINANTS:
        if _key(known) == wanted:
            return known
    for known in illuminants():
        if _key(known) == wanted:
            return known
    raise UnknownNameError(say("illuminant"), name, illuminants())


def checked_observer(observer: int) -> int:
    """The observer, once it is known to be 2 or 10 degrees.

    Raises
    ------
    UnknownNameError : for any other

    >>> from stainbook.colour.illuminants import checked_observer
    >>> checked_observer(10)
    10
    """
    if observer not in OBSERVERS:
        raise UnknownNameError(say("observer"), str(observer), [str(known) for known in OBSERVERS])
    return int(observer)


@lru_cache(maxsize=64)
def spd(illuminant: str) -> Floats:
    """Relative power of an illuminant (its one spelling) at 360-780 nm by 1 nm, (421,), read-only."""
    if illuminant in SHIPPED_ILLUMINANTS:
        return _table()[illuminant]
    return _other_lights()[illuminant]


@lru_cache(maxsize=2)
def cmfs(observer: int) -> Floats:
    """Colour-matching functions of an observer at 360-780 nm by 1 nm, (421, 3), read-only."""
    return _frozen(np.column_stack([_table()[f"{axis}{observer}"] for axis in "xyz"]))


@lru_cache(maxsize=1)
def _table() -> dict[str, Floats]:
    return _columns("cie_1nm.csv")


@lru_cache(maxsize=1)
def _other_lights() -> dict[str, Floats]:
    return {_short(name): column for name, column in _columns("other_lights_1nm.csv").items()}


def _columns(file: str) -> dict[str, Floats]:
    with files("stainbook.colour").joinpath(f"data/{file}").open(encoding="utf-8") as lines:
        names = next(lines).strip().split(",")
        values = np.loadtxt(lines, delimiter=",")
    return {name: _frozen(column.copy()) for name, column in zip(names, values.T, strict=True)}


def _frozen(array: Floats) -> Floats:
    array.setflags(write=False)
    return array


def _short(name: str) -> str:
    """CIE's own name, F2, for what tables call FL2."""
    return re.sub(r"^FL(?=\d)", "F", name)


def _key(name: str) -> str:
    return _short(re.sub(r"[\s_-]+", "", name).upper())
