"""From possible colours to what is told of a move: expected ΔE00, its range, the chance of being accepted."""

from __future__ import annotations

import zlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import delta_e_2000
from stainbook.match.frame import TargetFrame
from stainbook.match.lights import InLight, Lights, seen_in
from stainbook.match.problem import ZoneProblem
from stainbook.optics.forecast import normals
from stainbook.optics.two_by_two import Array

DRAWS = 512  # possible outcomes of each move; chances are good to 0.02, and moves of a zone share their luck


@dataclass(frozen=True, slots=True, eq=False)
class Odds:
    """Of ``n`` moves of one zone: likeliest L*, a*, b* (n, 3), ΔE00 of every draw (n, draws), what is told of them.

    ``needs`` (n, draws, 3) is the way from each draw to its target, in the target's space; ``hits`` (n, draws)
    whether a draw is in tolerance in all lights, ``holds`` (n,) how often it is in the further lights where it is
    under the target's, ``lights`` what is told of each.
    """

    lab: Array
    point: Array
    draws: Array
    hits: NDArray[np.bool_]
    needs: Array
    expected: Array
    low: Array
    high: Array
    accept: Array
    holds: Array
    lights: list[tuple[InLight, ...]]


def odds_of(problem: ZoneProblem, frame: TargetFrame, ln_xyz: Array, draws: Array) -> Odds:
    """The odds of moves whose likeliest ln X, Y, Z are (n, 3 l) and possible ones (n, draws, 3 l).

    They stand under the target's light, then under the further ones whose target is known.
    """
    targets = target_draws(problem, draws.shape[1])
    lab, possible = frame.lab(ln_xyz[:, :3]), frame.lab(draws[..., :3])
    dE = np.asarray(delta_e_2000(possible, targets))
    step = (targets - possible) @ frame.of_lab
    length = np.maximum(np.linalg.norm(step, axis=-1), 1e-9)
    limit = problem.thresholds.acceptable
    seen = seen_in(Lights.of(problem), frame, problem, ln_xyz, draws, dE) if problem.lights else None
    hits = (dE <= limit) & seen.hits if seen is not None else dE <= limit
    low, high = np.quantile(dE, [0.05, 0.95], axis=1)
    return Odds(
        lab=lab,
        point=np.asarray(delta_e_2000(lab, frame.target)),
        draws=dE,
        hits=hits,
        needs=step * (dE / length)[..., None],
        expected=dE.mean(axis=1),
        low=low,
        high=high,
        accept=hits.mean(axis=1),
        holds=seen.holds if seen is not None else np.ones(len(dE)),
        lights=seen.told if seen is not None else [()] * len(dE),
    )


def target_draws(problem: ZoneProblem, count: int) -> Array:
    """(count, 3) or (1, 3) possible targets; zones with one target share its errors."""
    target = np.asarray(problem.target, dtype=float)[None]
    if problem.target_covariance is None:
        return target
    values, vectors = np.linalg.eigh(problem.target_covariance)
    rows = (vectors * np.sqrt(np.maximum(values, 0.0))).T
    name = f"target {zlib.crc32(np.round(target, 6).tobytes())} {problem.viewing.illuminant} {problem.viewing.observer}"
    return np.asarray(target + normals(name, count, 3) @ rows)
