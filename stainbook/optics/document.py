"""Learnt optics as a plain document and a block of bytes, and back: what the book keeps of a fit."""

from __future__ import annotations

import io
import zipfile
import zlib
from dataclasses import asdict, replace
from typing import Any

import numpy as np

from stainbook.errors import message
from stainbook.language import say
from stainbook.optics.ceramic import Ceramic
from stainbook.optics.curves import LN_S, SIZE, Optics, Pooled, StainCurve, Unstated
from stainbook.optics.two_by_two import Array

LAYOUT = 2  # raised when the arrays change their meaning
WITHOUT_DEPTH = 1  # the layout before it: liquids went in without an end, and had no depth
ENDLESS = 5.0  # ln depth beyond which nothing more is seen
MOST_BYTES = 2**26  # of all arrays unpacked: those of a thousand stains; a fit may come from another lab
_DAMAGE = (
    ValueError, EOFError, KeyError, TypeError, AttributeError, MemoryError, OverflowError, RuntimeError,
    zipfile.BadZipFile, zlib.error,
)  # fmt: skip


def to_document(optics: Optics) -> tuple[dict[str, Any], bytes]:
    """A JSON-able document with every mean value, and the factors of doubt as compressed arrays.

    >>> from stainbook.optics.curves import Optics, expected_curve
    >>> from stainbook.optics.document import to_document
    >>> document, arrays = to_document(Optics({"husk": expected_curve("husk", "surface", "brown")}))
    >>> [stain["name"] for stain in document["stains"]], arrays[:2]
    (['husk'], b'PK')
    """
    document: dict[str, Any] = {
        "layout": LAYOUT,
        "operator": optics.operator,
        "pooled": asdict(optics.pooled),
        "unstated": asdict(optics.unstated),
        "ceramics": {material: asdict(c) for material, c in optics.ceramics.items()},
        "stains": [
            {"name": s.name, "kind": s.kind, "family": s.family, "chips": s.chips, "darkest": s.darkest}
            | {"mean": s.mean.tolist()}
            for s in optics.stains.values()
        ],
    }
    buffer = io.BytesIO()
    factors = {f"factor_{i}": s.factor.astype(np.float32) for i, s in enumerate(optics.stains.values())}
    stains = enumerate(optics.stains.values())
    shared = {f"shared_{i}": s.shared.astype(np.float32) for i, s in stains if s.shared is not None}
    np.savez_compressed(buffer, allow_pickle=False, **factors, **shared)
    return document, buffer.getvalue()


def from_document(document: dict[str, Any], data: bytes) -> Optics:
    """The optics that `to_document` wrote.

    Raises
    ------
    ValueError : for a layout that this version does not know, or arrays that do not fit the document

    >>> from stainbook.optics.curves import Optics
    >>> from stainbook.optics.document import from_document, to_document
    >>> from_document(*to_document(Optics({}, operator="bench-1"))).operator
    'bench-1'
    """
    if document.get("layout") not in (LAYOUT, WITHOUT_DEPTH):
        raise ValueError(
            say("a fit of layout {found!r}, expected {expected}", found=document.get("layout"), expected=LAYOUT)
        )
    pooled, rows = document["pooled"], document["stains"]
    stains = {
        row["name"]: StainCurve(
            row["name"],
            row["kind"],
            row["family"],
            _checked(np.asarray(row["mean"], dtype=float), (SIZE,)),
            factor,
            row["chips"],
            shared,
            row.get("darkest", 0.0),
        )
        for row, (factor, shared) in zip(rows, _factors(data, len(rows)), strict=True)
    }
    if document["layout"] == WITHOUT_DEPTH:
        stains = {name: _endless(curve) if curve.kind == "infiltrating" else curve for name, curve in stains.items()}
    return Optics(
        stains,
        {material: Ceramic(**values) for material, values in document["ceramics"].items()},
        Pooled(hand=pooled["hand"], **{key: tuple(pooled[key]) for key in pooled if key != "hand"}),
        document["operator"],
        Unstated(**document.get("unstated", {})),
    )


def _endless(curve: StainCurve) -> StainCurve:
    """A liquid of a fit of before: it goes as deep as can be seen, which is how it was fitted."""
    mean, factor = curve.mean.copy(), curve.factor.copy()
    mean[LN_S], factor[LN_S] = ENDLESS, 0.0
    return replace(curve, mean=mean, factor=factor)


def _factors(data: bytes, count: int) -> list[tuple[Array, Array | None]]:
    """Of each stain what `StainCurve` has as ``factor`` and ``shared``."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            size = sum(one.file_size for one in packed.infolist())
        if size > MOST_BYTES:
            raise ValueError(say("{found} MB, expected {most} at most", found=size >> 20, most=MOST_BYTES >> 20))
        with np.load(io.BytesIO(data), allow_pickle=False) as arrays:
            own = [np.asarray(arrays[f"factor_{i}"], dtype=float) for i in range(count)]
            names = [f"shared_{i}" for i in range(count)]
            shared = [np.asarray(arrays[name], dtype=float) if name in arrays else None for name in names]
            return list(zip(own, shared, strict=True))
    except _DAMAGE as error:
        raise ValueError(
            say("arrays that cannot be read or do not fit the document: {error}", error=message(error))
        ) from error


def _checked(array: Array, shape: tuple[int, ...]) -> Array:
    if array.shape != shape:
        raise ValueError(say("an array of shape {found}, expected {expected}", found=array.shape, expected=shape))
    return array
