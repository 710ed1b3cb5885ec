"""From all the lab's chips to all its stains: the order in which things are fitted, and pooling.

Ceramic faces first (from clear glaze on bare plates), then clear glaze itself, then the stains in
groups that share chips. What all stains have in common, the share's exponent, the fade and the
hand's scatter, is pooled: fitted, averaged with what is expected, and fitted again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stainbook.optics.ceramic import Ceramic, has_bare_face
from stainbook.optics.curves import (
    EXPONENT,
    EXPONENT_PRIOR,
    EXPONENT_SD,
    FADE,
    FADE_PRIOR,
    FADE_SD,
    HAND_SD,
    SIZE,
    Optics,
    Pooled,
    StainCurve,
)
from stainbook.optics.faces_fit import fit_face, is_clear_on_bare
from stainbook.optics.fit import FiredChip, Group, Solution, curve_of, group_of, priors_of, solve
from stainbook.records import CLEAR, Stain

POOLING_ROUNDS = 3
HAND_WEIGHT = 20  # layers' worth of trust in the expected scatter of the hand


@dataclass(frozen=True, slots=True, eq=False)
class Calibration:
    """The optics learnt, and the groups and solutions they came from."""

    optics: Optics
    groups: tuple[Group, ...]
    solutions: tuple[Solution, ...]
    chips: tuple[FiredChip, ...]


def calibrate(chips: Sequence[FiredChip], stains: Mapping[str, Stain], *, operator: str | None = None) -> Calibration:
    """Optics of every stain that a chip shows.

    Parameters
    ----------
    chips : fired chips, readings on 400-700/10 nm
    stains : what is known of each stain by name; one that is missing counts as a surface stain of unknown family
    operator : whose hand made the chips, kept with the result

    Cost grows with the chips of a group times the square of its numbers (64 a stain): seconds for
    14 stains of seven chips each.
    """
    ceramics, chips = _faces(chips)
    kinds, families = kinds_of(chips, stains), {name: stain.family for name, stain in stains.items()}

    def ceramic_of(material: str | None) -> Ceramic:
        return ceramics.get(material or "", Ceramic.of(material))

    clear = _clear_curve(chips, kinds, ceramic_of)
    pooled, start = Pooled(), dict[str, np.ndarray]()
    sets = stain_groups(chips)
    for turn in range(POOLING_ROUNDS):
        groups = [group_of(names, kinds, own, ceramic_of, pooled, clear) for names, own in sets]
        solutions = [_solve(group, kinds, families, pooled, start) for group in groups]
        start = {n: s.theta[i] for g, s in zip(groups, solutions, strict=True) for i, n in enumerate(g.names)}
        if turn < POOLING_ROUNDS - 1:
            pooled = pool(groups, solutions, pooled)
    curves = {curve.name: curve for curve in clear}
    for group, solution in zip(groups, solutions, strict=True):
        for i, name in enumerate(group.names):
            count = sum(name in layer.pot.stains for chip in group.chips for layer in chip.layers)
            curves[name] = curve_of(name, kinds[name], families.get(name), solution, i, count)
    optics = Optics(curves, ceramics, pooled, operator)
    return Calibration(optics, tuple(groups), tuple(solutions), tuple(chips))


def kinds_of(chips: Iterable[FiredChip], stains: Mapping[str, Stain]) -> dict[str, str]:
    """The kind of every stain that is known or that a chip shows."""
    shown = {name for chip in chips for layer in chip.layers for name in layer.pot.stains}
    kinds = dict.fromkeys(shown, "surface") | {name: stain.kind for name, stain in stains.items()}
    return kinds | {CLEAR: "clear"}


def stain_groups(chips: Sequence[FiredChip]) -> list[tuple[tuple[str, ...], list[FiredChip]]]:
    """Stains that share chips, directly or through others, with those chips; clear glaze joins nothing."""
    groups: list[tuple[set[str], list[FiredChip]]] = []
    for chip in chips:
        names = {name for layer in chip.layers for name in layer.pot.stains}
        if not names:
            continue
        own = [chip]
        for group in [g for g in groups if g[0] & names]:
            names |= group[0]
            own = group[1] + own
            groups.remove(group)
        groups.append((names, own))
    return [(tuple(sorted(names)), own) for names, own in groups]


def _faces(chips: Sequence[FiredChip]) -> tuple[dict[str, Ceramic], list[FiredChip]]:
    """Ceramics by material, and the chips with the stray light of their bodies put in."""
    ceramics: dict[str, Ceramic] = {}
    stray: dict[tuple[str, str], float] = {}
    for material in sorted({chip.material or "" for chip in chips}):
        own = [chip for chip in chips if (chip.material or "") == material]
        ceramic, known = fit_face(Ceramic.of(material or None), [chip for chip in own if is_clear_on_bare(chip)])
        ceramics[material] = ceramic
        stray |= {(material, body): value for body, value in known.items()}
    return ceramics, [_with_stray(chip, ceramics[chip.material or ""], stray) for chip in chips]


def _with_stray(chip: FiredChip, ceramic: Ceramic, known: Mapping[tuple[str, str], float]) -> FiredChip:
    if not has_bare_face(chip.body_surface):
        return chip
    found = known.get((chip.material or "", chip.body))
    if found is not None:
        return replace(chip, stray=found)
    if chip.body_surface != "matt":
        return chip
    # nothing tells this body's stray light: what it may do to the result is noise common to all bands
    slope = -1.0 / np.maximum(chip.body_reading - ceramic.stray, 0.02)
    extra = ceramic.stray_sd**2 * np.outer(slope, slope)
    return replace(chip, stray=ceramic.stray, covariance=chip.covariance + extra)


def _clear_curve(
    chips: Sequence[FiredChip], kinds: dict[str, str], ceramics: Callable[[str | None], Ceramic]
) -> list[StainCurve]:
    own = [chip for chip in chips if not any(layer.pot.shares for layer in chip.layers)]
    if not own:
        return []
    pooled = Pooled()
    group = group_of([CLEAR], kinds, own, ceramics, pooled)
    mean, covariance = priors_of([CLEAR], kinds, {}, pooled)
    return [curve_of(CLEAR, "clear", None, solve(group, mean, covariance), 0, len(own))]


def _solve(
    group: Group,
    kinds: dict[str, str],
    families: dict[str, str | None],
    pooled: Pooled,
    start: dict[str, np.ndarray],
) -> Solution:
    mean, covariance = priors_of(group.names, kinds, families, pooled)
    begin = np.array([start[name] for name in group.names]) if start else None
    return solve(group, mean, covariance, start=begin)


def pool(groups: Sequence[Group], solutions: Sequence[Solution], pooled: Pooled) -> Pooled:
    """Exponent, fade and hand as all stains together show them, averaged with what was expected."""
    return Pooled(
        exponent=_pooled_mean(solutions, EXPONENT, pooled.exponent, EXPONENT_PRIOR, EXPONENT_SD),
        fade=_pooled_mean(solutions, FADE, pooled.fade, FADE_PRIOR, FADE_SD),
        hand=_hand_scatter(groups, solutions),
    )


def _pooled_mean(
    solutions: Sequence[Solution],
    place: int,
    used: tuple[float, float],
    expected: tuple[float, float],
    between: float,
) -> tuple[float, float]:
    """Mean over stains and its doubt: each stain's own evidence, without the prior it was fitted under."""
    held = 1.0 / (used[1] ** 2 + between**2)
    weight, total = 1.0 / expected[1] ** 2, expected[0] / expected[1] ** 2
    for solution in solutions:
        for j, theta in enumerate(solution.theta):
            at = j * SIZE + place
            precision = 1.0 / solution.covariance[at, at]
            own = precision - held
            if own <= 1e-6 * precision:
                continue
            value = (theta[place] * precision - used[0] * held) / own
            w = 1.0 / (1.0 / own + between**2)
            weight, total = weight + w, total + w * value
    return float(total / weight), float(weight**-0.5)


def _hand_scatter(groups: Sequence[Group], solutions: Sequence[Solution]) -> float:
    """Standard deviation of ln amount of one coat, over all layers of all chips."""
    total, count = HAND_WEIGHT * HAND_SD**2, float(HAND_WEIGHT)
    for group, solution in zip(groups, solutions, strict=True):
        first = len(group.names) * SIZE
        variance = np.diag(solution.covariance)[first:].reshape(solution.hand.shape)
        coats = group.stack.coats
        total += float((coats * (solution.hand**2 + variance))[coats > 0].sum())
        count += float((coats > 0).sum())
    return float(np.sqrt(total / count))
