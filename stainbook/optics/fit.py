"""Stain optics from fired chips: the likeliest curves, and their covariance, given chips and expectations.

One non-linear least-squares problem (maximum a posteriori) for each group of stains that share
chips: ln K and ln S by wavelength, the share's exponent and the fade of each stain, and for each
layer of each chip how much more or less than meant the hand put on. Chips count by the noise of
their readings, by what the model itself cannot follow, and by the hand; curves are held to their
family's by a smooth prior. Solved by Gauss-Newton steps with Levenberg's damping; the inverse of the
last normal matrix is the covariance.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stainbook.optics.ceramic import Ceramic
from stainbook.optics.curves import BANDS, EXPONENT, FADE, LN_K, LN_S, SIZE, Pooled, StainCurve, prior_of
from stainbook.optics.film import Piece
from stainbook.optics.laid import Laid
from stainbook.optics.stack import Stack, stack_of
from stainbook.optics.two_by_two import Array
from stainbook.optics.unlike import HandSpread, Unlike, hand_spread
from stainbook.records import Layers

# What the four-stream model cannot follow, of ln reflectance: band by band, and of the level as a whole.
# Chosen by how well left-out chips and the -ideal trials of both practice labs are met (DEVELOPERS, Optics).
MODEL_BAND_SD = 0.006
MODEL_LEVEL_SD = 0.006
STEP = 1e-4  # of an amount, relative, for difference quotients
MOST_STEPS = 60
FIRST_STEPS = 6  # from each of the starts, before the best of them goes on
MOST_TRIES = 8  # of stronger damping, before a place counts as the end
# A stripe that misses by more than honest ones do (33 at most, in labs of 1 % noise) pulls ever less: else one that was
# never painted bends its stain and the hand with it.
HONEST = 36.0  # squares of its residual and its layers' luck, in units of their doubts
SETTLED = 1e-3  # a step that lowers the cost by less ends the search
LONGEST = 1.5  # of one step in ln K: keeps the first steps in bounds
LONGEST_HAND = 0.3  # of one step in ln amount: else first steps blame the hand for what the stain does
ABSORPTION_LEVELS = (-2.0, -1.0, 0.0, 1.0, 2.0)  # of ln K about the prior's mean, to begin from
SCATTERING_LEVELS = (-1.5, 0.0, 1.5)  # of ln S likewise


@dataclass(frozen=True, slots=True, eq=False)
class FiredChip:
    """A chip ready for fitting: its layers, the bare body's and its own reading on 400-700/10 nm.

    ``covariance`` (31, 31) of ln reflectance comes on top of the model's own: noise of the readings,
    what a reading lifted from L*a*b* leaves open, stray light of the body's face. ``unlike`` is where its hand or
    jars are not those that the fit means.
    """

    name: str
    body: str
    material: str | None
    layers: Layers
    body_reading: Array
    body_surface: str | None
    reading: Array
    covariance: Array
    stray: float = 0.0
    glazed: bool = True
    unlike: tuple[Unlike, ...] = ()
    body_stage: str | None = None  # at which its body was read


@dataclass(frozen=True, slots=True, eq=False)
class Batch:
    """Chips of one ceramic whose bodies and results were read through like faces: their rows in the group."""

    rows: NDArray[np.int_]
    piece: Piece
    glazed: bool


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Stains that are fitted together, their chips as arrays, and the weights of the residuals."""

    names: tuple[str, ...]
    chips: tuple[FiredChip, ...]
    stack: Stack
    batches: tuple[Batch, ...]
    soaks: NDArray[np.bool_]
    fixed: tuple[StainCurve, ...]
    whiten: Array  # (n, 31, 31)
    target: Array  # (n, 31) ln reflectance
    hand_sd: Array  # (n, L)
    spread: HandSpread  # of the hand, and of what layers share that were not made alike


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """Where a group's fit ended: stains (m, 64), hand (n, L), residual ln (n, 31), covariance of all.

    ``pull`` (n,) is how much each chip counted, 1 where it misses by no more than honest ones do.
    """

    theta: Array
    hand: Array
    residual: Array
    covariance: Array
    cost: float
    pull: Array


