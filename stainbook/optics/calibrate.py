"""From all the lab's chips to all its stains: the order in which things are fitted, and pooling.

Ceramic faces first (from clear glaze on bare plates), then clear glaze itself, then the stains in
groups that share chips. What all stains have in common, the share's exponent, the fade and the
hand's scatter, is pooled: fitted, averaged with what is expected, and fitted again.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stainbook.optics.causes import change_rows
from stainbook.optics.ceramic import Ceramic, has_bare_face
from stainbook.optics.curves import (
    BANDS,
    EXPONENT,
    EXPONENT_PRIOR,
    EXPONENT_SD,
    FADE,
    FADE_PRIOR,
    FADE_SD,
    LN_S,
    SIZE,
    SOAKED_DEPTH_PRIOR,
    SOAKED_DEPTH_SD,
    SOAKED_EXPONENT_PRIOR,
    SOAKED_EXPONENT_SD,
    Optics,
    Pooled,
    StainCurve,
    Unstated,
)
from stainbook.optics.faces_fit import fit_face, is_clear_on_bare
from stainbook.optics.film import Piece, reading_after
from stainbook.optics.fit import FiredChip, Group, Solution, curve_of, group_of, priors_of, solve
from stainbook.optics.lab_hand import lab_hand
from stainbook.optics.leave_out import Expectations, LeftOut, LikelyReason, against_rest, left_out, likely_reason
from stainbook.optics.noise import first_guess, near, unstated_of, with_shared_plates
from stainbook.optics.two_by_two import Array
from stainbook.records import CLEAR, Stain

POOLING_ROUNDS = 3
MOST_POOLING_ROUNDS = 7  # where the hand is far from the usual
UNSETTLED = 0.1  # of ln of its scatter in the last round
NOISE_ROUNDS = 4


@dataclass(frozen=True, slots=True)
class HeldBack:
    """A chip that contradicts the others and was left out of the fit, and what may have happened."""

    chip: str
    stains: tuple[str, ...]
    dE00: float
    likely: LikelyReason


@dataclass(frozen=True, slots=True, eq=False)
class Calibration:
    """The optics learnt, the groups and solutions they came from, chips left out one by one, chips held back."""

    optics: Optics
    groups: tuple[Group, ...]
    solutions: tuple[Solution, ...]
    left_out: dict[str, LeftOut]
    held_back: tuple[HeldBack, ...]


def calibrate(chips: Sequence[FiredChip], stains: Mapping[str, Stain], *, operator: str | None = None) -> Calibration:
    """Fits the optics of every stain that a fired stripe shows.

    Parameters
    ----------
    chips : fired stripes, readings on 400-700/10 nm
    stains : each stain as its jar states it, by name; one that is missing counts as a surface stain of unknown family
    operator : who painted the stripes; it is stored with the result

    Cost grows with the stripes of a group times the square of its numbers (64 a stain), and once more with the stripes
    since each is predicted without itself: seconds for 14 stains of seven stripes each.

    >>> import numpy as np
    >>> from stainbook.optics.calibrate import calibrate
    >>> from stainbook.optics.fit import FiredChip
    >>> from stainbook.records import Layer, Pot, Stain
    >>> plate, layers = np.linspace(0.6, 0.75, 31), (Layer(Pot.of({"husk": 1 / 4})),)
    >>> stripe = FiredChip("husk-1", "plate", "zirconia", layers, plate, "glazed", 0.8 * plate, 1e-6 * np.eye(31))
    >>> husk = calibrate([stripe], {"husk": Stain("husk", family="brown")}).optics.stains["husk"]
    >>> bool(husk.K[0] > husk.K[30]), husk.chips  # brown absorbs more blue than red
    (True, 1)
    """
    fitted = _fitted(chips, stains)
    errors, held = _hold_back(fitted)
    if held:  # a wrong chip has also moved what all stains share
        wrong = {one.chip for one in held}
        fitted = _fitted([chip for chip in chips if chip.name not in wrong], stains)
    known = fitted.known
    errors |= {error.chip: error for g, s in fitted.glaze for error in left_out(g, s, known)}
    curves = {curve.name: curve for curve in fitted.clear}
    for group, solution in fitted.stained:
        whole = with_shared_plates(group, solution, fitted.unstated)
        for name in group.names:
            count = sum(any(name in layer.pot.stains for layer in chip.layers) for chip in group.chips)
            curves[name] = curve_of(name, known.kinds[name], known.families.get(name), group, whole, count)
    optics = Optics(curves, fitted.ceramics, known.pooled, operator, fitted.unstated)
    every = [*fitted.glaze, *fitted.stained]
    return Calibration(optics, tuple(g for g, _ in every), tuple(s for _, s in every), errors, tuple(held))


@dataclass(frozen=True, slots=True, eq=False)
class _Fitted:
    """Faces, clear glaze and all groups of stains as some chips show them, and the noise that they show."""

    ceramics: dict[str, Ceramic]
    known: Expectations
    glaze: list[tuple[Group, Solution]]
    clear: list[StainCurve]
    stained: list[tuple[Group, Solution]]
    unstated: Unstated


def _fitted(chips: Sequence[FiredChip], stains: Mapping[str, Stain]) -> _Fitted:
    """All stains, fitted until the noise that the chips show is that which they were fitted under."""
    unstated = first_guess(chips)
    for _ in range(NOISE_ROUNDS):
        ceramics, ready = _faces([_widened(chip, unstated) for chip in chips])
        known = _expectations(ready, stains, ceramics)
        glaze = _clear_fit(ready, known)
        clear = [curve_of(CLEAR, "clear", None, g, s, len(g.chips)) for g, s in glaze]
        groups, solutions, known = _fit_all(stain_groups(ready), clear, known)
        fitted = _Fitted(ceramics, known, glaze, clear, list(zip(groups, solutions, strict=True)), unstated)
        unstated = unstated_of([*glaze, *fitted.stained], unstated)
        if near(unstated, fitted.unstated):
            break
    return fitted


def _expectations(
    chips: Sequence[FiredChip], stains: Mapping[str, Stain], ceramics: Mapping[str, Ceramic]
) -> Expectations:
    return Expectations(
        kinds_of(chips, stains),
        {name: stain.family for name, stain in stains.items()},
        lambda material: ceramics.get(material or "", Ceramic.of(material)),
        Pooled(),
    )


def _widened(chip: FiredChip, unstated: Unstated) -> FiredChip:
    """The chip with the doubt of its readings, and of the model, that the lab's chips show beyond what is stated."""
    change = change_rows(np.log(chip.reading / chip.body_reading), unstated.share)
    return replace(chip, covariance=chip.covariance + 2.0 * unstated.reading() + change.T @ change)


