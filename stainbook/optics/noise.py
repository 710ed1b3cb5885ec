"""How noisy a lab's readings are beyond what they state, from what the fit leaves of the chips.

A reading states how it repeats, or common practice does; an instrument may be noisier, a sample sit less evenly, the
optics fit this lab less well. The noise of single bands is told before any fit, from what no pigment shows. Two
variances more come by restricted maximum likelihood: of all bands together, and of an error that is a share of the
change that the stain makes. What the fit took up of them is known from its normal matrix, so that few chips do not
look better than they are. None is below 0: a lab whose chips agree as stated stays as it is. A chip that is far
off counts no more than a wild one.

References
----------
Patterson HD, Thompson R. Biometrika 1971;58:545-54 (restricted maximum likelihood), by steps of Fisher's scoring.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from stainbook.optics.causes import SHIFT_SD, by_name, change_rows
from stainbook.optics.curves import BANDS, Unstated
from stainbook.optics.fit import MODEL_LEVEL_SD, FiredChip, Group, Solution, by_body, jacobian
from stainbook.optics.two_by_two import Array

PRIOR_CHIPS = 4.0  # chips' worth of trust in what is stated: less evidence than that of a few chips moves nothing
WILDEST = 4.0  # usual squares: a chip further off counts as so far, else one wrong chip makes a noisy instrument
LARGEST = 0.2**2
PIGMENT_SD = 0.002  # of ln reflectance: what third differences leave of pigments, in simulated labs
NEAR = 0.15  # of a variance
MEDIAN_OF_NORMAL = 0.6745  # of the size of a standard normal number


@dataclass(frozen=True, slots=True, eq=False)
class _Evidence:
    """Of each of n chips: squares found (n, 2), their expectation, and what one variance adds to that of another."""

    found: Array
    expected: Array
    information: Array  # (n, 2, 2)


def first_guess(chips: Sequence[FiredChip]) -> Unstated:
    """The noise of single bands that no pigment can show: what differs between neighbouring bands of a stripe.

    Third differences take off all that is smooth; the median of all stripes and bands passes over narrow lines and
    wrong stripes. A fit that begins without it takes noise for colour.
    """
    if not chips:
        return Unstated()
    rough = np.diff([np.log(chip.reading / chip.body_reading) for chip in chips], n=3, axis=1) / np.sqrt(20.0)
    seen = (float(np.median(np.abs(rough))) / MEDIAN_OF_NORMAL) ** 2
    stated = float(np.median([np.median(np.diag(chip.covariance) - chip.covariance[0, -1]) for chip in chips]))
    return Unstated(band=float(np.sqrt(max(seen - stated - PIGMENT_SD**2, 0.0) / 2.0)))


def unstated_of(fitted: Sequence[tuple[Group, Solution]], used: Unstated) -> Unstated:
    """Level and share, a step likelier than those of ``used``, under which the groups were fitted; its band stays."""
    parts = [_evidence(group, solution) for group, solution in fitted]
    if not parts:
        return used
    found, expected, information = (
        np.concatenate([getattr(part, name) for part in parts]) for name in ("found", "expected", "information")
    )
    usual = np.maximum(np.median(found / expected, axis=0), 1.0)  # of half the chips or more, wild is what is usual
    found = np.minimum(found, WILDEST * usual * expected)
    middle = np.median(np.diagonal(information, axis1=1, axis2=2), axis=0)
    score = (found - expected).sum(axis=0) - np.sqrt(2.0 * PRIOR_CHIPS * middle)
    total = information.sum(axis=0)
    level, share = np.sqrt(np.minimum(_raised(np.square([used.level, used.share]), score, total), LARGEST))
    return Unstated(used.band, float(level), float(share))


def near(one: Unstated, other: Unstated) -> bool:
    """True where fits under the one and the other agree."""
    level = abs(one.level**2 - other.level**2) / (MODEL_LEVEL_SD**2 + max(one.level, other.level) ** 2)
    share = abs(one.share**2 - other.share**2) / (SHIFT_SD**2 + max(one.share, other.share) ** 2)
    return max(level, share) <= NEAR


def with_shared_plates(group: Group, solution: Solution, unstated: Unstated) -> Solution:
    """The solution with the doubt that stripes share whose plate was read once.

    The fit weighs each stripe as if its plate's error were its own: the part that they share does not average out.
    """
    if not unstated.noisy:
        return solution
    J = jacobian(group, solution.theta, solution.hand, group.target - solution.residual)
    weighed = solution.pull[:, None, None] * np.swapaxes(J, 1, 2) @ np.swapaxes(group.whiten, 1, 2) @ group.whiten
    moves = solution.covariance @ (weighed * by_body(group, solution)[:, None])  # (n, p, 31) by ln of the plate
    noise, more = unstated.reading(), np.zeros_like(solution.covariance)
    for _, chips in by_name([chip.body for chip in group.chips]):
        together = moves[chips].sum(axis=0)
        more += together @ noise @ together.T - np.einsum(
            "npv,vw,nqw->pq", moves[chips], noise, moves[chips], optimize=True
        )
    return replace(solution, covariance=solution.covariance + more)


def _raised(before: Array, score: Array, information: Array) -> Array:
    """One step of scoring in variances that may not fall below 0: those that would, the surest first, are left at 0."""
    free = np.ones(before.size, dtype=bool)
    after = np.zeros(before.size)
    while free.any():
        right = score[free] + information[np.ix_(free, ~free)] @ before[~free]  # what is left at 0 has moved by -before
        after[free] = before[free] + np.linalg.solve(information[np.ix_(free, free)], right)
        if after.min() >= 0.0:
            break
        free[np.argmin(after * np.sqrt(information.diagonal()))] = False
        after[~free] = 0.0
    return after


def _evidence(group: Group, solution: Solution) -> _Evidence:
    model = group.target - solution.residual
    J = jacobian(group, solution.theta, solution.hand, model)
    precision = np.einsum("nvw,nvu->nwu", group.whiten, group.whiten)
    weighed = np.einsum("nwu,nu->nw", precision, solution.residual)
    leverage = precision @ J  # (n, 31, p)
    left = precision - leverage @ (solution.covariance @ np.swapaxes(leverage, 1, 2))
    adds = _added(model, group)  # (2, n, 31, 31)
    products = left[None] @ adds
    return _Evidence(
        np.einsum("nv,knvw,nw->nk", weighed, adds, weighed),
        np.maximum(np.einsum("knvv->nk", products), 1e-12),
        np.einsum("knvw,lnwv->nkl", products, products),
    )


def _added(model: Array, group: Group) -> Array:
    """(2, n, 31, 31) what one unit of each variance adds to a chip's covariance; two readings make a chip."""
    rows = change_rows(model - np.log(np.array([chip.body_reading for chip in group.chips])), 1.0)
    return np.stack([np.full((len(model), BANDS, BANDS), 2.0), np.swapaxes(rows, 1, 2) @ rows])
