"""A simulated lab: its stains, hands, lots and furnace are drawn from a seed, its light from radiative transfer.

The lab differs from any few-flux model on purpose: many streams, forward-scattering pigments, fading of
absorption alone, coats that saturate, drag of wet layers, patchy coats and rough interfaces.
"""

from __future__ import annotations

import zlib
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from stainbook.records import CLEAR, Layer, Layers
from tests.worlds import adding_doubling as ad
from tests.worlds.bodies import Blank, gum, plate, tooth
from tests.worlds.first_names import seed_word
from tests.worlds.pigments import Array, absorption, scattering

GLAZE_INDEX = 1.5
ZIRCONIA_INDEX = 2.15
SURFACE_SEEN = 0.12  # share of a matt surface's own reflection that is read beside the gloss trap

STAIN_FAMILIES = {
    "flour": "white",
    "barley": "yellow",
    "pollen": "yellow",
    "plover": "orange",
    "kettle": "orange",
    "saddle": "brown",
    "peat": "brown",
    "moss": "olive",
    "wagtail": "grey",
    "squall": "blue",
    "heather": "violet",
    "peony": "pink",
    "thrift": "pink",
    "garnet": "red",
}

Composition = tuple[tuple[str, float], ...]  # stain (or clear) and millimetres of it at full strength


@dataclass(frozen=True)
class Pigment:
    """One stain as this world made it."""

    name: str
    family: str
    absorption: Array  # per mm
    scattering: Array  # per mm
    anisotropy: float
    coat_mm: float
    exponent: float  # of the share in a pot
    fade: float  # absorption lost by each extra firing


@dataclass(frozen=True)
class Piece:
    """A piece in the lab: reflection of its patches (P, 31, N, N) in its own top medium, and its surface."""

    name: str
    reflection: Array
    surface: str
    tissue: str = "tooth"
    stained: int = 0  # layers that it carries


