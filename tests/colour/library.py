"""The one door to colour-science: what tests hold our own to, and where the tables that ship come from.

It is no dependency of the package. It takes most of a second to import, so it is imported inside the functions. Its
process-wide domain-range scale is never touched.
"""

from __future__ import annotations

import warnings
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

FIRST_NM, LAST_NM = 360, 780  # practice range of ASTM E308


def colour_science() -> Any:
    """The colour-science module, without its note that Matplotlib is missing."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message='.*"Matplotlib".*')
        import colour
    return colour


@lru_cache(maxsize=1)
def library_illuminants() -> tuple[str, ...]:
    """Names of all illuminants in the library of colour-science, as it spells them."""
    return tuple(colour_science().SDS_ILLUMINANTS.keys())


def illuminant_spd(name: str) -> NDArray[np.float64]:
    """Relative power of a library illuminant at 360-780 nm by 1 nm, (421,); ``name`` as the library spells it."""
    colour = colour_science()
    shape = colour.SpectralShape(FIRST_NM, LAST_NM, 1)
    spd = colour.SDS_ILLUMINANTS[name].copy().align(shape)
    return np.asarray(spd.values, dtype=np.float64)


def observer_cmfs(observer: int) -> NDArray[np.float64]:
    """Colour-matching functions of the CIE 1931 (2) or 1964 (10) observer, 360-780 nm by 1 nm, (421, 3)."""
    colour = colour_science()
    name = {2: "CIE 1931 2 Degree Standard Observer", 10: "CIE 1964 10 Degree Standard Observer"}[observer]
    shape = colour.SpectralShape(FIRST_NM, LAST_NM, 1)
    return np.asarray(colour.MSDS_CMFS[name].copy().align(shape).values, dtype=np.float64)