def group_of(
    names: Sequence[str],
    kinds: dict[str, str],
    chips: Sequence[FiredChip],
    ceramics: Callable[[str | None], Ceramic],
    pooled: Pooled,
    fixed: Sequence[StainCurve] = (),
) -> Group:
    """Arrays for fitting the stains ``names`` to their stripes; ``fixed`` stains take part as they are."""
    order = (*names, *(curve.name for curve in fixed))
    stack = stack_of([chip.layers for chip in chips], order)
    covariances = np.array([chip_covariance(chip) for chip in chips])
    hand_sd = pooled.hand / np.sqrt(np.maximum(stack.coats, 1.0))
    return Group(
        names=tuple(names),
        chips=tuple(chips),
        stack=stack,
        batches=_batches(chips, ceramics),
        soaks=np.array([kinds.get(name) == "infiltrating" for name in order]),
        fixed=tuple(fixed),
        whiten=np.linalg.inv(np.linalg.cholesky(covariances)),
        target=np.log(np.array([chip.reading for chip in chips])),
        hand_sd=hand_sd,
        spread=hand_spread(hand_sd, [chip.unlike for chip in chips]),
    )


def _batches(chips: Sequence[FiredChip], ceramics: Callable[[str | None], Ceramic]) -> tuple[Batch, ...]:
    rows: dict[tuple[str | None, str | None, bool], list[int]] = {}
    for i, chip in enumerate(chips):
        rows.setdefault((chip.material, chip.body_surface, chip.glazed), []).append(i)
    batches = []
    for (material, surface, glazed), places in rows.items():
        reading = np.array([chips[i].body_reading for i in places])
        stray = np.array([[chips[i].stray] for i in places])
        batches.append(Batch(np.array(places), Piece(reading, surface, stray, ceramics(material)), glazed))
    return tuple(batches)


def model_covariance() -> Array:
    """(31, 31) covariance of ln reflectance of the model's own error."""
    return np.asarray(MODEL_BAND_SD**2 * np.eye(BANDS) + MODEL_LEVEL_SD**2 * np.ones((BANDS, BANDS)))


def chip_covariance(chip: FiredChip) -> Array:
    """(31, 31) covariance of a stripe's ln reflectance about the model: its own, and the model's error."""
    return np.asarray(chip.covariance + model_covariance())


def modelled(group: Group, theta: Array, hand: Array | float) -> Array:
    """ln reflectance (n, 31) that the stains ``theta`` (m, 64) give a group's stripes; ``hand`` (n, L) is ln amount."""
    out = np.empty_like(group.target)
    for batch, laid in _laid(group, theta, hand):
        out[batch.rows] = laid.ln_after()
    return out


def _laid(group: Group, theta: Array, hand: Array | float) -> Iterator[tuple[Batch, Laid]]:
    every = np.concatenate([theta, *(curve.mean[None] for curve in group.fixed)]) if group.fixed else theta
    amounts = np.broadcast_to(hand, group.stack.coats.shape)
    for batch in group.batches:
        stack = group.stack.take(batch.rows)
        yield batch, Laid.of(batch.piece, stack, every, group.soaks, ln_amount=amounts[batch.rows], glazed=batch.glazed)


@dataclass(frozen=True, slots=True, eq=False)
class _Prior:
    """Means (m, 64) of the stains, the roots (m, 64, 64) of their precisions, and how far honest chips miss."""

    mean: Array
    roots: Array
    honest: float


@dataclass(frozen=True, slots=True, eq=False)
class _Place:
    """Where a search is: the stains, the hand, what the model makes of them, and the cost."""

    theta: Array
    hand: Array
    model: Array
    cost: float
    pull: Array


