"""What a stripe that was not fired yet would teach: the doubt of its stain before and after it.

To first order in the stain's numbers (Gaussian, as the fit's own covariance is): the stripe's reading holds them by
how it depends on them, against what the reading, the hand and the model leave open.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from stainbook.optics.curves import Optics
from stainbook.optics.film import Piece
from stainbook.optics.fit import model_covariance
from stainbook.optics.forecast import forecast
from stainbook.optics.two_by_two import Array
from stainbook.records import Layer, Pot

READING_SD = 0.005  # of ln reflectance: seating the chip and the plate; common practice


def left_open(
    optics: Optics,
    plate: Piece,
    stain: str,
    share: float,
    coats: int,
    *,
    families: Mapping[str, tuple[str, str | None]] | None = None,
) -> Array:
    """The doubt of a stain after one more stripe of it, as a root (k, k) on the k columns of the stain's factor.

    Parameters
    ----------
    plate : the bare plate's reading (31,)
    stain, share, coats : of the stripe
    families : (kind, family) of stains that may have no stripe yet

    >>> import numpy as np
    >>> from stainbook.optics.curves import Optics
    >>> from stainbook.optics.film import Piece
    >>> from stainbook.optics.gain import left_open
    >>> plate = Piece(np.full(31, 0.6), "glazed", 0.0, Optics({}).ceramic("zirconia"))
    >>> root = left_open(Optics({}), plate, "husk", 1 / 4, 1, families={"husk": ("surface", "brown")})
    >>> len(root), round(float(np.square(root).sum()))  # variances of 1 before, and their sum after the stripe
    (64, 53)
    """
    layers = (Layer(Pot.of({stain: share}), coats),)
    (found,) = forecast(optics, plate, [layers], key="stripe", families=families)
    noise = model_covariance() + READING_SD**2 * (1.0 + np.eye(found.ln_mean.size))
    for name in ("hand stripe 1", "firing"):
        noise = noise + found.sources[name].T @ found.sources[name]
    return posterior_root(found.sources[f"fit {stain}"], noise)


def posterior_root(rows: Array, noise: Array) -> Array:
    """Root (k, k) of the covariance of k standard numbers after a reading that moves by ``rows`` (k, n) of one each.

    ``noise`` (n, n) is the covariance of the reading with these numbers known.
    """
    information = rows @ np.linalg.solve(noise, rows.T)
    values, vectors = np.linalg.eigh(0.5 * (information + information.T))
    return np.asarray((vectors / np.sqrt(1.0 + np.maximum(values, 0.0))) @ vectors.T)
