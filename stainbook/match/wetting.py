"""Whether it pays to read a matt piece under a film: of what is unsure, how much is stray light of its dry face."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from stainbook.match.frame import TargetFrame
from stainbook.optics.forecast import Forecasts

HALF = 0.5  # of the standard deviation


def halved_by_film(view: Forecasts, frames: Sequence[TargetFrame]) -> NDArray[np.bool_]:
    """Whether a film of water or glycerine at the reading would have halved the doubt of each forecast.

    Under a film of about the index of glass a matt face has no stray light of its own.

    Parameters
    ----------
    view : n forecasts in ln X, Y, Z, those of further lights behind the target's
    frames : n, of the target of each

    Returns
    -------
    (n,) bool; False wherever no dry matt face was read
    """
    every, of_face = np.zeros((2, len(frames)))
    if not any(_is_face(name) for name in view.sources):
        return of_face > every
    maps = np.array([one.of_ln for one in frames])
    for name, parts in view.sources.items():
        for stacks, rows in parts:
            square = np.square(rows[..., :3] @ maps[stacks]).sum(axis=(1, 2))
            np.add.at(every, stacks, square)
            if _is_face(name):
                np.add.at(of_face, stacks, square)
    return np.asarray(every - of_face <= HALF**2 * every) & (of_face > 0.0)


def _is_face(source: str) -> bool:
    return source.startswith("surface ")