def solve(
    group: Group,
    prior_mean: Array,
    prior_covariance: Array,
    *,
    start: Array | None = None,
    most_steps: int = MOST_STEPS,
) -> Solution:
    """The likeliest stains and hand of a group.

    Parameters
    ----------
    prior_mean : (m, 64)
    prior_covariance : (m, 64, 64)
    start : (m, 64) where to begin; None tries several, since a little and much scattering can look alike
    most_steps : of the search
    """
    roots = np.asarray(np.linalg.inv(np.linalg.cholesky(prior_covariance)), dtype=float)
    prior = _Prior(prior_mean, roots, HONEST)
    if start is None:  # all chips count in full at first: far from the end, each of them looks wrong
        whole = replace(prior, honest=np.inf)
        begins = (_descend(group, place, whole, FIRST_STEPS) for place in _begins(group, whole))
        found = _descend(group, min(begins, key=lambda p: p.cost), whole, most_steps)
        begin = _at(group, found.theta, found.hand, prior)
    else:
        begin = _at(group, start, np.zeros(group.hand_sd.shape), prior)
    done = start is None and begin.pull.min() == 1.0
    end = begin if done else _descend(group, begin, prior, most_steps)
    normal, _ = _normal_equations(group, end, prior)
    covariance = np.asarray(np.linalg.inv(normal), dtype=float)
    return Solution(end.theta, end.hand, group.target - end.model, covariance, end.cost, end.pull)


def _begins(group: Group, prior: _Prior) -> list[_Place]:
    """The prior's mean with weak, usual and strong scattering, each with the absorption that meets the chips best."""
    none, places = np.zeros(group.hand_sd.shape), []
    for level in SCATTERING_LEVELS:
        theta = prior.mean.copy()
        theta[:, LN_S] += level
        place = _at(group, theta, none, prior)
        for j in range(len(theta)):
            tries = [_moved(place.theta, j, more) for more in ABSORPTION_LEVELS]
            place = min((_at(group, one, none, prior) for one in tries), key=lambda p: p.cost)
        places.append(place)
    return places


def _moved(theta: Array, j: int, ln_K: float) -> Array:
    moved = theta.copy()
    moved[j, LN_K] += ln_K
    return moved


def _at(group: Group, theta: Array, hand: Array, prior: _Prior) -> _Place:
    model = modelled(group, theta, hand)
    white = np.einsum("nvw,nw->nv", group.whiten, group.target - model)
    off = np.einsum("mij,mj->mi", prior.roots, theta - prior.mean)
    missed, luck = (white**2).sum(axis=1), 0.0
    if group.spread.apart:
        missed = missed + (np.square(hand / group.hand_sd)).sum(axis=1)
    else:
        luck = float(hand.reshape(-1) @ group.spread.precision @ hand.reshape(-1))
    pull = 1.0 / np.maximum(missed / prior.honest, 1.0)
    lessened = np.where(pull < 1.0, HONEST * (1.0 - np.log(pull)), missed)
    return _Place(theta, hand, model, float(lessened.sum() + (off**2).sum()) + luck, pull)


def _descend(group: Group, place: _Place, prior: _Prior, most_steps: int) -> _Place:
    """Gauss-Newton steps, damped until each of them lowers the cost."""
    damping = 1e-2
    for _ in range(most_steps):
        normal, gradient = _normal_equations(group, place, prior)
        for _ in range(MOST_TRIES):
            after = _step(group, place, prior, normal + damping * np.diag(np.diag(normal)), gradient)
            if after.cost < place.cost:
                break
            damping *= 5.0
        else:
            return place
        gain, place = place.cost - after.cost, after
        if gain < SETTLED:
            return place
        damping = max(damping / 5.0, 1e-8)
    return place


def _step(group: Group, place: _Place, prior: _Prior, damped: Array, gradient: Array) -> _Place:
    step, size = -np.linalg.solve(damped, gradient), place.theta.size
    theta = place.theta + np.clip(step[:size], -LONGEST, LONGEST).reshape(place.theta.shape)
    hand = place.hand + np.clip(step[size:], -LONGEST_HAND, LONGEST_HAND).reshape(place.hand.shape)
    return _at(group, theta, hand, prior)


