"""From possible colours to what is told of a move: expected ΔE00, its range, the chance of being accepted."""

from __future__ import annotations

import zlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import delta_e_2000, delta_e_2000_metric
from stainbook.match.frame import TargetFrame
from stainbook.match.lights import InLight, Lights, seen_in
from stainbook.match.problem import ZoneProblem
from stainbook.optics.forecast import normals
from stainbook.optics.two_by_two import Array

INSIDE = 0.9  # of what comes out: the claimed radius
_ABOUT = 8  # draws on either side of that one, whose ΔE00 is averaged
DRAWS = 512  # possible outcomes of each move; chances are good to 0.02, and moves of a zone share their luck


@dataclass(frozen=True, slots=True, eq=False)
class Odds:
    """Of ``n`` moves of one zone: likeliest L*, a*, b* (n, 3), ΔE00 of every draw (n, draws), what is told of them.

    ``needs`` (n, draws, 3) is the way from each draw to its target, in the target's space; ``hits`` (n, draws)
    whether a draw is in tolerance in all lights, ``holds`` (n,) how often it is in the further lights where it is
    under the target's, ``lights`` what is told of each, ``radius`` (n,) the ΔE00 about ``lab`` that holds 9 in
    10 draws.
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
    radius: Array


def odds_of(problem: ZoneProblem, frame: TargetFrame, ln_xyz: Array, draws: Array) -> Odds:
    """Chances and differences of steps whose likeliest ln X, Y, Z are (n, 3 l) and possible ones (n, draws, 3 l).

    The l lights are the target's, then the further ones whose target is known.
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
        radius=radius_about(lab, possible),
    )


def radius_about(lab: Array, possible: Array) -> Array:
    """(n,) ΔE00 about each colour (n, 3) that holds 9 in 10 of its draws (n, draws, 3).

    The draws are set in order by the quadratic form of ΔE00, and ΔE00 itself is worked out of those about the ninth
    tenth: a thirtieth of the cost of all.
    """
    off = possible - lab[:, None]
    square = np.einsum("ndi,nij,ndj->nd", off, delta_e_2000_metric(lab), off, optimize=True)
    draws = possible.shape[1]
    last = min(round(INSIDE * draws) + _ABOUT, draws)
    first = max(last - 2 * _ABOUT, 0)
    about = np.argpartition(square, [first, last - 1], axis=1)[:, first:last]
    edge = np.take_along_axis(possible, about[..., None], axis=1)
    return np.asarray(delta_e_2000(edge, lab[:, None]).mean(axis=1))


def target_draws(problem: ZoneProblem, count: int) -> Array:
    """Possible targets of a zone, drawn from the doubt of its target; zones with one target share its errors.

    Parameters
    ----------
    problem : the zone
    count : draws

    Returns
    -------
    (count, 3) float, L*, a*, b*; (1, 3) for a target without doubt

    >>> import numpy as np
    >>> from stainbook.colour import thresholds
    >>> from stainbook.match import Start, ZoneProblem
    >>> from stainbook.match.odds import target_draws
    >>> from stainbook.optics.ceramic import Ceramic
    >>> from stainbook.optics.film import Piece
    >>> from stainbook.records import Viewing
    >>> now = Start(Piece(np.full(31, 0.5), "glazed", 0.0, Ceramic.of("zirconia")), "11 middle")
    >>> seen, doubt = (Viewing(), thresholds("tooth")), 0.04 * np.eye(3)
    >>> zone = ZoneProblem((11, "middle"), "tooth", now, (73.0, 1.0, 5.0), *seen, target_covariance=doubt)
    >>> target_draws(zone, 512).mean(axis=0).round(1).tolist()
    [73.0, 1.0, 5.0]
    """
    target = np.asarray(problem.target, dtype=float)[None]
    if problem.target_covariance is None:
        return target
    values, vectors = np.linalg.eigh(problem.target_covariance)
    rows = (vectors * np.sqrt(np.maximum(values, 0.0))).T
    name = f"target {zlib.crc32(np.round(target, 6).tobytes())} {problem.viewing.illuminant} {problem.viewing.observer}"
    return np.asarray(target + normals(name, count, 3) @ rows)
