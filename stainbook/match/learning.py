"""What outcomes teach about hands, lots and programmes: one fit over all of them.

The expected values of the chips are the prior; an outcome says by how much the colour that came out
differs from the one expected, and through the slopes of the film how much of each factor that takes.
Linear least squares (maximum a posteriori), repeated from the solution, over all outcomes at once:
their order does not matter, and what a correction replaces is simply not among them. How far hands
and firings scatter and how far hands differ is learnt beside it. An outcome that nothing plausible
explains is held back.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stainbook.match.factors import BETWEEN_HANDS_SD, MEAN_HAND, LearntFactors, NewHand, Scatter
from stainbook.match.fired import Fired
from stainbook.match.fired_fit import Part, Problem
from stainbook.match.scatter import Rows, firings_scored, hands_before, hands_scored, lab_scatter, normal_equations
from stainbook.match.work_as_chips import with_work
from stainbook.optics.curves import Optics
from stainbook.optics.forecast import FIRING_SD
from stainbook.optics.two_by_two import Array

FAR = 20.0  # squared distance in L*a*b*, in units of doubt, beyond which an outcome is held back (1 in 5,000)
ROUNDS = 6
STEPS = 3  # of the scatters in each round
SETTLED = 1e-3  # of ln amount and of ln scatter


def learn(
    optics: Optics,
    outcomes: Sequence[Fired],
    *,
    families: Mapping[str, tuple[str, str | None]] | None = None,
    lots_before: Mapping[tuple[str, str], str] | None = None,
    confirmed: frozenset[str] = frozenset(),
) -> LearntFactors:
    """Hands with their scatter, jars, programmes and curves as stripes and all outcomes together show them.

    Parameters
    ----------
    optics : as the stripes were fitted
    outcomes : zones that were fired and read
    families : kind and family of stains that may have no stripe
    lots_before : by stain and jar, the jar in use before it; a jar not named follows the stripes'
    confirmed : keys of outcomes that someone has looked at and that count however far off they are

    Returns
    -------
    LearntFactors : factors on the amount by hand, jar and programme, outliers, and the optics as they now stand

    Cost: a film evaluation for each outcome and unknown of it, and the cube of the number of unknowns for each hand.

    >>> from dataclasses import replace
    >>> import numpy as np
    >>> from stainbook.match.fired import Fired
    >>> from stainbook.match.learning import learn
    >>> from stainbook.optics.curves import Optics, expected_curve
    >>> from stainbook.optics.film import Piece
    >>> from stainbook.optics.forecast import forecast
    >>> from stainbook.records import Layer, Pot
    >>> husk = replace(expected_curve("husk", "surface", "brown"), factor=0.03 * np.eye(64))  # known to 3 %
    >>> optics, before, layers = Optics({"husk": husk}), np.full(31, 0.6), (Layer(Pot.of({"husk": 1 / 4})),)
    >>> zirconia = optics.ceramic("zirconia")
    >>> (expected,) = forecast(optics, Piece(before, "glazed", 0.0, zirconia), [layers])
    >>> after = 0.95 * expected.reflectance  # darker than expected: a heavy hand
    >>> one = Fired("11", before, "glazed", zirconia, layers, after, 1e-5 * np.eye(31), operator="bench-2")
    >>> round(learn(optics, [one]).factors["operator", "bench-2", None].factor, 1)
    1.4
    """
    optics, outcomes = with_work(optics, outcomes, families or {})
    if not outcomes:
        return LearntFactors({}, {}, optics)
    problem = Problem.of(optics, outcomes, families or {}, lots_before or {})
    state = _State.of(problem)
    held: dict[str, float] = {}
    for _ in range(ROUNDS):
        parts = problem.linearised(state.z, state.firing)
        distance = {part.key: part.distance(state.covariance, state.hands[part.hand].scatter) for part in parts}
        held = {key: d for key, d in distance.items() if d > FAR and key not in confirmed}
        new = _solved(problem, state, [part for part in parts if part.key not in held])
        settled, state = new.apart(state) < SETTLED, new
        if settled:
            break
    return LearntFactors(
        factors=problem.told(state.z, state.covariance, held),
        held=held,
        optics=problem.updated(state.z, state.covariance),
        scatters={one.operator: one for one in _counted(state.hands, problem, held)},
        new_hand=state.new_hand(problem),
        firing=state.firing,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    """What is believed: the unknowns with their doubt, each hand's scatter, that of firings, the spread of hands."""

    z: Array
    covariance: Array
    hands: list[Scatter]
    firing: float
    between: float

    @classmethod
    def of(cls, problem: Problem) -> _State:
        """Before any outcome."""
        z, optics = np.zeros(len(problem.unknowns)), problem.optics
        covariance = np.asarray(np.linalg.inv(problem.prior(BETWEEN_HANDS_SD, FIRING_SD)), dtype=float)
        hands = hands_before(problem.hands, optics.pooled.hand, optics.operator)
        return cls(z, covariance, hands, FIRING_SD, BETWEEN_HANDS_SD)

    def apart(self, other: _State) -> float:
        """The largest difference of an unknown or of ln of a spread."""
        spreads = [
            np.log([*(one.scatter for one in state.hands), state.firing, state.between]) for state in (self, other)
        ]
        return float(max(np.abs(self.z - other.z).max(), np.abs(spreads[0] - spreads[1]).max()))

    def new_hand(self, problem: Problem) -> NewHand:
        """A hand of the lab that has no outcome yet."""
        mean = problem.unknowns[MEAN_HAND]
        lab = lab_scatter(self.hands, problem.optics.pooled.hand, problem.optics.operator)
        doubt = float(np.sqrt(self.covariance[mean, mean] + self.between**2))
        shared = problem.shared(self.covariance)[mean]
        return NewHand(float(self.z[mean]), doubt, lab, tuple(shared.tolist()))


def _solved(problem: Problem, state: _State, parts: Sequence[Part]) -> _State:
    """The state that these outcomes, linear about the present one, leave."""
    steady, right, rows = _evidence(parts, state.z)
    firings = list(problem.firings.values())
    z, hands, firing, between = state.z, state.hands, state.firing, state.between
    for _ in range(STEPS):
        normal, side = normal_equations(steady + problem.prior(between, firing), right, rows, hands)
        covariance = np.asarray(np.linalg.inv(normal), dtype=float)
        z = covariance @ side
        hands = hands_scored(
            hands, rows, z, covariance, chips=problem.optics.pooled.hand, own_hand=problem.optics.operator
        )
        if firings:
            firing = firings_scored(firing, z[firings], covariance[firings, firings], FIRING_SD)
        between = problem.between(z, covariance)
    return _State(z, covariance, hands, firing, between)


def _evidence(parts: Sequence[Part], z: Array) -> tuple[Array, Array, Rows]:
    """Normal matrix and right side as if all hands were steady, and the rows that say how they are not."""
    normal, right, rows = np.zeros((len(z), len(z))), np.zeros(len(z)), [Rows.none(len(z))]
    for part in parts:
        slopes, residual, own = part.evidence(z)
        normal += slopes.T @ slopes
        right += slopes.T @ residual
        rows.append(own)
    return normal, right, Rows.together(rows)


def _counted(hands: Sequence[Scatter], problem: Problem, held: Mapping[str, float]) -> list[Scatter]:
    """The scatters, each with the number of outcomes that it was learnt from."""
    names = [one.operator or "" for one in problem.outcomes if one.key not in held]
    return [replace(one, outcomes=names.count(one.operator)) for one in hands]
