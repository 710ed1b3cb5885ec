"""What outcomes teach about hands, lots and programmes: one fit over all of them.

Each is a factor of the amount of stain that counts. The expected values of the chips are the prior;
an outcome says by how much the colour that came out differs from the one expected, and through the
slopes of the film how much of each factor that takes. Linear least squares (maximum a posteriori),
repeated from the solution, over all outcomes at once: their order does not matter, and what a
correction replaces is simply not among them. The stains' curves take part as unknowns too, so that
what the chips left open is not blamed on a jar. An outcome that no plausible factor explains is held back.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stainbook.colour import WAVELENGTHS, lab_jacobian
from stainbook.match.fired import Fired, FiredFilm
from stainbook.optics.curves import EXPONENT, FADE, LN_K, LN_S, Optics, StainCurve, expected_curve
from stainbook.optics.fit import MODEL_BAND_SD
from stainbook.optics.forecast import FIRING_SD, LEVEL_SD, LOT_SD, OPERATOR_SD, SHIFT_SD
from stainbook.optics.stack import Stack, stack_of
from stainbook.optics.two_by_two import Array
from stainbook.records import CLEAR

PROGRAMME_SD = 0.08  # of ln amount: a firing programme that made no chips
OWN_HAND_SD = 0.05  # of ln amount: the chips' own hand, months later
CURVE_NUMBERS = 10  # of each stain's curve that take part: the directions the chips left most open
FAR = 20.0  # squared distance in L*a*b*, in units of doubt, beyond which an outcome is held back (1 in 5,000)
FACE_SD = 0.012  # of a material's mean stray light, as the clear-glaze chips left it
SHAPE_SD = 0.010  # of ln reflectance: smooth errors of the model over the spectrum, beyond level and slope
SHAPE_NM = 50.0
ROUNDS = 4
_APART = np.subtract.outer(WAVELENGTHS, WAVELENGTHS) / SHAPE_NM
_SHAPE = SHAPE_SD**2 * np.exp(-0.5 * _APART**2) + MODEL_BAND_SD**2 * np.eye(len(WAVELENGTHS))


@dataclass(frozen=True, slots=True)
class Factor:
    """What was learnt of one hand, jar or programme: ln of its factor on the amount, with its doubt."""

    what: str  # operator, lot or programme
    name: str
    stain: str | None
    ln: float
    sd: float
    outcomes: int

    @property
    def factor(self) -> float:
        """How much stronger than the chips' it works: 1.18 is 18 % stronger."""
        return float(np.exp(self.ln))

    @property
    def interval(self) -> tuple[float, float]:
        """Factors between which the true one lies in 95 % of cases."""
        return float(np.exp(self.ln - 1.96 * self.sd)), float(np.exp(self.ln + 1.96 * self.sd))


@dataclass(frozen=True, slots=True, eq=False)
class Learnt:
    """Factors by (what, name, stain), outcomes held back, and the optics with the curves as they now stand."""

    factors: dict[tuple[str, str, str | None], Factor]
    held: dict[str, float]  # outcome key: squared distance
    optics: Optics


def learn(
    optics: Optics,
    outcomes: Sequence[Fired],
    *,
    families: Mapping[str, tuple[str, str | None]] | None = None,
    confirmed: frozenset[str] = frozenset(),
) -> Learnt:
    """Hands, lots, programmes and curves as chips and all outcomes together show them.

    Parameters
    ----------
    families : kind and family of stains that may have no chip
    confirmed : keys of outcomes that someone has looked at and that count however far off they are

    Cost: a film evaluation for each outcome and unknown of it, and the cube of the number of unknowns.
    """
    problem = _Problem.of(optics, outcomes, families or {})
    held: dict[str, float] = {}
    if not outcomes:
        return Learnt({}, {}, optics)
    z: Array = np.zeros(len(problem.unknowns))
    precision: Array = np.diag(1.0 / problem.prior_sd**2)
    for _ in range(ROUNDS):
        parts = problem.linearised(z)
        distance = {part.key: part.distance(z, precision) for part in parts}
        held = {key: d for key, d in distance.items() if d > FAR and key not in confirmed}
        normal, right = np.diag(1.0 / problem.prior_sd**2), np.zeros(len(z))
        for part in parts:
            if part.key not in held:
                normal += part.J.T @ part.J
                right += part.J.T @ (part.left + part.J @ z)
        new = np.asarray(np.linalg.solve(normal, right), dtype=float)
        settled = np.abs(new - z).max() < 1e-4
        z, precision = new, normal
        if settled:
            break
    covariance = np.asarray(np.linalg.inv(precision), dtype=float)
    return Learnt(problem.factors(z, covariance, held), held, problem.updated(z, covariance))


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """One outcome, linear about where it was last evaluated: whitened residual and its slopes."""

    key: str
    left: Array  # whitened observed - modelled (31,)
    J: Array  # whitened (31, unknowns)
    to_lab: Array  # (3, 31) of ln reflectance
    noise: Array  # (31, 31)
    raw: Array  # observed - modelled
    slopes: Array  # (31, unknowns)

    def distance(self, z: Array, precision: Array) -> float:
        """Squared distance in L*a*b* between what came out and what is believed, in units of the doubt."""
        spread = self.slopes @ np.linalg.solve(precision, self.slopes.T)
        doubt = self.to_lab @ (self.noise + spread) @ self.to_lab.T
        error = self.to_lab @ self.raw
        return float(error @ np.linalg.solve(doubt, error))