def fit_more(
    optics: Optics, chips: Sequence[FiredChip], families: Mapping[str, tuple[str, str | None]]
) -> dict[str, StainCurve]:
    """Fits the curves of stains whose stripes came after the fit; all else stays as it is.

    Parameters
    ----------
    optics : the fit so far
    chips : fired stripes of these stains
    families : kind and family of each stain

    >>> import numpy as np
    >>> from stainbook.optics.calibrate import fit_more
    >>> from stainbook.optics.curves import Optics
    >>> from stainbook.optics.fit import FiredChip
    >>> from stainbook.records import Layer, Pot
    >>> plate, layers = np.linspace(0.6, 0.75, 31), (Layer(Pot.of({"husk": 1 / 4})),)
    >>> stripe = FiredChip("husk-1", "plate", "zirconia", layers, plate, "glazed", 0.8 * plate, 1e-6 * np.eye(31))
    >>> list(fit_more(Optics({}), [stripe], {"husk": ("surface", "brown")}))
    ['husk']
    """
    kinds = {name: kind for name, (kind, _) in families.items()}
    known = Expectations(kinds, {name: family for name, (_, family) in families.items()}, optics.ceramic, optics.pooled)
    clear = [optics.stains[CLEAR]] if CLEAR in optics.stains else []
    curves: dict[str, StainCurve] = {}
    for names, own in stain_groups([_widened(chip, optics.unstated) for chip in chips]):
        group = group_of(names, kinds, own, known.ceramics, known.pooled, clear)
        solution = _solve(group, known, {})
        _, wrong = _believed(group, solution, known)
        if wrong:
            group, solution = _without({chip.name for chip, _ in wrong}, group, solution, known)
        curves |= {name: curve_of(name, *families[name], group, solution, 0) for name in names}
    return curves


