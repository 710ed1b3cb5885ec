"""What a lab could do with its stripes without stainbook: shifts added up, two-flux theory, three-channel mixing.

Each learns from the same stripes as stainbook, tells the colour of layers, and advises what comes nearest to a target.
How far its own stripes lie off what it tells of them is all the doubt that it has.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.spatial import cKDTree

from stainbook.colour import WAVELENGTHS, delta_e_2000, tristimulus_weights, xyz_to_lab
from stainbook.match.layer_options import Options, options_of
from stainbook.optics.ceramic import has_bare_face
from stainbook.optics.fit import FiredChip
from stainbook.records import CLEAR, Layer, Layers
from tests.optics import kubelka_munk as km
from tests.worlds.pigments import Array

K1 = 0.04  # Fresnel's reflection of glass near the normal
GLASS_K2, BARE_K2, BARE_K1 = 0.5963, 0.823, 0.133  # under glaze, of bare zirconia: tests/published/fresnel_diffuse.csv
LEAST, MOST = 1e-4, 0.9999  # of a reflectance
NEAREST = 60  # stacks that are worked out in full
PARTNERS = 4  # second layers tried on each first one
DRAWS = 512
# How far a fit may go from its first guess (sd): keeps it from running away, no more
LOOSE, LOOSE_POWER = 2.0, 0.1  # of ln K and ln S; of the power of a share, of what a firing takes
LOOSE_FACES = np.array([0.1, 0.1, 0.02])  # of k2 under glaze, of k2 of a bare face, of stray light
BY_HAND = 0.12  # of ln amount of a stripe
READ_TO = 0.01  # of ln reflectance
STEPS = 30
SHARPENED = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])  # Bradford
XYZ = np.asarray(tristimulus_weights(WAVELENGTHS, illuminant="D65", observer=10))
WHITE = XYZ.sum(axis=0)


class Told(Protocol):
    """A way to tell the colour of layers, with the spread (3, 3) of what its own stripes lay off it in L*a*b*."""

    spread: Array

    def colours(self, reading: Array, surface: str, stacks: Sequence[Layers], *, glazed: bool = True) -> Array:
        """L*, a*, b* (n, 3), D65 and 10 degrees, of a piece after each stack."""
        ...


def lab_of(reflectance: Array) -> Array:
    """L*, a*, b* under D65 and 10 degrees."""
    return np.asarray(xyz_to_lab(reflectance @ XYZ, WHITE))


# ---------------------------------------------------------------- shifts added up


@dataclass(eq=False)
class Shifts:
    """L*a*b* shifts that stripes made, in a straight line between the shares that were fired, times coats, added up."""

    chips: Sequence[FiredChip]
    spread: Array = field(init=False)
    glaze: dict[str, Array] = field(init=False)  # what clear glaze alone does to a face
    points: dict[str, tuple[Array, Array]] = field(init=False)

    def __post_init__(self) -> None:
        self.glaze = self._glaze()
        self.points = {name: self._points(name) for name in _stains(self.chips)}
        off = [lab_of(chip.reading) - self._one(chip) for chip in self.chips if _stained(chip)]
        off = [one for one in off if np.abs(one).max() > 1e-9]  # stripes that the table repeats tell nothing
        self.spread = np.mean([np.outer(one, one) for one in off], axis=0)

    def colours(self, reading: Array, surface: str, stacks: Sequence[Layers], *, glazed: bool = True) -> Array:
        """L*, a*, b* (n, 3)."""
        start = lab_of(reading) + (self.glaze.get(surface, np.zeros(3)) if glazed else 0.0)
        return start + np.array([self._shift(stack) for stack in stacks])

    def _shift(self, stack: Layers) -> Array:
        total = np.zeros(3)
        for layer in stack:
            for name, share in layer.pot.shares:
                shares, shifts = self.points[name]
                total += layer.coats * np.array([np.interp(share, shares, shifts[:, axis]) for axis in range(3)])
        return total

    def _glaze(self) -> dict[str, Array]:
        found: dict[str, list[Array]] = {}
        for chip in self.chips:
            if not _stained(chip) and chip.glazed:
                found.setdefault(chip.body_surface, []).append(lab_of(chip.reading) - lab_of(chip.body_reading))
        return {surface: np.mean(all_, axis=0) for surface, all_ in found.items()}

    def _points(self, name: str) -> tuple[Array, Array]:
        """Shares and the shift of a coat, from the plate with most stripes; fewest coats of a share, fired once."""
        own = [c for c in self.chips if name in c.layers[0].pot.stains and c.layers[0].firings == 1]
        bodies = [c.body for c in own]
        plate = max(dict.fromkeys(bodies), key=bodies.count)
        found: dict[float, tuple[int, Array]] = {}
        for chip in (c for c in own if c.body == plate):
            (layer,) = chip.layers
            share, coats = dict(layer.pot.shares)[name], layer.coats
            if share not in found or coats < found[share][0]:
                found[share] = coats, (lab_of(chip.reading) - self._bare(chip)) / coats
        shares = sorted(found)
        return np.array([0.0, *shares]), np.array([np.zeros(3), *(found[share][1] for share in shares)])

    def _bare(self, chip: FiredChip) -> Array:
        """The plate under clear glaze, as its own stripe shows it."""
        clear = [c for c in self.chips if c.body == chip.body and not _stained(c) and c.glazed]
        return lab_of(clear[0].reading if clear and chip.glazed else chip.body_reading)

    def _one(self, chip: FiredChip) -> Array:
        return self._bare(chip) + self._shift(chip.layers)


# ---------------------------------------------------------------- two-flux theory, on bands or on three channels


@dataclass(frozen=True)
class Bands:
    """What a reading is taken to before K and S are looked for, and the way back to L*a*b*."""

    to: Array  # (31, m)
    name: str

    def of(self, reflectance: Array) -> Array:
        """Reflectances (…, m) of the bands."""
        return np.asarray(reflectance @ self.to)

    def lab(self, bands: Array) -> Array:
        """L*, a*, b* (…, 3) of what the bands reflect."""
        return lab_of(bands) if self.to.shape[1] == len(WAVELENGTHS) else self._lab_of_three(bands)

    def _lab_of_three(self, bands: Array) -> Array:
        return np.asarray(xyz_to_lab((bands * (SHARPENED @ WHITE)) @ np.linalg.inv(SHARPENED).T, WHITE))


SPECTRUM = Bands(np.eye(len(WAVELENGTHS)), "two-flux")
CHANNELS = Bands(XYZ @ SHARPENED.T / (SHARPENED @ WHITE), "three channels")


@dataclass(eq=False)
class Flux:
    """Kubelka and Munk's layers under Saunderson's faces, by least squares on all stripes together.

    Of each stain ln K and ln S (m,) of a full-strength coat, the power of its share and what a firing takes of K; of
    the faces what reflects back inside under glaze and of a bare face, and the stray light of a bare one; of each
    stripe how much the hand laid on, within what hands usually do.
    """

    chips: Sequence[FiredChip]
    bands: Bands = SPECTRUM
    spread: Array = field(init=False)
    faces: Array = field(init=False)  # k2 under glaze, k2 of a bare face, stray light
    known: dict[str, Array] = field(init=False)  # (2 m + 2,): ln K, ln S, power - 1, fade

    def __post_init__(self) -> None:
        self.chips = tuple(self.chips)
        names = _stains(self.chips)
        self._groups = [[i for i, c in enumerate(self.chips) if name in c.layers[0].pot.stains] for name in names]
        self._wide = self.bands.to.shape[1]
        self._seen = np.log(np.maximum(self.bands.of(np.array([c.reading for c in self.chips])), LEAST))
        start = np.concatenate([[0.0, 0.0, 0.0], *(self._guess(group) for group in self._groups)])
        each = np.r_[np.full(2 * self._wide, LOOSE), LOOSE_POWER, LOOSE_POWER]
        self._loose = np.concatenate([LOOSE_FACES, np.tile(each, len(names)), np.full(len(self.chips), BY_HAND)])
        found = self._fitted(np.concatenate([start, np.zeros(len(self.chips))]))
        self.faces, stains, _ = self._parts(found)
        self.known = dict(zip(names, stains, strict=True))
        off = np.array([
            self.colours(c.body_reading, c.body_surface, [c.layers], glazed=c.glazed)[0] - lab_of(c.reading)
            for c in self.chips
        ])  # fmt: skip
        freedom = max(1.0 - start.size / self._seen.size, 0.2)
        self.spread = off.T @ off / (len(off) * freedom)

    def colours(self, reading: Array, surface: str, stacks: Sequence[Layers], *, glazed: bool = True) -> Array:
        """L*, a*, b* (n, 3)."""
        inside = np.broadcast_to(self._inside(self.bands.of(reading), surface), (len(stacks), self._wide)).copy()
        for depth in range(max((len(stack) for stack in stacks), default=0)):
            rows = [i for i, stack in enumerate(stacks) if len(stack) > depth]
            inside[rows] = self._laid(inside[rows], [stacks[i][depth] for i in rows], self.known)
        return self.bands.lab(self._outside(inside, surface, glazed=glazed))

    # -------------------------------------------------------- the fit

    def _guess(self, group: Sequence[int]) -> Array:
        """K by how much darker a full coat is, S small."""
        ratio = np.log(np.maximum(self.bands.of(self.chips[group[0]].body_reading), LEAST)) - self._seen[group[0]]
        return np.concatenate([np.log(np.maximum(0.4 * ratio, 0.02)), np.full(self._wide, np.log(0.1)), [0.0, 0.02]])

    def _fitted(self, start: Array) -> Array:
        """Levenberg and Marquardt's steps until the cost stands still."""
        x, miss, damp = start, self._misses(start, start), 1e-2
        for _ in range(STEPS):
            slopes = self._slopes(x, start)
            bend, pull = slopes.T @ slopes, slopes.T @ miss
            for _ in range(6):
                step = cho_solve(cho_factor(bend + damp * np.diag(np.diag(bend))), -pull)
                tried = self._misses(x + np.clip(step, -1.0, 1.0), start)
                if tried @ tried < miss @ miss:
                    break
                damp *= 8.0
            else:
                return x
            gained = 1.0 - (tried @ tried) / (miss @ miss)
            x, miss, damp = x + np.clip(step, -1.0, 1.0), tried, damp / 4.0
            if gained < 1e-4:
                break
        return x

    def _misses(self, x: Array, start: Array) -> Array:
        return np.concatenate([((self._told(x) - self._seen) / READ_TO).ravel(), (x - start) / self._loose])

    def _told(self, x: Array) -> Array:
        """ln reflectance (n, m) of all stripes."""
        self.faces, stains, amounts = self._parts(x)
        known = dict(zip(_stains(self.chips), stains, strict=True))
        out = np.empty_like(self._seen)
        for surface, glazed in dict.fromkeys((c.body_surface, c.glazed) for c in self.chips):
            rows = [i for i, c in enumerate(self.chips) if (c.body_surface, c.glazed) == (surface, glazed)]
            before = self.bands.of(np.array([self.chips[i].body_reading for i in rows]))
            layers = [self.chips[i].layers[0] for i in rows]
            inside = self._laid(self._inside(before, surface), layers, known, np.exp(amounts[rows]))
            out[rows] = np.log(np.maximum(self._outside(inside, surface, glazed=glazed), LEAST))
        return out

    def _slopes(self, x: Array, start: Array) -> Array:
        """Of the misses: a band's K and S touch that band of that stain's stripes alone, so all are moved at once."""
        n, m = self._seen.shape
        base, step = self._told(x), 1e-5
        slopes = np.zeros((n, m, x.size))
        for i in range(3):
            slopes[..., i] = (self._told(x + step * (np.arange(x.size) == i)) - base) / step
        for kind in range(4):
            place = [np.arange(m), m + np.arange(m), np.array([2 * m]), np.array([2 * m + 1])][kind]
            places = 3 + np.arange(len(self._groups))[:, None] * (2 * m + 2) + place
            change = (self._told(x + step * np.isin(np.arange(x.size), places)) - base) / step
            for group, at in zip(self._groups, places, strict=True):
                if kind < 2:
                    for band in range(m):
                        slopes[group, band, at[band]] = change[group, band]
                else:
                    slopes[group, :, at[0]] = change[group]
        change = (self._told(x + step * (np.arange(x.size) >= x.size - n)) - base) / step
        slopes[np.arange(n), :, x.size - n + np.arange(n)] = change
        return np.vstack([slopes.reshape(n * m, -1) / READ_TO, np.diag(1.0 / self._loose)])

    # -------------------------------------------------------- layers and faces

    def _parts(self, x: Array) -> tuple[Array, Array, Array]:
        """The faces, the stains (s, 2 m + 2), and ln amount of each stripe."""
        faces = np.clip([GLASS_K2 + x[0], BARE_K2 + x[1], 0.02 + x[2]], 0.0, [0.95, 0.97, 0.2])
        end = x.size - len(self.chips)
        return faces, x[3:end].reshape(-1, 2 * self._wide + 2), x[end:]

    def _inside(self, bands: Array, surface: str) -> Array:
        bare = has_bare_face(surface)
        net = np.maximum(bands - (self.faces[2] if bare else 0.0), LEAST)
        terms = (BARE_K1, self.faces[1]) if bare else (K1, self.faces[0])
        return np.clip(km.inverse_saunderson(net, *terms, specular=False), LEAST, MOST)

    def _outside(self, inside: Array, surface: str, *, glazed: bool) -> Array:
        if glazed or not has_bare_face(surface):
            return np.asarray(km.saunderson(inside, K1, self.faces[0], specular=False))
        return np.asarray(km.saunderson(inside, BARE_K1, self.faces[1], specular=False) + self.faces[2])

    def _laid(
        self, inside: Array, layers: Sequence[Layer], known: dict[str, Array], amounts: Array | None = None
    ) -> Array:
        m = self._wide
        by_hand = np.ones(len(layers)) if amounts is None else amounts
        K, S = np.zeros((len(layers), m)), np.zeros((len(layers), m))
        for i, layer in enumerate(layers):
            for name, share in layer.pot.shares:
                x = known[name]
                amount = by_hand[i] * layer.coats * share ** (1.0 + x[2 * m])
                K[i] += amount * np.exp(x[:m]) * (1.0 - x[2 * m + 1]) ** (layer.firings - 1)
                S[i] += amount * np.exp(x[m : 2 * m])
        return np.asarray(km.reflectance(K, S, 1.0, inside))


