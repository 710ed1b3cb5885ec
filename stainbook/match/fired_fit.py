"""Outcomes as linear equations: how far each lies from what is believed, and what each unknown would change.

The unknowns are the factors of `factors`, what each firing of several zones made of all amounts in it,
the stray light of each matt material and, of each stain's curve, the directions that the chips left most
open, so that what the chips did not show is not blamed on a jar. What belongs to one outcome alone is its
noise; the scatter of the hand is kept apart from it. How much clear glaze lies there is left out of what
tells a hand from all jars: it hardly shows, and what the optics miss of it would pass for a heavy hand.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stainbook.colour import WAVELENGTHS, lab_jacobian
from stainbook.match.factors import NOBODY, Factor, Key, between_hands, factors_of, keys_of, prior_precision
from stainbook.match.fired import Fired
from stainbook.match.scatter import Rows
from stainbook.optics.causes import model_rows
from stainbook.optics.curves import EXPONENT, LN_K, LN_S, SIZE, Optics, StainCurve, Unstated, expected_curve
from stainbook.optics.film import Piece
from stainbook.optics.fit import MODEL_BAND_SD
from stainbook.optics.laid import Laid
from stainbook.optics.stack import Stack, stack_of
from stainbook.optics.two_by_two import Array
from stainbook.records import CLEAR

CURVE_NUMBERS = 10  # of each stain's curve that take part: the directions the chips left most open
FACE_SD = 0.012  # of a material's mean stray light, as the clear-glaze chips left it
SHAPE_SD = 0.010  # of ln reflectance: smooth errors of the model over the spectrum, beyond level and slope
SHAPE_NM = 50.0
_APART = np.subtract.outer(WAVELENGTHS, WAVELENGTHS) / SHAPE_NM
_SHAPE = SHAPE_SD**2 * np.exp(-0.5 * _APART**2) + MODEL_BAND_SD**2 * np.eye(len(WAVELENGTHS))


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One outcome, linear about where it was last evaluated, in ln reflectance.

    ``raw`` (31,) is observed less modelled, ``slopes`` (31, unknowns), ``noise`` (31, 31) all that is its own
    but for the hand's scatter, whose ``hand`` shows each layer's amount by ``amounts`` (31, layers).
    """

    key: str
    hand: int
    raw: Array
    slopes: Array
    noise: Array
    amounts: Array
    to_lab: Array  # (3, 31) L*, a*, b* by ln reflectance
    whitened: Array  # (31, 31) turns what has the noise into what has the identity

    def distance(self, covariance: Array, scatter: float) -> float:
        """Squared distance in L*a*b* between what came out and what is believed, in units of the doubt."""
        amounts, slopes, error = scatter * self.to_lab @ self.amounts, self.to_lab @ self.slopes, self.to_lab @ self.raw
        doubt = self.to_lab @ self.noise @ self.to_lab.T + amounts @ amounts.T + slopes @ covariance @ slopes.T
        return float(error @ np.linalg.solve(doubt, error))

    def evidence(self, z: Array) -> tuple[Array, Array, Rows]:
        """Whitened slopes (31, unknowns) and residual (31,) where all unknowns are 0, and the rows of its hand."""
        slopes = self.whitened @ self.slopes
        residual = self.whitened @ self.raw + slopes @ z
        return slopes, residual, Rows.of(slopes, residual, self.whitened @ self.amounts, self.hand)


