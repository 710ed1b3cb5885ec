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
    """What a stripe would leave of its stain's doubt, as a root (k, k) upon the k columns of the stain's factor.

    Parameters
    ----------
    plate : the bare plate's reading (31,)
    stain, share, coats : of the stripe
    families : (kind, family) of stains that may have no chip yet
    """
    layers = (Layer(Pot.of({stain: share}), coats),)
    (found,) = forecast(optics, plate, [layers], key="stripe", families=families)
    noise = model_covariance() + READING_SD**2 * (1.0 + np.eye(found.ln_mean.size))
    for name in ("hand stripe 1", "firing"):
        noise = noise + found.sources[name].T @ found.sources[name]
    return posterior_root(found.sources[f"fit {stain}"], noise)


def posterior_root(rows: Array, noise: Array) -> Array:
    """Root (k, k) of the covariance of k standard numbers, once a reading that moves by ``rows`` (k, n) was taken.

    noise : (n, n) covariance of the reading with these numbers known
    """
    information = rows @ np.linalg.solve(noise, rows.T)
    values, vectors = np.linalg.eigh(0.5 * (information + information.T))
    return np.asarray((vectors / np.sqrt(1.0 + np.maximum(values, 0.0))) @ vectors.T)