def _fit_all(
    sets: Sequence[tuple[tuple[str, ...], list[FiredChip]]], clear: Sequence[StainCurve], known: Expectations
) -> tuple[list[Group], list[Solution], Expectations]:
    """All groups, fitted and pooled in turn until the pooled values have settled."""
    start: dict[str, Array] = {}
    moved = np.inf
    for turn in range(MOST_POOLING_ROUNDS):
        groups = [group_of(names, known.kinds, own, known.ceramics, known.pooled, clear) for names, own in sets]
        solutions = [_solve(group, known, start) for group in groups]
        start |= {n: s.theta[i] for g, s in zip(groups, solutions, strict=True) for i, n in enumerate(g.names)}
        if turn >= POOLING_ROUNDS - 1 and moved < UNSETTLED:
            break
        before, known = known.pooled.hand, replace(known, pooled=pool(groups, solutions, known.pooled))
        moved = abs(np.log(known.pooled.hand / before))
    return groups, solutions, known


def _hold_back(fitted: _Fitted) -> tuple[dict[str, LeftOut], list[HeldBack]]:
    """All chips' errors when left out, and the chips that contradict the rest of their group, worst first."""
    known, errors, suspects = fitted.known, dict[str, LeftOut](), []
    for group, solution in fitted.stained:
        found, out = _believed(group, solution, known)
        errors |= found
        suspects += [(chip, group, error) for chip, error in out]
    wrong = [error for _, _, error in suspects]
    return errors, [
        HeldBack(c.name, g.names, e.dE00, likely_reason(e, _unstained(c, known), wrong)) for c, g, e in suspects
    ]


def _believed(
    group: Group, solution: Solution, known: Expectations
) -> tuple[dict[str, LeftOut], list[tuple[FiredChip, LeftOut]]]:
    """All chips' errors when left out, and the chips of a group that contradict the rest."""
    out: list[FiredChip] = []
    errors = {error.chip: error for error in left_out(group, solution, known)}
    found, most = dict(errors), len(group.chips) // 3
    while len(out) < most and any(error.contradicts for error in errors.values()):
        worst = min((error for error in errors.values() if error.seen), key=lambda error: error.rest)
        out += [chip for chip in group.chips if chip.name == worst.chip]
        group, solution = _without({worst.chip}, group, solution, known)
        errors = {error.chip: error for error in left_out(group, solution, known)}
        found |= errors
    if out:  # what looked wrong beside a worse one may agree with those that are left
        found |= {chip.name: against_rest(chip, group, solution, known) for chip in out}
    return found, [(chip, found[chip.name]) for chip in out if found[chip.name].contradicts]


def _without(names: Collection[str], group: Group, solution: Solution, known: Expectations) -> tuple[Group, Solution]:
    """The group without some chips, fitted again from where it was."""
    rest = [chip for chip in group.chips if chip.name not in names]
    group = group_of(group.names, known.kinds, rest, known.ceramics, known.pooled, group.fixed)
    return group, _solve(group, known, {name: solution.theta[i] for i, name in enumerate(group.names)})


def _unstained(chip: FiredChip, known: Expectations) -> Array:
    """The chip's body as it would read after the same finish with nothing painted on it."""
    piece = Piece(chip.body_reading, chip.body_surface, chip.stray, known.ceramics(chip.material))
    nothing = np.zeros((0, 1, BANDS))
    return np.asarray(reading_after(piece, nothing, nothing, glazed=chip.glazed)).reshape(-1)


