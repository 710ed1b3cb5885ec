"""How noisy chips are, from what the fit leaves of them: two variances by restricted maximum likelihood.

Readings state how they repeat, but an instrument may be noisier, a sample sit less evenly, the model fit less well.
What chips miss the model by has two parts beside the stated noise: one of each band on its own, one of all bands
together. A fit takes some of both up; how much is known from its normal matrix, so that few chips do not look
better than they are. Both are drawn towards what is usual, and one wrong chip counts no more than a wild one.

References
----------
Patterson HD, Thompson R. Biometrika 1971;58:545-54 (restricted maximum likelihood). The step is the fixed point of its
score: a variance grows by the ratio of the squares found to those expected.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from stainbook.optics.curves import BANDS, MODEL_BAND_SD, MODEL_LEVEL_SD, Pooled
from stainbook.optics.fit import Group, Solution, jacobian
from stainbook.optics.two_by_two import Array

BAND_WEIGHT = 2 * BANDS  # bands' worth of trust in the usual band noise: that of two chips
LEVEL_WEIGHT = 10  # chips' worth of trust in the usual level
WILDEST = 6.0  # expected squares: a chip further off counts as so far, else one wrong chip makes a noisy instrument


def noise_of(groups: Sequence[Group], solutions: Sequence[Solution], used: Pooled) -> tuple[float, float]:
    """Band noise and level of a lab's chips, one step likelier than those that the solutions were fitted under."""
    parts = [_squares(group, solution) for group, solution in zip(groups, solutions, strict=True)]
    if not parts:
        return used.band, used.level
    found, expected = (np.concatenate([part[k] for part in parts], axis=1) for k in (0, 1))  # (2, chips) each
    found = np.minimum(found, WILDEST * expected)
    usual = (used.band, MODEL_BAND_SD, BAND_WEIGHT), (used.level, MODEL_LEVEL_SD, LEVEL_WEIGHT)
    band, level = (
        sd * np.sqrt((q.sum() + weight * before**2 / sd**4) / (t.sum() + weight / sd**2))
        for (sd, before, weight), q, t in zip(usual, found, expected, strict=True)
    )
    return float(band), float(level)


def _squares(group: Group, solution: Solution) -> tuple[Array, Array]:
    """Squares found and expected (2, n) of each chip: of its bands each, and of all together."""
    J = jacobian(group, solution.theta, solution.hand, group.target - solution.residual)
    precision = np.einsum("nvw,nvu->nwu", group.whiten, group.whiten)
    weighed = np.einsum("nwu,nu->nw", precision, solution.residual)
    leverage = precision @ J  # (n, 31, p)
    taken = np.einsum("nwp,pq,nuq->nwu", leverage, solution.covariance, leverage, optimize=True)
    left = precision - taken
    found = np.array([(weighed**2).sum(axis=1), weighed.sum(axis=1) ** 2])
    expected = np.array([np.einsum("nww->n", left), left.sum(axis=(1, 2))])
    return found, np.maximum(expected, 1e-12)