@dataclass(frozen=True)
class World:
    """The lab and its habits; everything follows from the seed.

    ``matt``: zirconia of index 2.15 that is read matt and glazed afterwards, with patchy, saturating coats and
    firings that differ; else one index runs through body and glaze and every surface is glazed.
    """

    seed: int = 0
    matt: bool = False
    hand: float = 0.12  # log scatter of one coat
    operators: float = 0.10  # log scatter between operators; bench-1 made the chips
    lots: float = 0.12  # log scatter between lots; lot "chips" made the chips
    firing: float | None = None  # log scatter between firings: 0.03 in a matt world, else 0.01
    noise: float = 0.001  # of a reading, relative
    saturation: float | None = None  # each further coat adds this much less: 0.03 when matt, else 0
    patchiness: float | None = None  # relative thickness of thick and thin patches: 0.15 when matt, else 0
    drag: float = 0.04  # share that two wet layers exchange
    roughness: float = 0.6  # share of a matt surface that diffuses
    stains: dict[str, str] = field(default_factory=lambda: dict(STAIN_FAMILIES))
    streams: tuple[int, int, int] = (4, 4, 3)

    # ------------------------------------------------------------ what the seed made

    @cached_property
    def pigments(self) -> dict[str, Pigment]:
        """All stains by name, and the clear glaze."""
        shared = self._rng("lab").normal(0.92, 0.04)
        made = {name: self._pigment(name, family, shared) for name, family in self.stains.items()}
        glass = Pigment(CLEAR, CLEAR, np.full(31, 0.004), np.full(31, 0.35), 0.7, 0.022, 1.0, 0.0)
        return made | {CLEAR: glass}

    def _pigment(self, name: str, family: str, shared_exponent: float) -> Pigment:
        rng = self._rng("stain", name)
        return Pigment(
            name,
            family,
            absorption(family, rng),
            scattering(family, rng),
            anisotropy=rng.uniform(0.45, 0.75),
            coat_mm=rng.uniform(0.016, 0.034),
            exponent=shared_exponent + rng.normal(0, 0.025),
            fade=max(-0.02, rng.normal(0.025, 0.03)),
        )

    def operator_factor(self, operator: str) -> float:
        """Amount that this hand lays on, as a multiple of the hand that made the chips."""
        return 1.0 if operator == "bench-1" else float(self._rng("operator", operator).lognormal(0, self.operators))

    def lot_factor(self, stain: str, lot: str) -> float:
        """Strength of a lot as a multiple of the one that made the chips."""
        return 1.0 if lot == "chips" else float(self._rng("lot", stain, lot).lognormal(0, self.lots))

    def body(self, name: str, tissue: str = "tooth") -> Piece:
        """A bare body; ``plate-pale`` and ``plate-dark`` are the plates, any other name draws its own."""
        if name.startswith("plate-"):
            return self.piece(plate(name))
        return self.piece((gum if tissue == "gingiva" else tooth)(name, self._rng("body", name)))

    def bodies(self, count: int, tissue: str | None = None) -> list[Piece]:
        """Bare bodies; four in five are tooth-coloured unless a tissue is asked for."""
        return [self.body(f"body-{i:03d}", tissue or ("gingiva" if i % 5 == 4 else "tooth")) for i in range(count)]

    def piece(self, blank: Blank) -> Piece:
        """A bare piece from a blank, before any stain."""
        surface = "matt" if self.matt else "glazed"
        return Piece(blank.name, blank.reflection(self._body_streams)[None], surface, blank.tissue)

    # ------------------------------------------------------------ reading and firing

    def read(self, piece: Piece, *, rng: np.random.Generator | None = None) -> Array:
        """Reflectance (31,) of a piece, 8 degrees:diffuse, specular excluded; noisy if ``rng`` is given."""
        if piece.surface == "matt":
            patches = ad.sphere_reading(self._bare_surface, piece.reflection, surface_seen=SURFACE_SEEN)
        else:
            patches = ad.sphere_reading(self._glazed_surface, piece.reflection)
        true = np.asarray(patches.mean(axis=0))
        return true if rng is None else np.asarray(true * (1 + self.noise * rng.standard_normal(31)))

    def fire(
        self,
        piece: Piece,
        layers: Layers,
        *,
        operator: str = "bench-1",
        lots: dict[str, str] | None = None,
        rng: np.random.Generator | None = None,
        heat: float | None = None,
        ideal: bool = False,
    ) -> Piece:
        """The piece after the layers (bottom first) and the furnace; a bare matt piece always gets glass.

        ``ideal`` means no hand error and an average firing, but the same operator and lots. Zones that go
        through the furnace together share one ``heat`` (see `heat_of`); else each draws its own.
        """
        if not ideal and rng is None:
            raise ValueError("give rng, a numpy Generator, for a firing by hand; or ideal=True")
        chance = None if ideal else rng
        amounts = self._dragged([self._laid(layer, operator, lots or {}, chance) for layer in layers])
        if chance is not None:
            amounts = _scaled(amounts, self.heat_of(chance) if heat is None else heat)
        return self._covered(piece, amounts, [layer.firings for layer in layers])

    def heat_of(self, rng: np.random.Generator) -> float:
        """What one firing makes of every amount in it, as a factor."""
        return float(rng.lognormal(0, self._firing))

    def fire_many(self, piece: Piece, candidates: Sequence[Layers]) -> Array:
        """Readings (n, 31) of the piece after each candidate, fired without hand error."""
        return np.array([self.read(self.fire(piece, layers, ideal=True)) for layers in candidates])

    # ------------------------------------------------------------ inside

    def _rng(self, *names: str) -> np.random.Generator:
        return np.random.default_rng([self.seed, *(zlib.crc32(seed_word(name).encode()) for name in names)])

    def rng(self, *names: str) -> np.random.Generator:
        """A generator of its own for whatever the names stand for."""
        return self._rng("caller", *names)

    @property
    def _firing(self) -> float:
        return self.firing if self.firing is not None else (0.03 if self.matt else 0.01)

    @property
    def _saturation(self) -> float:
        return self.saturation if self.saturation is not None else (0.03 if self.matt else 0.0)

    @property
    def _patchiness(self) -> float:
        return self.patchiness if self.patchiness is not None else (0.15 if self.matt else 0.0)

    def _laid(
        self, layer: Layer, operator: str, lots: dict[str, str], rng: np.random.Generator | None
    ) -> dict[str, float]:
        """Millimetres of each stain at full strength that the coats of one layer bring."""
        coats = (1 - self._saturation) ** np.arange(layer.coats)
        if rng is not None:
            coats = coats * rng.lognormal(0, self.hand, layer.coats)
        amount = float(coats.sum()) * self.operator_factor(operator)
        named = dict(layer.lots) | lots
        shares = {name: share ** self.pigments[name].exponent for name, share in layer.pot.shares}
        laid = {
            name: amount * self.pigments[name].coat_mm * share * self.lot_factor(name, named.get(name, "chips"))
            for name, share in shares.items()
        }
        return laid | {CLEAR: amount * self.pigments[CLEAR].coat_mm * layer.pot.clear}

    def _dragged(self, laid: list[dict[str, float]]) -> list[Composition]:
        """Neighbouring wet layers exchange a little."""
        mixed = [dict(layer) for layer in laid]
        for low in range(len(laid) - 1):
            for this, other in ((low, low + 1), (low + 1, low)):
                for name, amount in laid[other].items():
                    mixed[this][name] = mixed[this].get(name, 0.0) + self.drag * amount
                    mixed[other][name] -= self.drag * amount
        return [tuple(sorted(layer.items())) for layer in mixed]

    def _covered(self, piece: Piece, amounts: list[Composition], firings: list[int]) -> Piece:
        below = piece.reflection
        if piece.surface == "matt":
            below = ad.cover(self._inner_surface, below)
            amounts, firings = amounts or [((CLEAR, self.pigments[CLEAR].coat_mm),)], firings or [1]
        for count, (amount, fired) in enumerate(zip(amounts, firings, strict=True), start=piece.stained):
            below = ad.cover(self._layer(amount, fired, flip=bool(count % 2)), below)
        return replace(piece, reflection=below, surface="glazed", stained=piece.stained + len(amounts))

    def _layer(self, amount: Composition, firings: int, *, flip: bool) -> ad.Slab:
        """Operators (P, 31, N, N) of a fired layer; P is 2 when coats are patchy."""
        key = (amount, firings, flip)
        if key not in self._cache:
            self._cache[key] = self._make_layer(amount, firings, -1.0 if flip else 1.0)
            if len(self._cache) > 600:
                self._cache.popitem(last=False)
        return self._cache[key]

    @cached_property
    def _cache(self) -> OrderedDict[tuple[Composition, int, bool], ad.Slab]:
        return OrderedDict()

    def _make_layer(self, amount: Composition, firings: int, sign: float) -> ad.Slab:
        absorbed, scattered, forward = np.zeros(31), np.zeros(31), np.zeros(31)
        for name, millimetres in amount:
            pigment = self.pigments[name]
            absorbed += millimetres * pigment.absorption * (1 - pigment.fade) ** (firings - 1)
            scattered += millimetres * pigment.scattering
            forward += millimetres * pigment.scattering * pigment.anisotropy
        depth = absorbed + scattered
        patches = np.array([1 + sign * self._patchiness, 1 - sign * self._patchiness] if self._patchiness else [1.0])
        return ad.slab(patches[:, None] * depth, scattered / depth, forward / scattered, self._media[1])

    @cached_property
    def _media(self) -> tuple[ad.Streams, ...]:
        """Air, glaze, zirconia."""
        return ad.nested_streams((1.0, GLAZE_INDEX, ZIRCONIA_INDEX), self.streams)

    @property
    def _body_streams(self) -> ad.Streams:
        return self._media[2] if self.matt else self._media[1]

    @cached_property
    def _glazed_surface(self) -> ad.Slab:
        return ad.interface(self._media[0], self._media[1])

    @cached_property
    def _inner_surface(self) -> ad.Slab:
        return ad.interface(self._media[1], self._media[2], rough=self.roughness)

    @cached_property
    def _bare_surface(self) -> ad.Slab:
        return ad.interface(self._media[0], self._media[2], rough=self.roughness)


def _scaled(amounts: list[Composition], factor: float) -> list[Composition]:
    return [tuple((name, factor * millimetres) for name, millimetres in layer) for layer in amounts]