def _normal_equations(group: Group, place: _Place, prior: _Prior) -> tuple[Array, Array]:
    """Half the Hessian (Gauss-Newton) and half the gradient of the cost, over stains then hand."""
    n = len(place.hand)
    J = jacobian(group, place.theta, place.hand, place.model)  # (n, 31, m * 64 + n * L) of the model
    whiten = group.whiten * np.sqrt(place.pull)[:, None, None]
    white = np.einsum("nvw,nwp->nvp", whiten, J).reshape(n * BANDS, -1)
    left = np.einsum("nvw,nw->nv", whiten, group.target - place.model).reshape(-1)
    normal, gradient = white.T @ white, -white.T @ left
    for j, root in enumerate(prior.roots):
        block = slice(j * SIZE, (j + 1) * SIZE)
        precision = root.T @ root
        normal[block, block] += precision
        gradient[block] += precision @ (place.theta[j] - prior.mean[j])
    hands = slice(place.theta.size, None)
    precision = group.spread.precision
    if group.spread.apart:
        precision = precision * np.repeat(place.pull, place.hand.shape[1])[:, None]
    normal[hands, hands] += precision
    gradient[hands] += precision @ place.hand.reshape(-1)
    return normal, gradient


def jacobian(group: Group, theta: Array, hand: Array, model: Array) -> Array:
    """d ln reflectance (n, 31) by every stain's numbers, then by every layer's hand: (n, 31, p).

    K and S act on their own wavelength alone, so each fills a diagonal.
    """
    m, (n, layers) = len(group.names), hand.shape
    J = np.zeros((n, BANDS, m * SIZE + n * layers))
    band = np.arange(BANDS)
    for batch, laid in _laid(group, theta, hand):
        slopes = laid.slopes(model[batch.rows], step=STEP)
        parts = slopes.absorbed, slopes.scattered, slopes.exponents, slopes.fades
        for column, row in np.ndindex(slopes.stack.stain.shape[::-1]):
            i, at = batch.rows[row], slopes.stack.stain[row, column] * SIZE
            if at >= m * SIZE:  # of a stain that is fixed
                continue
            k, s, exponent, fade = (part[row, column] for part in parts)
            J[i, band, at + LN_K.start + band] += k
            J[i, band, at + LN_S.start + band] += s
            J[i, :, at + EXPONENT] += exponent
            J[i, :, at + FADE] += fade
        for row, i in enumerate(batch.rows):
            J[i, :, m * SIZE + i * layers : m * SIZE + (i + 1) * layers] = slopes.amounts[row].T
    return J


def by_body(group: Group, solution: Solution) -> Array:
    """(n, 31) d ln reflectance of each stripe by ln reflectance of the plate it was painted on."""
    model, out = group.target - solution.residual, np.empty_like(group.target)
    for batch, laid in _laid(group, solution.theta, solution.hand):
        moved = replace(laid.piece, reading=laid.piece.reading * (1.0 + STEP))
        out[batch.rows] = (replace(laid, piece=moved).ln_after() - model[batch.rows]) / STEP
    return out


def curve_of(name: str, kind: str, family: str | None, group: Group, solution: Solution, chips: int) -> StainCurve:
    """One stain of a group's solution, with its block of the covariance."""
    position = group.names.index(name)
    block = slice(position * SIZE, (position + 1) * SIZE)
    covariance = solution.covariance[block, block]
    values, vectors = np.linalg.eigh(0.5 * (covariance + covariance.T))
    factor = vectors * np.sqrt(np.maximum(values, 0.0))
    shown = [c.body_reading.mean() for c in group.chips if any(name in layer.pot.stains for layer in c.layers)]
    return StainCurve(
        name, kind, family, solution.theta[position], factor, chips, darkest=float(min(shown, default=0.0))
    )


def priors_of(
    names: Sequence[str], kinds: dict[str, str], families: dict[str, str | None], pooled: Pooled
) -> tuple[Array, Array]:
    """Means (m, 64) and covariances (m, 64, 64) of stains before their stripes."""
    pairs = [prior_of(name, kinds.get(name, "surface"), families.get(name), pooled) for name in names]
    return np.array([p[0] for p in pairs]), np.array([p[1] for p in pairs])
