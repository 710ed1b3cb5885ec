"""The ceramic's face, fixed by chips of clear glaze alone.

Clear glaze changes the colour of a bare piece without any pigment: what it does tells the index
that serves best for this ceramic and how much stray light each plate's reading holds.

What the plates' stray light says of the next piece depends on whether pieces differ. Two answers are
weighed by how well the plates agree: all faces of the lab are alike, so that the plates tell it;
or each piece differs, so that two plates tell little and what is common practice counts as much. Of faces finished in
another way than the plates', blasted beside as sintered, the second alone is true.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from stainbook.optics.ceramic import INDEX_SD, MATT_STAGES, Ceramic, base_of, read_bare, through_face
from stainbook.optics.fit import FiredChip, model_covariance
from stainbook.optics.two_by_two import Array

_ALIKE = 0.003  # scatter of stray light, as reflectance, where all faces are finished alike
_WIDE = 0.03  # of a lab's mean stray light when nothing else is known
_MEAN_SD = 0.010  # of a lab's mean stray light about the one expected, where faces differ
_NOISE = 0.003  # of one plate's stray light as fitted
_STEP = 1e-4
_STEPS = 25


def is_clear_on_bare(chip: FiredChip) -> bool:
    """True for a stripe that shows the effect of clear glaze alone on a bare face."""
    return read_bare(chip.body_surface) and chip.glazed and not any(layer.pot.shares for layer in chip.layers)


def fit_face(expected: Ceramic, chips: Sequence[FiredChip]) -> tuple[Ceramic, dict[str, float]]:
    """The ceramic as its clear-glaze stripes show it, and the stray light (reflectance factor) of each plate by name.

    Parameters
    ----------
    expected : the ceramic without any stripe
    chips : clear-glaze stripes of this ceramic on bare plates (see `is_clear_on_bare`)
    """
    if not chips:
        return expected, {}
    matt = any(chip.body_surface == "matt" for chip in chips)
    bodies = sorted({chip.body for chip in chips})
    place = {name: 1 + i for i, name in enumerate(bodies)}
    whiten = [np.linalg.inv(np.linalg.cholesky(chip.covariance + model_covariance())) for chip in chips]
    mean = np.concatenate([[expected.index], np.full(len(bodies), expected.stray)])
    sd = np.concatenate([[INDEX_SD], np.full(len(bodies), _WIDE if matt else 1e-6)])

    def residuals(x: Array) -> Array:
        own = [
            w @ (np.log(chip.reading) - _ln_clear(chip, float(x[0]), float(x[place[chip.body]]), expected))
            for w, chip in zip(whiten, chips, strict=True)
        ]
        return np.concatenate([*own, (x - mean) / sd])

    x = mean.copy()
    for _ in range(_STEPS):
        r = residuals(x)
        J = np.stack([(residuals(x + _STEP * e) - r) / _STEP for e in np.eye(x.size)], axis=1)
        step = -np.linalg.solve(J.T @ J, J.T @ r)
        x = np.clip(x + step, [1.3, *[-0.1] * len(bodies)], [3.5, *[0.2] * len(bodies)])
        if np.abs(step / sd).max() < 1e-4:
            break
    known = {name: float(x[place[name]]) for name in bodies}
    if not matt:
        return Ceramic(float(x[0]), expected.stray, expected.stray_sd, known=True), known
    plates, stages = list(known.values()), {chip.body_stage for chip in chips}
    found = Ceramic(float(x[0]), *stray_of_next(plates, expected), known=True)
    stage = stages.pop() if len(stages) == 1 else None
    if stage not in MATT_STAGES:
        return found, known
    other, variance, _ = _next_of(np.asarray(plates), expected.stray, expected.stray_sd, _MEAN_SD)
    return replace(found, of_stage=stage, other_stray=other, other_stray_sd=float(np.sqrt(variance))), known


def stray_of_next(plates: Sequence[float], expected: Ceramic) -> tuple[float, float]:
    """Mean and standard deviation of the stray light (reflectance factor) of a piece not seen yet, from the plates'.

    A mixture of two normal models of equal prior weight: faces alike (scatter `_ALIKE`, mean unknown)
    and faces that differ (the scatter expected, mean near the one expected). One plate agrees with none: then
    both have their prior weight.
    """
    models = ((_ALIKE, _WIDE), (expected.stray_sd, _MEAN_SD))
    parts = [_next_of(np.asarray(plates), expected.stray, within, between) for within, between in models]
    evidence = np.array([part[2] for part in parts]) if len(plates) > 1 else np.zeros(len(parts))
    weight = np.exp(evidence - evidence.max())
    weight /= weight.sum()
    means, variances = np.array([p[0] for p in parts]), np.array([p[1] for p in parts])
    mean = float(weight @ means)
    return mean, float(np.sqrt(weight @ (variances + (means - mean) ** 2)))


def _next_of(plates: Array, centre: float, within: float, between: float) -> tuple[float, float, float]:
    """Mean and variance of the next piece, and ln likelihood of the plates, under one normal model."""
    n = plates.size
    covariance = (within**2 + _NOISE**2) * np.eye(n) + between**2
    solved = np.linalg.solve(covariance, plates - centre)
    gain = np.linalg.solve(covariance, np.full(n, between**2))
    ln_likelihood = -0.5 * ((plates - centre) @ solved + np.linalg.slogdet(covariance)[1])
    mean = centre + between**2 * solved.sum()
    return float(mean), float(within**2 + between**2 * (1.0 - gain.sum())), float(ln_likelihood)


def _ln_clear(chip: FiredChip, index: float, stray: float, expected: Ceramic) -> Array:
    ceramic = Ceramic(index, expected.stray, expected.stray_sd)
    base = base_of(chip.body_reading, surface=chip.body_surface, stray=stray, ceramic=ceramic)
    return np.asarray(np.log(np.maximum(through_face(base), 1e-4)))