def _stained(chip: FiredChip) -> bool:
    return any(layer.pot.stains for layer in chip.layers)


def _stains(chips: Sequence[FiredChip]) -> tuple[str, ...]:
    names = dict.fromkeys(name for chip in chips for layer in chip.layers for name in layer.pot.stains)
    return tuple(name for name in names if name != CLEAR)


BASELINES: dict[str, Callable[[Sequence[FiredChip]], Told]] = {
    "shifts": Shifts,
    "two-flux": Flux,
    "three channels": lambda chips: Flux(chips, CHANNELS),
}


# ---------------------------------------------------------------- advice


def radius(told: Told, colour: Array, rng: np.random.Generator) -> float:
    """ΔE00 within which 9 in 10 lie by the spread of the baseline's own stripes."""
    return float(np.quantile(delta_e_2000(_drawn(told, colour, rng), colour), 0.9))


def chance(told: Told, colour: Array, target: Array, limit: float, rng: np.random.Generator) -> float:
    """The chance of ending within the limit of the target, by the same spread."""
    return float(np.mean(delta_e_2000(_drawn(told, colour, rng), target) <= limit))


def _drawn(told: Told, colour: Array, rng: np.random.Generator) -> Array:
    return np.asarray(rng.multivariate_normal(colour, told.spread, DRAWS))