def kinds_of(chips: Iterable[FiredChip], stains: Mapping[str, Stain]) -> dict[str, str]:
    """The kind of every stain that is listed or that a stripe shows, by name; ``surface`` where no jar states it."""
    shown = {name for chip in chips for layer in chip.layers for name in layer.pot.stains}
    kinds = dict.fromkeys(shown, "surface") | {name: stain.kind for name, stain in stains.items()}
    return kinds | {CLEAR: "clear"}


def stain_groups(chips: Sequence[FiredChip]) -> list[tuple[tuple[str, ...], list[FiredChip]]]:
    """Stains that share stripes, directly or through others, with those stripes; clear glaze joins nothing."""
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


def _clear_fit(chips: Sequence[FiredChip], known: Expectations) -> list[tuple[Group, Solution]]:
    """Clear glaze from the chips that hold nothing else; empty without such chips."""
    own = [chip for chip in chips if not any(layer.pot.shares for layer in chip.layers)]
    if not own:
        return []
    group = group_of([CLEAR], known.kinds, own, known.ceramics, known.pooled)
    mean, covariance = priors_of([CLEAR], known.kinds, {}, known.pooled)
    return [(group, solve(group, mean, covariance))]


def _solve(group: Group, known: Expectations, start: Mapping[str, Array]) -> Solution:
    mean, covariance = priors_of(group.names, known.kinds, known.families, known.pooled)
    begin = np.array([start[name] for name in group.names]) if start else None
    return solve(group, mean, covariance, start=begin)


def pool(groups: Sequence[Group], solutions: Sequence[Solution], used: Pooled) -> Pooled:
    """Exponent, fade and hand as all stains together show them, averaged with the values that practice expects.

    ``used`` are the values of the last fit. Stains that soak in have an exponent of their own, and a depth.
    """
    pairs = list(zip(groups, solutions, strict=True))
    lying = [s for g, s in pairs if not g.soaks[: len(g.names)].any()]
    soaking = [s for g, s in pairs if g.soaks[: len(g.names)].all()]
    exponent, fade, depth = (_direction(where) for where in (EXPONENT, FADE, LN_S))
    return Pooled(
        exponent=_pooled_mean(lying, exponent, used.exponent, EXPONENT_PRIOR, EXPONENT_SD),
        fade=_pooled_mean(lying, fade, used.fade, FADE_PRIOR, FADE_SD),
        hand=lab_hand(groups, solutions, used.hand),
        soaked_exponent=_pooled_mean(
            soaking, exponent, used.soaked_exponent, SOAKED_EXPONENT_PRIOR, SOAKED_EXPONENT_SD
        ),
        soaked_depth=_pooled_mean(soaking, depth, used.soaked_depth, SOAKED_DEPTH_PRIOR, SOAKED_DEPTH_SD),
    )


def _direction(where: int | slice) -> Array:
    """(64,) the weights of a mean over some of a stain's numbers."""
    weights = np.zeros(SIZE)
    weights[where] = 1.0
    return np.asarray(weights / weights.sum())


def _pooled_mean(
    solutions: Sequence[Solution],
    weights: Array,
    used: tuple[float, float],
    expected: tuple[float, float],
    between: float,
) -> tuple[float, float]:
    """Mean over stains and its doubt: each stain's own evidence, without the prior it was fitted under."""
    held = 1.0 / (used[1] ** 2 + between**2)
    weight, total = 1.0 / expected[1] ** 2, expected[0] / expected[1] ** 2
    for solution in solutions:
        for j, theta in enumerate(solution.theta):
            at = slice(j * SIZE, (j + 1) * SIZE)
            precision = 1.0 / float(weights @ solution.covariance[at, at] @ weights)
            own = precision - held
            if own <= 1e-6 * precision:
                continue
            value = (float(weights @ theta) * precision - used[0] * held) / own
            w = 1.0 / (1.0 / own + between**2)
            weight, total = weight + w, total + w * value
    return float(total / weight), float(weight**-0.5)
