"""Each chip predicted without itself: the model's own doubt, and chips that contradict the others.

A chip whose reading lies far outside what the others of its stain, the hand's scatter and the noise
allow was most likely read under another's name, not fired, or read with another instrument. Such
chips are held back and named; averaging them in would spoil the stain and hide the mistake.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from stainbook.colour import WAVELENGTHS, delta_e_2000, lab_jacobian, spectrum_to_lab
from stainbook.optics.ceramic import Ceramic
from stainbook.optics.curves import SIZE, Pooled
from stainbook.optics.fit import (
    FiredChip,
    Group,
    Solution,
    chip_covariance,
    group_of,
    jacobian,
    modelled,
    priors_of,
    solve,
)
from stainbook.optics.two_by_two import Array
from stainbook.records import LabValues

# Squared distance in L*a*b*, in units of its doubt, beyond which a chip is not believed: 3 degrees of freedom,
# 1 in 30,000 if all doubts were normal; and a difference that an eye would miss is never held against a chip.
FAR = 24.0
SEEN = 1.5  # ΔE00
UNSTAINED = 0.6  # ΔE00 from the bare body under the same finish: as if nothing had been painted or fired
SWAPPED = 0.4  # two chips were swapped if crossing them leaves less than this share of the smaller difference
REFIT_STEPS = 8


@dataclass(frozen=True, slots=True)
class LeftOut:
    """One chip against its prediction from the other chips.

    ``distance`` is squared and in units of doubt; ``rest`` is what the fit of the others costs: a wrong chip can
    make a right one look wrong, but only without the wrong one do the others agree.
    """

    chip: str
    dE00: float
    distance: float
    expected: LabValues
    read: LabValues
    rest: float = 0.0

    @property
    def seen(self) -> bool:
        """True when an eye would see the difference."""
        return self.dE00 > SEEN

    @property
    def contradicts(self) -> bool:
        """True when the others cannot be reconciled with this stripe."""
        return self.distance > FAR and self.seen


@dataclass(frozen=True, slots=True, eq=False)
class Expectations:
    """What fitting a subset needs to know besides the chips."""

    kinds: dict[str, str]
    families: dict[str, str | None]
    ceramics: Callable[[str | None], Ceramic]
    pooled: Pooled


def left_out(group: Group, solution: Solution, known: Expectations) -> list[LeftOut]:
    """Each stripe of a group, predicted from the group's other stripes.

    Cost: one refit a stripe, a few steps each from the full solution.
    """
    mean, covariance = priors_of(group.names, known.kinds, known.families, known.pooled)
    return [_one_out(group, i, solution, mean, covariance, known) for i in range(len(group.chips))]


def _one_out(group: Group, i: int, solution: Solution, mean: Array, prior: Array, known: Expectations) -> LeftOut:
    chips = group.chips
    rest = [chip for j, chip in enumerate(chips) if j != i]
    if rest:
        others = group_of(group.names, known.kinds, rest, known.ceramics, known.pooled, group.fixed)
        found = solve(others, mean, prior, start=solution.theta, most_steps=REFIT_STEPS)
        error = against_rest(chips[i], group, found, known)
        return replace(error, rest=found.cost)
    return _against(chips[i], group, mean, _block_diagonal(prior), known)


def against_rest(chip: FiredChip, group: Group, solution: Solution, known: Expectations) -> LeftOut:
    """A stripe that is not of the group against the stains fitted to the group's stripes."""
    size = theta_size(group)
    return _against(chip, group, solution.theta, solution.covariance[:size, :size], known)


def theta_size(group: Group) -> int:
    """The count of numbers that describe the stains of a group, 64 each."""
    return len(group.names) * SIZE


def _block_diagonal(blocks: Array) -> Array:
    m = len(blocks)
    out = np.zeros((m * SIZE, m * SIZE))
    for j, block in enumerate(blocks):
        out[j * SIZE : (j + 1) * SIZE, j * SIZE : (j + 1) * SIZE] = block
    return out


def _against(chip: FiredChip, group: Group, theta: Array, spread: Array, known: Expectations) -> LeftOut:
    """A chip's reading against stains fitted without it, in L*a*b* under D65, 10°."""
    alone = group_of(group.names, known.kinds, [chip], known.ceramics, known.pooled, group.fixed)
    hand = np.zeros(alone.stack.coats.shape)
    ln_model = modelled(alone, theta, hand)
    J = jacobian(alone, theta, hand, ln_model)[0]  # (31, numbers, then hands)
    own, hands = J[:, : theta_size(group)], J[:, theta_size(group) :]
    noise = chip_covariance(chip) + own @ spread @ own.T + hands @ alone.spread.covariance @ hands.T
    R = np.exp(ln_model[0])
    by_ln = lab_jacobian(R, WAVELENGTHS, illuminant="D65", observer=10) * R
    doubt = by_ln @ noise @ by_ln.T
    expected, read = _lab(R), _lab(chip.reading)
    error = read - expected
    distance = float(error @ np.linalg.solve(doubt, error))
    return LeftOut(chip.name, float(delta_e_2000(read, expected)), distance, _triple(expected), _triple(read))


def _triple(lab: Array) -> LabValues:
    return float(lab[0]), float(lab[1]), float(lab[2])


def _lab(reflectance: Array) -> Array:
    return np.asarray(spectrum_to_lab(reflectance, WAVELENGTHS, illuminant="D65", observer=10))


def met(group: Group, solution: Solution) -> Array:
    """ΔE00 (n,) between each stripe's reading and the fitted stains put on as meant, under D65, 10°.

    >>> import numpy as np
    >>> from stainbook.optics.calibrate import calibrate
    >>> from stainbook.optics.fit import FiredChip
    >>> from stainbook.optics.leave_out import met
    >>> from stainbook.records import Layer, Pot
    >>> plate, layers = np.linspace(0.6, 0.75, 31), (Layer(Pot.of({"husk": 1 / 4})),)
    >>> stripe = FiredChip("husk-1", "plate", "zirconia", layers, plate, "glazed", 0.9 * plate, 1e-6 * np.eye(31))
    >>> fit = calibrate([stripe], {})
    >>> met(fit.groups[0], fit.solutions[0]).round(1).tolist()
    [0.0]
    """
    model = np.exp(modelled(group, solution.theta, 0.0))
    return np.asarray(delta_e_2000(_lab(model), _lab(np.exp(group.target))))


@dataclass(frozen=True, slots=True)
class LikelyReason:
    """The likeliest mistake with a stripe that contradicts the others; ``other`` is the one it was swapped with."""

    what: Literal["swapped", "unstained", "other"]
    other: str | None = None


def likely_reason(error: LeftOut, bare: Array, suspects: Sequence[LeftOut]) -> LikelyReason:
    """The likeliest mistake with a stripe that contradicts the others.

    Parameters
    ----------
    error : the stripe against its prediction
    bare : (31,) the plate as it would read after the same finish without stain
    suspects : all stripes that contradict the rest; two whose readings fit each other's place were swapped
    """
    for other in suspects:
        if other.chip == error.chip:
            continue
        crossed = delta_e_2000([error.read, other.read], [other.expected, error.expected])
        if crossed.max() < SWAPPED * min(error.dE00, other.dE00):
            return LikelyReason("swapped", other.chip)
    if delta_e_2000(error.read, _lab(bare)) < UNSTAINED:
        return LikelyReason("unstained")
    return LikelyReason("other")