@dataclass(slots=True, eq=False)
class Problem:
    """The unknowns, what is expected of them, and how each outcome depends on them."""

    optics: Optics
    outcomes: Sequence[Fired]
    lots_before: Mapping[tuple[str, str], str]
    curves: dict[str, StainCurve]
    factors: dict[Key, int]  # the first of the unknowns
    firings: dict[Key, int]  # of several zones
    unknowns: dict[Key, int]  # all of them
    sd: Array  # of the rest
    basis: dict[str, Array]  # stain: (64, CURVE_NUMBERS)
    hands: tuple[str, ...]

    @classmethod
    def of(
        cls,
        optics: Optics,
        outcomes: Sequence[Fired],
        families: Mapping[str, tuple[str, str | None]],
        lots_before: Mapping[tuple[str, str], str],
    ) -> Problem:
        """The unknowns of some outcomes; ``families`` are kind and family of stains that may have no stripe."""
        used = sorted({name for one in outcomes for layer in one.layers for name in layer.pot.stains})
        curves = {name: optics.stains.get(name) or _expected(name, families, optics) for name in used}
        if CLEAR in optics.stains:
            curves[CLEAR] = optics.stains[CLEAR]
        factors = keys_of(outcomes)
        zones = Counter(one.firing for one in outcomes if one.firing)
        shared = sorted(name for name, count in zones.items() if count > 1)
        firings: dict[Key, int] = {("firing", name, None): len(factors) + i for i, name in enumerate(shared)}
        sds: dict[Key, float] = {
            ("face", material, None): FACE_SD
            for material in sorted({one.material or "" for one in outcomes if one.surface == "matt"})
        }
        basis = {name: _open_directions(curve) for name, curve in curves.items() if name != CLEAR}
        for name, columns in basis.items():
            for i in range(columns.shape[1]):
                sds["curve", name, str(i)] = 1.0
        first = len(factors) + len(firings)
        unknowns = factors | firings | {key: first + i for i, key in enumerate(sds)}
        hands = tuple(sorted({one.operator or NOBODY for one in outcomes}))
        sd = np.array(list(sds.values()))
        return cls(optics, outcomes, lots_before, curves, factors, firings, unknowns, sd, basis, hands)

    def prior(self, between: float, firing: float) -> Array:
        """(unknowns, unknowns) precision; of hands about the lab's mean, and of firings, the spread is given."""
        own = len(self.factors)
        rest = np.concatenate([np.full(len(self.firings), firing), self.sd])
        out = np.zeros((len(self.unknowns), len(self.unknowns)))
        out[:own, :own] = prior_precision(self.factors, self.optics.operator, self.lots_before, between)
        out[range(own, len(out)), range(own, len(out))] = 1.0 / rest**2
        return out

    def between(self, z: Array, covariance: Array) -> float:
        """The spread of hands about the lab's mean."""
        return between_hands(self.factors, self.optics.operator, z, covariance)

    def linearised(self, z: Array, firing: float) -> list[Part]:
        """All outcomes about the present solution; alike ones are evaluated together.

        firing : scatter of the firings that brought one zone only
        """
        groups: dict[tuple[object, ...], list[int]] = {}
        for i, one in enumerate(self.outcomes):
            groups.setdefault((one.surface, one.ceramic, one.glazed), []).append(i)
        parts: list[Part | None] = [None] * len(self.outcomes)
        for places in groups.values():
            for place, part in zip(places, self._group([self.outcomes[i] for i in places], z, firing), strict=True):
                parts[place] = part
        return [part for part in parts if part is not None]

    def _group(self, outcomes: Sequence[Fired], z: Array, firing: float) -> list[Part]:
        names, first = tuple(self.curves), outcomes[0]
        stack = stack_of([one.layers for one in outcomes], names)
        pairs = zip(outcomes, stack.stain, strict=True)
        laid = Laid.of(
            Piece(
                np.array([one.reading for one in outcomes]),
                first.surface,
                np.array([[self._stray(one, z)] for one in outcomes]),
                first.ceramic,
            ),
            stack,
            np.array([curve.mean + self._moved(name, z) for name, curve in self.curves.items()]),
            np.array([curve.kind == "infiltrating" for curve in self.curves.values()]),
            ln_amount=np.array([[self._hand(one, z)] for one in outcomes]),
            ln_lots=np.array([[self._lot(one, names[j], z) for j in row] for one, row in pairs]),
            glazed=first.glazed,
        )
        film = _Film.of(names, laid)
        return [self._part(i, one, film, firing) for i, one in enumerate(outcomes)]

    def _part(self, i: int, one: Fired, film: _Film, firing: float) -> Part:
        stack, base = film.stack, film.base[i]
        stained = np.zeros(base.size)
        J = np.zeros((base.size, len(self.unknowns)))
        stray = None if film.by_stray is None else film.by_stray[i]
        if stray is not None:
            J[:, self.unknowns["face", one.material or "", None]] += stray
        for column in np.flatnonzero(stack.share[i].any(axis=0)):
            stain = film.names[stack.stain[i, column]]
            k, s, e, own = (part[i, column] for part in (film.k, film.s, film.exponents, film.strengths))
            stained += own * (stain != CLEAR)
            lot = self.unknowns.get(("lot", one.lots.get(stain, ""), stain))
            if lot is not None:
                J[:, lot] += own
            for c in range(self.basis[stain].shape[1] if stain in self.basis else 0):
                row = self.basis[stain][:, c]
                J[:, self.unknowns["curve", stain, str(c)]] += row[LN_K] * k + row[LN_S] * s + row[EXPONENT] * e
        for key in self._amounts_of(one):
            J[:, self.unknowns[key]] += stained
        alone = 0.0 if ("firing", one.firing, None) in self.firings else firing
        noise = _noise(one, film.change[i], stained * alone, stray, self.optics.unstated)
        laid = stack.coats[i] > 0
        R = np.exp(base)
        return Part(
            key=one.key,
            hand=self.hands.index(one.operator or NOBODY),
            raw=np.log(one.after) - base,
            slopes=J,
            noise=noise,
            amounts=(film.amounts[i, laid] / np.sqrt(stack.coats[i, laid, None])).T,
            to_lab=lab_jacobian(R, WAVELENGTHS, illuminant="D65", observer=10) * R,
            whitened=np.linalg.inv(np.linalg.cholesky(noise)),
        )

    def _moved(self, name: str, z: Array) -> Array:
        if name not in self.basis:
            return np.zeros(SIZE)
        places = [self.unknowns["curve", name, str(i)] for i in range(self.basis[name].shape[1])]
        return np.asarray(self.basis[name] @ z[places])

    def _lot(self, one: Fired, stain: str, z: Array) -> float:
        place = self.unknowns.get(("lot", one.lots.get(stain, ""), stain))
        return 0.0 if place is None else float(z[place])

    def _stray(self, one: Fired, z: Array) -> float:
        if one.surface != "matt":
            return 0.0
        return one.ceramic.stray + float(z[self.unknowns["face", one.material or "", None]])

    def _amounts_of(self, one: Fired) -> list[Key]:
        """What all amounts of an outcome share: its hand, its programme, its firing."""
        named = (("operator", one.operator or NOBODY), ("programme", one.programme or ""), ("firing", one.firing))
        return [key for what, name in named if (key := (what, name, None)) in self.unknowns]

    def _hand(self, one: Fired, z: Array) -> float:
        return float(sum(z[self.unknowns[key]] for key in self._amounts_of(one)))

    def told(self, z: Array, covariance: Array, held: Mapping[str, float]) -> dict[Key, Factor]:
        """The factors of hands, jars and programmes as they now stand."""
        counts: dict[Key, int] = {}
        for one in self.outcomes:
            for key in factors_of(one):
                counts[key] = counts.get(key, 0) + (one.key not in held)
        rows = self.shared(covariance)
        return {
            key: Factor(
                *key,
                ln=float(z[i]),
                sd=float(np.sqrt(covariance[i, i])),
                outcomes=counts[key],
                shared=tuple(rows[i].tolist()),
            )
            for key, i in self.factors.items()
            if key in counts
        }

    def shared(self, covariance: Array) -> Array:
        """(f, f) rows whose products are the covariance of the factors: their doubts by numbers in common."""
        own = len(self.factors)
        return np.asarray(np.linalg.cholesky(covariance[:own, :own]), dtype=float)

    def updated(self, z: Array, covariance: Array) -> Optics:
        """The optics with curves moved and their doubt narrowed as the outcomes show.

        Curves and factors are first known together: a hand that is heavier than believed, a stain that is weaker. The
        doubt of a curve that goes with the factors stays apart from the doubt that remains once these are known.
        """
        stains, ceramics = dict(self.optics.stains), dict(self.optics.ceramics)
        for (what, material, _), place in self.unknowns.items():
            if what == "face":
                known = self.optics.ceramic(material or None)
                moved = float(z[place])
                other = None if known.other_stray is None else known.other_stray + moved
                ceramics[material] = replace(known, stray=known.stray + moved, other_stray=other)
        factors, rows = slice(0, len(self.factors)), self.shared(covariance)
        for name, columns in self.basis.items():
            places = [self.unknowns["curve", name, str(i)] for i in range(columns.shape[1])]
            curve = self.curves[name]
            with_factors = np.linalg.solve(rows, covariance[factors, places]).T  # (c, f) by the numbers in common
            alone = covariance[np.ix_(places, places)] - with_factors @ with_factors.T
            values, vectors = np.linalg.eigh(alone)
            rest = curve.factor - columns @ (np.linalg.pinv(columns) @ curve.factor)
            factor = np.concatenate([columns @ (vectors * np.sqrt(np.maximum(values, 0.0))), rest], axis=1)
            mean = curve.mean + self._moved(name, z)
            stains[name] = replace(curve, mean=mean, factor=factor, shared=columns @ with_factors)
        return replace(self.optics, stains=stains, ceramics=ceramics)


