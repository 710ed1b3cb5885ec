"""The ceramic's face, fixed by chips of clear glaze alone.

Clear glaze changes the colour of a bare piece without any pigment: what it does tells the index that serves best for
this ceramic, how rough its matt face is and how much stray light each plate's reading holds. A rough face and stray
light look alike on one plate: a pale and a dark one tell them apart, if their faces are alike.

What the plates say of the next piece depends on whether pieces differ. Two answers are weighed by how well the plates
meet them: all faces of the lab are alike, so that the plates tell the next one; or each piece differs, so that two
plates tell little and what is common practice counts as much. Of faces finished in another way than the plates',
blasted beside as sintered, the second alone is true.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtr

from stainbook.optics.ceramic import INDEX_SD, MATT_STAGES, Ceramic, base_of, read_bare, through_face
from stainbook.optics.fit import FiredChip, model_covariance
from stainbook.optics.two_by_two import Array

# Stray light as reflectance, of zirconia: where all faces are finished alike, its scatter and what the lab's mean may
# be; where they differ, how far their mean lies from what is expected.
_ALIKE, _ALIKE_OF_EXPECTED, _ALIKE_MEAN_SD = 0.003, 0.45, 0.03
_MEAN_SD = 0.010
_ROUGH_SD = 0.3  # of the share of a face that spreads light: hardly anything is known of it
_NONE = 1e-6  # keeps what smooth faces do not have where it is
_SURE = 0.75  # chance that faces are alike, below which they count as differing
_NINE_IN_TEN = 1.645  # standard deviations of a normal number either way
_STEP = 1e-4
_STEPS = 25
_LOWEST, _HIGHEST = (1.3, 0.0, -0.1), (3.5, 1.0, 0.2)  # index, rough share, stray light


@dataclass(frozen=True, slots=True, eq=False)
class _Answer:
    """Index, rough share, the stray light of each plate and of the next piece; its doubt with the face known."""

    x: Array
    next_sd: float
    ln_evidence: float


def is_clear_on_bare(chip: FiredChip) -> bool:
    """True for a stripe that shows the effect of clear glaze alone on a bare face."""
    return read_bare(chip.body_surface) and chip.glazed and not any(layer.pot.shares for layer in chip.layers)


def fit_face(expected: Ceramic, chips: Sequence[FiredChip]) -> tuple[Ceramic, dict[str, float]]:
    """The ceramic as its clear-glaze stripes show it, and the stray light (reflectance factor) of each plate by name.

    The stray light of the next piece is a mixture of two normal models of equal prior weight: faces alike (scatter
    `_ALIKE`) and faces that differ (the scatter expected), or the second alone where plates leave it open. One plate
    agrees with none: then both have their prior weight.

    Parameters
    ----------
    expected : the ceramic without any stripe
    chips : clear-glaze stripes of this ceramic on bare plates (see `is_clear_on_bare`)
    """
    if not chips:
        return expected, {}
    bodies = sorted({chip.body for chip in chips})
    if not any(chip.body_surface == "matt" for chip in chips):
        smooth = _answer(expected, chips, bodies, None)
        known = dict(zip(bodies, smooth.x[2:-1].tolist(), strict=True))
        return replace(expected, index=float(smooth.x[0]), known=True), known
    alike = replace(expected, stray=_ALIKE_OF_EXPECTED * expected.stray, stray_sd=_ALIKE)
    both = [_answer(alike, chips, bodies, _ALIKE_MEAN_SD), _answer(expected, chips, bodies, _MEAN_SD)]
    evidence = np.array([one.ln_evidence if len(bodies) > 1 else 0.0 for one in both])
    weight = np.exp(evidence - evidence.max())
    weight /= weight.sum()
    if len(bodies) > 1 and weight[0] < _SURE:
        weight = np.array([0.0, 1.0])
    every = np.array([one.x for one in both])
    x = weight @ every
    face = replace(expected, index=float(x[0]), rough=float(x[1]), known=True)
    differ = both[1]
    sd = _nine_in_ten(weight, every[:, -1] - x[-1], np.array([one.next_sd for one in both]))
    found = replace(face, stray=float(x[-1]), stray_sd=sd)
    known = dict(zip(bodies, x[2:-1].tolist(), strict=True))
    stages = {chip.body_stage for chip in chips}
    stage = stages.pop() if len(stages) == 1 else None
    if stage not in MATT_STAGES:
        return found, known
    return replace(found, of_stage=stage, other_stray=float(differ.x[-1]), other_stray_sd=differ.next_sd), known


def _nine_in_ten(weight: Array, off: Array, sd: Array) -> float:
    """The deviation of the normal number within which nine in ten of a mixture lie, `off` from its middle."""
    low, high = 0.0, 10.0 * float(np.abs(off).max() + sd.max())
    for _ in range(50):
        middle = 0.5 * (low + high)
        inside = weight @ (ndtr((middle - off) / sd) - ndtr((-middle - off) / sd))
        low, high = (middle, high) if inside < 0.9 else (low, middle)
    return low / _NINE_IN_TEN


def _answer(expected: Ceramic, chips: Sequence[FiredChip], bodies: Sequence[str], mean_sd: float | None) -> _Answer:
    """The likeliest face where the lab's mean stray light lies so far from the expected; None: all faces are smooth."""
    place, count = {name: 2 + i for i, name in enumerate(bodies)}, len(bodies) + 1
    whiten = [np.linalg.inv(np.linalg.cholesky(chip.covariance + model_covariance())) for chip in chips]
    mean = np.array([expected.index, expected.rough, *[expected.stray] * count])
    prior = np.diag([INDEX_SD**2, _NONE**2, *[_NONE**2] * count])
    if mean_sd is not None:
        prior[1, 1] = _ROUGH_SD**2
        prior[2:, 2:] = mean_sd**2 + expected.stray_sd**2 * np.eye(count)
    root = np.asarray(np.linalg.inv(np.linalg.cholesky(prior)), dtype=float)
    bounds = [np.array([*ends[:2], *[ends[2]] * count]) for ends in (_LOWEST, _HIGHEST)]

    def residuals(x: Array) -> Array:
        own = [
            w @ (np.log(chip.reading) - _ln_clear(chip, x[0], x[1], x[place[chip.body]], expected))
            for w, chip in zip(whiten, chips, strict=True)
        ]
        return np.concatenate([*own, root @ (x - mean)])

    x = mean.copy()
    for _ in range(_STEPS):
        r = residuals(x)
        J = np.stack([(residuals(x + _STEP * e) - r) / _STEP for e in np.eye(x.size)], axis=1)
        step = -np.linalg.solve(J.T @ J, J.T @ r)
        x = np.clip(x + step, *bounds)
        if np.abs(step / np.sqrt(np.diag(prior))).max() < 1e-4:
            break
    normal, r = J.T @ J, residuals(x)
    # the face itself counts as known: a rougher one with more stray light reads alike, bare and under glass
    next_sd = np.sqrt(np.linalg.inv(normal[2:, 2:])[-1, -1])
    ln_evidence = -0.5 * (r @ r + np.linalg.slogdet(normal)[1] + np.linalg.slogdet(prior)[1])
    return _Answer(x, float(next_sd), float(ln_evidence))


def _ln_clear(chip: FiredChip, index: float, rough: float, stray: float, expected: Ceramic) -> Array:
    ceramic = replace(expected, index=float(index), rough=float(rough))
    base = base_of(chip.body_reading, surface=chip.body_surface, stray=stray, ceramic=ceramic)
    return np.asarray(np.log(np.maximum(through_face(base), 1e-4)))
