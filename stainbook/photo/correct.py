"""From camera RGB to tristimulus values: a 3x3 fitted on what a zone may be made of.

A chart's paints hold neither blood nor enamel, so a matrix fitted on them alone errs by several ΔE00 on gum. Here the
camera RGB of likely reflectances is predicted by the estimated response and the matrix is fitted on these, with
the chart beside them at a small weight. A matrix keeps exposure out of it; more terms fit paints better and tissue
worse.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import delta_e_2000_metric, xyz_to_lab
from stainbook.colour.cielab import lab_by_xyz

Floats = NDArray[np.float64]

CHART_SHARE = 0.3  # weight of all patches together beside the prior's reflectances together
NEAR = 10.0  # ΔE*ab: how far from the zone's colour a reflectance may lie and still count fully
FAR_SHARE = 0.05  # weight of those that lie far off
UNLIKE = 12.0  # ΔE*ab to the nearest likely reflectance, from which they are not what the zone is made of
RIDGE = 1e-12  # of the trace
ROUNDS = 2  # the zone's colour must be known to tell what is near it


def fit_matrix(rgb: Floats, xyz: Floats, white: Floats, weight: Floats) -> Floats:
    """The matrix M (3, 3) with xyz ≈ rgb @ M.T that is least wrong in ΔE00.

    rgb, xyz : (n, 3); white : (3,); weight : (n,), of each sample
    """
    return _solved(*_equations(rgb, xyz, white), weight)


def left_out_lab(rgb: Floats, xyz: Floats, white: Floats) -> Floats:
    """L*, a*, b* (n, 3) of each patch by a matrix fitted on the others."""
    rows, wanted = _equations(rgb, xyz, white)
    keep = 1.0 - np.eye(len(rgb))
    return xyz_to_lab(
        np.array([_solved(rows, wanted, one) @ value for one, value in zip(keep, rgb, strict=True)]), white
    )


def _equations(rgb: Floats, xyz: Floats, white: Floats) -> tuple[Floats, Floats]:
    """Rows (n, 3, 9) and right sides (n, 3) whose squared misses are those of ΔE00 near each colour."""
    metric = delta_e_2000_metric(xyz_to_lab(xyz, white)) + 1e-9 * np.eye(3)
    steep = np.linalg.cholesky(metric).mT @ lab_by_xyz(xyz, white)
    rows = np.einsum("nij,nk->nijk", steep, rgb).reshape(len(rgb), 3, 9)
    return rows, np.einsum("nij,nj->ni", steep, xyz)


def _solved(rows: Floats, wanted: Floats, weight: Floats) -> Floats:
    weighted = rows * weight[:, np.newaxis, np.newaxis]
    normal = np.einsum("nij,nik->jk", weighted, rows)
    ridge = RIDGE * np.trace(normal) * np.eye(9)
    right = np.einsum("nij,ni->j", weighted, wanted)
    return np.asarray(np.linalg.solve(normal + ridge, right).reshape(3, 3))


class ZoneValues(NamedTuple):
    """Tristimulus values (m, 3) of zones, their matrices (m, 3, 3), which (m,) are like the prior."""

    xyz: Floats
    matrix: Floats
    like_prior: NDArray[np.bool_]


def zone_values(
    rgb: Floats,
    white: Floats,
    prior: tuple[Floats, Floats] | None,
    chart: tuple[Floats, Floats],
    *,
    chart_tells: bool = True,
    unlike: float = UNLIKE,
) -> ZoneValues:
    """Tristimulus values of zones of one kind; a zone unlike anything in the prior is met by the chart alone.

    Parameters
    ----------
    rgb : (m, 3) float, linear camera RGB of the zones
    white : (3,) float, of the tristimulus values
    prior, chart : camera RGB (n, 3) and tristimulus values (n, 3)
    chart_tells : False for greys, which tell nothing of colour and are never used alone
    unlike : ΔE*ab to the nearest of the prior, from which a zone is not like it
    """
    alone = _Samples.of(None, chart, white)
    if prior is None:
        return _values(rgb, np.array([alone.near(one) for one in rgb]), np.zeros(len(rgb), dtype=bool))
    both = _Samples.of(prior, chart, white)
    matrices = np.array([both.near(one) for one in rgb])
    likely = xyz_to_lab(prior[1], white)
    found = xyz_to_lab(np.einsum("mij,mj->mi", matrices, rgb), white)
    like = np.linalg.norm(found[:, np.newaxis] - likely, axis=-1).min(axis=1) < unlike
    if chart_tells:
        matrices[~like] = np.array([alone.near(one) for one in rgb[~like]]).reshape(-1, 3, 3)
    return _values(rgb, matrices, like)


def _values(rgb: Floats, matrices: Floats, like: NDArray[np.bool_]) -> ZoneValues:
    return ZoneValues(np.einsum("mij,mj->mi", matrices, rgb), matrices, like)


@dataclass(frozen=True, slots=True, eq=False)
class _Samples:
    """What a matrix is fitted on, with the rows of its equations made once."""

    rows: Floats  # (n, 3, 9), least squares in ΔE00
    wanted: Floats  # (n, 3)
    weight: Floats
    lab: Floats
    white: Floats

    @classmethod
    def of(cls, prior: tuple[Floats, Floats] | None, chart: tuple[Floats, Floats], white: Floats) -> _Samples:
        rgb, xyz, weight = _stacked(prior, chart)
        rows, wanted = _equations(rgb, xyz, white)
        return cls(rows, wanted, weight, xyz_to_lab(xyz, white), white)

    def near(self, rgb: Floats) -> Floats:
        """The matrix (3, 3) that is best for colours near this one."""
        matrix = _solved(self.rows, self.wanted, self.weight)
        for _ in range(ROUNDS):
            away = np.linalg.norm(self.lab - xyz_to_lab(matrix @ rgb, self.white), axis=-1)
            near = np.exp(-0.5 * (away / NEAR) ** 2)
            matrix = _solved(self.rows, self.wanted, self.weight * (FAR_SHARE + near))
        return matrix


def _stacked(prior: tuple[Floats, Floats] | None, chart: tuple[Floats, Floats]) -> tuple[Floats, Floats, Floats]:
    if prior is None:
        return chart[0], chart[1], np.full(len(chart[0]), 1.0 / len(chart[0]))
    weight = [np.full(len(prior[0]), 1.0 / len(prior[0])), np.full(len(chart[0]), CHART_SHARE / len(chart[0]))]
    return np.vstack([prior[0], chart[0]]), np.vstack([prior[1], chart[1]]), np.concatenate(weight)