def best(
    told: Told, reading: Array, surface: str, target: Array, options: Options, *, layers: int = 2
) -> tuple[Layers, Array]:
    """What comes nearest to the target of no stain, one layer, and each layer with its best partners; its colour."""
    singles = [(layer,) for layer in options.layers]
    one = told.colours(reading, surface, singles)
    (bare,) = told.colours(reading, surface, [()])
    stacks: list[Layers] = [(), *singles]
    if layers > 1:
        far, partner = cKDTree(one - bare).query(target - one, k=PARTNERS)
        nearest = np.argsort(far, axis=None)[:NEAREST]
        bottom, top = np.divmod(nearest, PARTNERS)[0], partner.ravel()[nearest]
        stacks += [
            (options.layers[b], options.layers[t])
            for b, t in zip(bottom, top, strict=True)
            if options.coats[b] + options.coats[t] <= options.in_all
        ]
    every = np.vstack([bare, one, *([told.colours(reading, surface, stacks[1 + len(one) :])] if layers > 1 else [])])
    found = int(np.argmin(delta_e_2000(every, target)))
    return stacks[found], every[found]


def best_of_few(
    told: Told, pieces: Sequence[tuple[Array, str, Array]], options: Options, *, mixes: int, coats: int
) -> list[Layers]:
    """Layers for several zones (reading, surface, target) of no more than so many mixes.

    Mixes are added one by one, each the one that helps most, then exchanged while that helps; then layers of them.
    """
    pots = list(dict.fromkeys(layer.pot for layer in options.layers))
    which = np.array([pots.index(layer.pot) for layer in options.layers])
    far, bare = [], []
    for reading, surface, target in pieces:
        every = delta_e_2000(told.colours(reading, surface, [(), *((one,) for one in options.layers)]), target)
        bare.append(every[0])
        far.append([every[1:][which == i].min() for i in range(len(pots))])
    cost, left = np.array(far), np.array(bare)
    chosen: list[int] = []
    for _ in range(mixes):
        chosen.append(_next(cost, left, chosen))
    for _ in range(2):
        for place in range(mixes):
            others = chosen[:place] + chosen[place + 1 :]
            chosen = [*others[:place], _next(cost, left, others), *others[place:]]
    few = options_of([pots[i] for i in dict.fromkeys(chosen)], int(options.coats.max()), in_all=coats)
    return [best(told, reading, surface, target, few)[0] for reading, surface, target in pieces]


def _next(cost: Array, left: Array, chosen: Sequence[int]) -> int:
    """The mix that leaves least in squares beside those chosen."""
    have = np.minimum(left, cost[:, list(chosen)].min(axis=1)) if chosen else left
    return int(np.argmin((np.minimum(have[:, None], cost) ** 2).sum(axis=0)))