@dataclass(slots=True, eq=False)
class _Problem:
    """The unknowns and how each outcome depends on them."""

    optics: Optics
    outcomes: Sequence[Fired]
    curves: dict[str, StainCurve]
    unknowns: dict[tuple[str, str, str | None], int]
    prior_sd: Array
    basis: dict[str, Array]  # stain: (64, CURVE_NUMBERS)

    @classmethod
    def of(cls, optics: Optics, outcomes: Sequence[Fired], families: Mapping[str, tuple[str, str | None]]) -> _Problem:
        used = sorted({name for one in outcomes for layer in one.layers for name in layer.pot.stains})
        curves = {name: optics.stains.get(name) or _expected(name, families, optics) for name in used}
        if CLEAR in optics.stains:
            curves[CLEAR] = optics.stains[CLEAR]
        sds: dict[tuple[str, str, str | None], float] = {}
        for one in outcomes:
            for key, sd in _factors_of(one, optics.operator):
                sds[key] = sd
            if one.firing:
                sds["firing", one.firing, None] = FIRING_SD
            if one.surface == "matt":
                sds["face", one.material or "", None] = FACE_SD
        basis = {name: _open_directions(curve) for name, curve in curves.items() if name != CLEAR}
        for name, columns in basis.items():
            for i in range(columns.shape[1]):
                sds["curve", name, str(i)] = 1.0
        unknowns = {key: i for i, key in enumerate(sds)}
        return cls(optics, outcomes, curves, unknowns, np.array(list(sds.values())), basis)

    def linearised(self, z: Array) -> list[_Part]:
        """All outcomes about the present solution; alike ones are evaluated together."""
        groups: dict[tuple[object, ...], list[int]] = {}
        for i, one in enumerate(self.outcomes):
            groups.setdefault((one.surface, one.ceramic, one.glazed), []).append(i)
        parts: list[_Part | None] = [None] * len(self.outcomes)
        for places in groups.values():
            for place, part in zip(places, self._group([self.outcomes[i] for i in places], z), strict=True):
                parts[place] = part
        return [part for part in parts if part is not None]

    def _group(self, outcomes: Sequence[Fired], z: Array) -> list[_Part]:
        names = tuple(self.curves)
        stack = stack_of([one.layers for one in outcomes], names)
        own = self._curves_now(z, names)[stack.stain]
        lots = np.array(
            [[self._lot(one, names[j], z) for j in row] for one, row in zip(outcomes, stack.stain, strict=True)]
        )
        own[..., LN_K] += lots[..., None]
        own[..., LN_S] += lots[..., None]
        hand = np.repeat(np.array([self._hand(one, z) for one in outcomes])[:, None], stack.layers, axis=1)
        soaking = np.array([self.curves[name].kind == "infiltrating" for name in names])
        stray = np.array([[self._stray(one, z)] for one in outcomes])
        film = FiredFilm(outcomes, stack, own, hand, soaking, stray)
        base = film()
        bare = film.without_layers()
        slopes = film.slopes(base)
        return [self._part(i, one, names, stack, base[i], bare[i], slopes) for i, one in enumerate(outcomes)]

    def _part(
        self,
        i: int,
        one: Fired,
        names: Sequence[str],
        stack: Stack,
        base: Array,
        bare: Array,
        slopes: Mapping[tuple[str, int], Array],
    ) -> _Part:
        J = np.zeros((base.size, len(self.unknowns)))
        together = sum((slopes["layer", layer][i] for layer in range(stack.layers)), np.zeros(base.size))
        for what, name in (("operator", one.operator), ("programme", one.programme), ("firing", one.firing)):
            place = self.unknowns.get((what, name or "", None))
            if place is not None:
                J[:, place] += together
        if one.surface == "matt":
            J[:, self.unknowns["face", one.material or "", None]] += slopes["stray", 0][i]
        for column in range(stack.stain.shape[1]):
            stain = names[stack.stain[i, column]]
            if not stack.share[i, :, column].any():
                continue
            k, s, e = (slopes[what, column][i] for what in ("K", "S", "exponent"))
            lot = self.unknowns.get(("lot", one.lots.get(stain, ""), stain))
            if lot is not None:
                J[:, lot] += k + s
            for c in range(self.basis[stain].shape[1] if stain in self.basis else 0):
                row = self.basis[stain][:, c]
                J[:, self.unknowns["curve", stain, str(c)]] += row[LN_K] * k + row[LN_S] * s + row[EXPONENT] * e
        noise = self._noise(i, one, stack, base, bare, slopes)
        root = np.linalg.inv(np.linalg.cholesky(noise))
        raw = np.log(one.after) - base
        R = np.exp(base)
        to_lab = lab_jacobian(R, WAVELENGTHS, illuminant="D65", observer=10) * R
        return _Part(one.key, root @ raw, root @ J, to_lab, noise, raw, J)

    def _noise(
        self, i: int, one: Fired, stack: Stack, base: Array, bare: Array, slopes: Mapping[tuple[str, int], Array]
    ) -> Array:
        """(31, 31) of ln reflectance of all that belongs to this outcome alone."""
        change, span = base - bare, np.linspace(-1.0, 1.0, base.size)
        rows = [np.full(base.size, LEVEL_SD), LEVEL_SD * span, SHIFT_SD * change, SHIFT_SD * change * span]
        for layer in range(stack.layers):
            if stack.coats[i, layer] > 0:
                rows.append(slopes["layer", layer][i] * self.optics.pooled.hand / np.sqrt(stack.coats[i, layer]))
        if one.surface == "matt":
            rows.append(slopes["stray", 0][i] * one.ceramic.stray_sd)
        if not one.firing:
            rows.append(FIRING_SD * sum(slopes["layer", layer][i] for layer in range(stack.layers)))
        stacked = np.array(rows)
        return np.asarray(stacked.T @ stacked + one.covariance + _SHAPE)

    def _curves_now(self, z: Array, names: Sequence[str]) -> Array:
        return np.array([self.curves[name].mean + self._moved(name, z) for name in names])

    def _moved(self, name: str, z: Array) -> Array:
        if name not in self.basis:
            return np.zeros(FADE + 1)
        places = [self.unknowns["curve", name, str(i)] for i in range(self.basis[name].shape[1])]
        return np.asarray(self.basis[name] @ z[places])

    def _lot(self, one: Fired, stain: str, z: Array) -> float:
        place = self.unknowns.get(("lot", one.lots.get(stain, ""), stain))
        return 0.0 if place is None else float(z[place])

    def _stray(self, one: Fired, z: Array) -> float:
        if one.surface != "matt":
            return 0.0
        return one.ceramic.stray + float(z[self.unknowns["face", one.material or "", None]])

    def _hand(self, one: Fired, z: Array) -> float:
        named = (("operator", one.operator), ("programme", one.programme), ("firing", one.firing))
        keys = [(what, name or "", None) for what, name in named]
        return float(sum(z[self.unknowns[key]] for key in keys if key in self.unknowns))

    def factors(
        self, z: Array, covariance: Array, held: Mapping[str, float]
    ) -> dict[tuple[str, str, str | None], Factor]:
        """What is told of hands, lots and programmes."""
        counts: dict[tuple[str, str, str | None], int] = {}
        for one in self.outcomes:
            for key, _ in _factors_of(one, self.optics.operator):
                counts[key] = counts.get(key, 0) + (one.key not in held)
        return {
            key: Factor(*key, ln=float(z[i]), sd=float(np.sqrt(covariance[i, i])), outcomes=counts[key])
            for key, i in self.unknowns.items()
            if key[0] in ("operator", "lot", "programme")
        }

    def updated(self, z: Array, covariance: Array) -> Optics:
        """The optics with curves moved and their doubt narrowed as the outcomes show."""
        stains, ceramics = dict(self.optics.stains), dict(self.optics.ceramics)
        for (what, material, _), place in self.unknowns.items():
            if what == "face":
                known = self.optics.ceramic(material or None)
                ceramics[material] = replace(known, stray=known.stray + float(z[place]))
        for name, columns in self.basis.items():
            places = [self.unknowns["curve", name, str(i)] for i in range(columns.shape[1])]
            curve = self.curves[name]
            values, vectors = np.linalg.eigh(covariance[np.ix_(places, places)])
            rest = curve.factor - columns @ (np.linalg.pinv(columns) @ curve.factor)
            factor = np.concatenate([columns @ (vectors * np.sqrt(np.maximum(values, 0.0))), rest], axis=1)
            stains[name] = replace(curve, mean=curve.mean + self._moved(name, z), factor=factor)
        return replace(self.optics, stains=stains, ceramics=ceramics)


def _factors_of(one: Fired, chips_operator: str | None) -> list[tuple[tuple[str, str, str | None], float]]:
    """The factors that take part in an outcome, with what they may differ by before anything is known."""
    found: list[tuple[tuple[str, str, str | None], float]] = []
    if one.operator:
        found.append((("operator", one.operator, None), OWN_HAND_SD if one.operator == chips_operator else OPERATOR_SD))
    if one.programme:
        found.append((("programme", one.programme, None), PROGRAMME_SD))
    used = {name for layer in one.layers for name in layer.pot.stains}
    found += [(("lot", lot, stain), LOT_SD) for stain, lot in one.lots.items() if stain in used]
    return found


def _expected(name: str, families: Mapping[str, tuple[str, str | None]], optics: Optics) -> StainCurve:
    kind, family = families.get(name, ("surface", None))
    return expected_curve(name, kind, family, optics.pooled)


def _open_directions(curve: StainCurve) -> Array:
    """(64, r) the directions of a curve's doubt that are widest, one standard deviation long each."""
    u, s, _ = np.linalg.svd(curve.factor, full_matrices=False)
    return np.asarray(u[:, :CURVE_NUMBERS] * s[:CURVE_NUMBERS])
