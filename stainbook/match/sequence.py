"""The sequence from the unsintered piece: liquids first, then, once it was sintered and read, surface stain.

A liquid is chosen by the chance that surface stain can finish what it leaves: over where the sintered piece may
come to lie (doubt of blank, run, liquid and hand) each point looks for the layer that brings it to its target.
Coats only add, so a liquid aims short: never past the target's chroma, never below its value.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import lab_to_lch
from stainbook.match.candidates import Search
from stainbook.match.later import Corrections, corrected
from stainbook.match.problem import Start, ZoneProblem
from stainbook.match.response import Soaking
from stainbook.optics.film import Piece
from stainbook.optics.two_by_two import Array

SPARE = 0.3  # L*, C* by which a liquid may seem to go past, for rounding
_NOWHERE = 1e-9  # squared ΔE00: there is no way to go
_AXIS = np.sqrt(3.0)  # two points on each of three axes carry a normal's mean and covariance


@dataclass(frozen=True, slots=True, eq=False)
class Stages:
    """The surface stain that may follow on one zone, in so many firings; none where nothing may be laid on."""

    corrections: Corrections | None
    firings: int

    def chance(self, steps: Array, covariance: Array) -> Array:
        """(m,) chance that colours at steps (m, 3) with covariance (m, 3, 3) are in tolerance in the end."""
        assert self.corrections is not None
        root = _AXIS * np.swapaxes(np.linalg.cholesky(covariance + 1e-9 * np.eye(3)), 1, 2)
        points = (steps[:, None] + np.concatenate([root, -root], axis=1)).reshape(-1, 3)
        there = np.linalg.norm(points, axis=1) <= self.corrections.limit
        won = there.astype(float)
        if self.firings > 0 and not there.all():
            won[~there] = corrected(self.corrections, -points[~there], 1)[0]
        return np.asarray(won.reshape(len(steps), -1).mean(axis=1))


def aims_short(search: Search, lab: Array) -> NDArray[np.bool_]:
    """(m,) whether colours (m, 3) are neither past the target's chroma nor below its value, nor past the lab's cap."""
    frame = search.frame
    chroma, goal = lab_to_lch(lab)[..., 1], lab_to_lch(frame.target)[1]
    short = np.asarray((chroma <= goal + SPARE) & (lab[..., 0] >= frame.target[0] - SPARE))
    if search.way is None:
        return short
    start, most = search.way
    gone = (start - frame.steps(lab)) @ start / max(float(start @ start), _NOWHERE)  # 1 is level with the target
    return np.asarray(short & (gone <= most))


def sintered(problem: ZoneProblem, search: Search, row: NDArray[np.int_] | None) -> ZoneProblem:
    """The zone after sintering, with the liquids of one stack (L,) in it or none, as surface stain meets it."""
    piece = problem.now.piece
    if row is not None and isinstance(search.response, Soaking):
        (after,) = replace(search.response, glazed=False).after(piece, row[None])
        piece = Piece(after, piece.surface, piece.stray, piece.ceramic)
    start = Start(piece, f"{problem.now.name} sintered", problem.now.covariance, problem.now.stray_sd)
    return replace(problem, now=start, bare=None, firings_of={})
