"""The program against published values, on the machine that it runs on."""

from __future__ import annotations

import csv
import io
from importlib.resources import files
from time import perf_counter

import numpy as np
from numpy.typing import NDArray

from stainbook import __version__
from stainbook.colour import delta_e_2000, white_point
from stainbook.language import say
from stainbook.optics.interfaces import diffuse_reflectance, fresnel, internal_reflectance
from stainbook.optics.streams import lambertian, lay_on, seen_outside, slab
from stainbook.photo.tissue_families import OXYGENATED, REDUCED
from stainbook.work.documents.check_schemas import SelfCheck, SelfcheckResult

Floats = NDArray[np.float64]

_SHARMA = say("Sharma, Wu and Dalal 2005, Table 1")
_WHITES = say("ASTM E308 and CIE 15")
_BLOOD = say("compiled by Scott Prahl")
_FRESNEL = say("Fresnel's equations, integrated")
_LAWS = say("conservation of light, and a layer in two halves")
_HALF_A_DIGIT = 5e-5  # the table has four decimals
_WHITES_APART = 0.025  # tables of one light differ by so much among themselves
_TABLE = 1e-4  # of a value: the digits that the table is kept by
_LAYERS = 1e-6


def selfcheck() -> SelfcheckResult:
    """Compare the formulas with published values and with laws that hold exactly; takes a second or two."""
    began = perf_counter()
    checks = [_sharma(), _whites(), _blood(), _fresnel(), _laws()]
    return SelfcheckResult(
        ok=all(one.ok for one in checks), version=__version__, seconds=perf_counter() - began, checks=checks
    )


def shipped_rows(name: str) -> list[dict[str, str]]:
    """The rows of a published table as the package carries it."""
    text = (files("stainbook.work.app") / "published" / name).read_text(encoding="utf-8")
    lines = (line for line in text.splitlines() if line and not line.startswith("#"))
    return list(csv.DictReader(io.StringIO("\n".join(lines))))


def _sharma() -> SelfCheck:
    rows = np.array([[float(value) for value in row.values()] for row in shipped_rows("ciede2000_sharma2005.csv")])
    one, other, told = rows[:, 1:4], rows[:, 4:7], rows[:, 7]
    apart = np.concatenate([delta_e_2000(one, other) - told, delta_e_2000(other, one) - told])
    return _check(say("colour difference CIEDE2000"), apart, _HALF_A_DIGIT, _SHARMA)


def _whites() -> SelfCheck:
    apart = [
        white_point(row["illuminant"], int(row["observer"]))[[0, 2]] - [float(row["X"]), float(row["Z"])]
        for row in shipped_rows("white_points.csv")
    ]
    return _check(say("white points of lights"), np.concatenate(apart), _WHITES_APART, _WHITES)


def _blood() -> SelfCheck:
    rows = shipped_rows("blood_extinction.csv")
    table = np.array([[float(row["oxygenated"]), float(row["reduced"])] for row in rows]).T
    apart = np.array([OXYGENATED, REDUCED]) / table - 1.0
    return _check(say("absorption of blood"), apart, _TABLE, _BLOOD)


def _fresnel() -> SelfCheck:
    apart = []
    for row in shipped_rows("fresnel_diffuse.csv"):
        n, digit = float(row["n"]), 10.0 ** -int(row["decimals"])
        ours = (float(fresnel(1.0, n)), diffuse_reflectance(n), internal_reflectance(n))
        told = (float(row[name]) for name in ("normal", "diffuse", "diffuse_inside"))
        apart += [(one - other) / digit for one, other in zip(ours, told, strict=True)]  # in units of its last digit
    return _check(say("reflectance of smooth faces"), np.array(apart), 0.51, _FRESNEL)


def _laws() -> SelfCheck:
    """Scattering loses no light; a layer is two halves of it, over white and black."""
    S = np.linspace(0.0, 20.0, 41)
    R, T = slab(np.zeros_like(S), S)
    lost = [sum(np.broadcast_to(one[place], S.shape) for one in (R, T) for place in places) for places in _COLUMNS]
    K = np.linspace(0.0, 2.0, 41)
    halves = []
    for behind in (0.0, 0.5, 1.0):
        base = lambertian(np.full_like(S, behind))
        whole = seen_outside(lay_on(*slab(K, S), base))
        half = slab(0.5 * K, 0.5 * S)
        halves.append(seen_outside(lay_on(*half, lay_on(*half, base))) - whole)
    return _check(say("laws of layers"), np.concatenate([*(one - 1.0 for one in lost), *halves]), _LAYERS, _LAWS)


_COLUMNS = ((0, 2), (1, 3))  # of a matrix of two by two, by its elements


def _check(name: str, apart: Floats, allowed: float, source: str) -> SelfCheck:
    largest = float(np.abs(apart).max())
    return SelfCheck(
        check=name, values=apart.size, largest=largest, allowed=allowed, ok=bool(largest <= allowed), source=source
    )