@dataclass(frozen=True, slots=True, eq=False)
class _Film:
    """Alike outcomes as modelled (n, 31), what layers changed of it, and how it depends on what.

    ``k``, ``s``, ``exponents``, ``strengths`` (n, m, 31) of each stain, ``amounts`` (n, L, 31),
    ``by_stray`` (n, 31) of matt faces.
    """

    names: tuple[str, ...]
    stack: Stack
    base: Array
    change: Array
    k: Array
    s: Array
    exponents: Array
    strengths: Array
    amounts: Array
    by_stray: Array | None

    @classmethod
    def of(cls, names: tuple[str, ...], laid: Laid) -> _Film:
        """The film on some outcomes."""
        base = laid.ln_after()
        slopes, change = laid.slopes(base), base - laid.without_layers().ln_after()
        stray = laid.by_stray(laid.piece.ceramic.stray_sd) if laid.piece.surface == "matt" else None
        parts = slopes.absorbed, slopes.scattered, slopes.exponents, slopes.strengths, slopes.amounts
        return cls(names, laid.stack, base, change, *parts, stray)


def _noise(one: Fired, change: Array, firing: Array, stray: Array | None, unstated: Unstated) -> Array:
    """(31, 31) of ln reflectance of all that belongs to this outcome alone, but for the hand's scatter."""
    rows = [*model_rows(change, unstated.share), firing]
    if stray is not None:
        rows.append(stray * one.ceramic.stray_sd)
    stacked = np.array(rows)
    return np.asarray(stacked.T @ stacked + one.covariance + 2.0 * unstated.reading() + _SHAPE)


def _expected(name: str, families: Mapping[str, tuple[str, str | None]], optics: Optics) -> StainCurve:
    kind, family = families.get(name, ("surface", None))
    return expected_curve(name, kind, family, optics.pooled)


def _open_directions(curve: StainCurve) -> Array:
    """(64, r) the directions of a curve's doubt that are widest, one standard deviation long each."""
    u, s, _ = np.linalg.svd(curve.factor, full_matrices=False)
    return np.asarray(u[:, :CURVE_NUMBERS] * s[:CURVE_NUMBERS])
