"""The fired ceramic below the stain: what its bare reading says of it, and how it looks from inside glass.

A bare piece is read through its own face to air. Put glass on it and that face is gone: an inner
face of glass to ceramic and an outer one of glass to air take its place (design, "Optics"). The
bare reading is therefore taken apart with the ceramic's index, and put together again under glass.
A piece that was read glazed has its inner face within; only the outer face is taken off.

A matt face is smooth in parts and rough in others. The ``rough`` share spreads what it reflects and what it lets
through over all directions, bare as well as under glass, where the gloss trap then takes less of it. Part of what
a bare matt face reflects goes past the gloss trap of the instrument. That ``stray`` part is added to every bare matt
reading, differs from piece to piece and cannot be told from the reading itself; it is the largest doubt of a matt
reading.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from stainbook.optics.interfaces import diffuse_reflectance, internal_reflectance, outside_beam_reflectance
from stainbook.optics.streams import GLASS, lambertian, seen_outside, under_face
from stainbook.optics.two_by_two import Array, Mat2, add, diagonal

# Refractive index by material, common practice (facts 5: zirconia 2.15-2.20, glass ceramic 1.52-1.55).
INDEX = {"zirconia": 2.15, "alumina": 1.76, "lithium disilicate": 1.55, "leucite ceramic": 1.51, "feldspathic": 1.50}
INDEX_SD = 0.06  # how far the index that serves best may lie from the handbook's: bodies are no ideal diffusers

# Share of what a matt face sends back that is read past the gloss trap, where the faces of a lab differ, and its
# scatter from piece to piece: set so that both practice labs are met. Simulated labs of like faces show 0.08.
STRAY_OF_FACE = 0.34
STRAY_SD_OF_FACE = 0.118
ROUGH = 0.5  # share of a matt face that spreads light, before clear glaze tells it: next to nothing is known


MATT_STAGES = ("sintered", "blasted")  # whose faces are matt, each in its own way


@dataclass(frozen=True, slots=True)
class Ceramic:
    """Optical constants of one material's face: index, and stray light of its matt readings.

    ``stray`` is the mean and ``stray_sd`` the scatter from piece to piece, as reflectance factors; ``rough`` is the
    share of a matt face that spreads light; ``known`` says whether a clear-glaze chip of this material has fixed the
    index. ``of_stage`` is the stage at which the plates' matt faces were read; those of another one, blasted where the
    plates are as sintered, are finished otherwise: ``other_stray`` and ``other_stray_sd`` are theirs.
    """

    index: float = 2.15
    stray: float = 0.03
    stray_sd: float = 0.018
    known: bool = False
    of_stage: str | None = None
    other_stray: float | None = None
    other_stray_sd: float | None = None
    rough: float = 0.0

    def roughness(self, surface: str | None) -> float:
        """The share of a face that spreads light: of matt ones alone, a film or a polish makes them smooth."""
        return self.rough if surface == "matt" else 0.0

    def read_at(self, stage: str | None) -> Ceramic:
        """The same for a piece that was read at this stage."""
        if self.other_stray is None or self.other_stray_sd is None or stage not in MATT_STAGES:
            return self
        return self if stage == self.of_stage else replace(self, stray=self.other_stray, stray_sd=self.other_stray_sd)

    @classmethod
    def of(cls, material: str | None) -> Ceramic:
        """The constants expected of a material before any clear-glaze stripe of it was read."""
        index = INDEX.get((material or "zirconia").casefold(), 1.55)
        face = outside_beam_reflectance(index)
        return cls(index=index, stray=STRAY_OF_FACE * face, stray_sd=STRAY_SD_OF_FACE * face, rough=ROUGH)


@dataclass(frozen=True, slots=True)
class Faces:
    """Reflectances of the faces of one index: to air from outside and inside, to glass by stream and from inside.

    ``outside`` is for the beam; ``outside_diffuse`` and ``glass_diffuse`` are for light from all directions.
    """

    outside: float
    inside: float
    glass_in: tuple[float, float]
    glass_out: float
    outside_diffuse: float
    glass_diffuse: float

    def reflected(self, rough: float) -> float:
        """Share of the beam that a bare face sends back when a part of it is rough."""
        return (1.0 - rough) * self.outside + rough * self.outside_diffuse


@lru_cache(maxsize=256)
def faces(index: float) -> Faces:
    """The faces of a ceramic of this refractive index; one that is no denser than glass has no inner face.

    >>> from stainbook.optics.ceramic import faces
    >>> [round(faces(2.15).reflected(rough), 2) for rough in (0.0, 1.0)]  # a smooth and a rough face of zirconia
    [0.13, 0.18]
    """
    relative = max(index / GLASS.index, 1.0 + 1e-6)
    edge = float(np.sqrt(GLASS.flux[1]))
    within = diffuse_reflectance(relative, edge, 1.0), diffuse_reflectance(relative, 0.0, edge)
    diffuse = diffuse_reflectance(relative)
    return Faces(
        outside=outside_beam_reflectance(index),
        inside=internal_reflectance(index),
        glass_in=within,
        glass_out=1.0 - (1.0 - diffuse) / relative**2,
        outside_diffuse=diffuse_reflectance(index),
        glass_diffuse=diffuse,
    )


@dataclass(frozen=True, slots=True)
class Base:
    """A body seen from inside glass: its matrix, and the mirror share of its inner face.

    The gloss trap takes out what the inner face mirrors of the entering beam; ``mirror`` is the
    share that is to be taken off a reading of it.
    """

    matrix: Mat2
    mirror: float


FILM = "film"  # a bare face, read under a film of about the index of glass: glycerine, stain liquid


def has_bare_face(surface: str | None) -> bool:
    """True for a piece whose ceramic is not under glass yet.

    Parameters
    ----------
    surface : as the reading states it; None where it does not

    >>> from stainbook.optics.ceramic import has_bare_face
    >>> has_bare_face("matt"), has_bare_face("glazed")
    (True, False)
    """
    return surface in ("matt", "polished", "wet", FILM)


def read_bare(surface: str | None) -> bool:
    """True for a reading through the ceramic's own face to air: under a film it was read as under glass."""
    return has_bare_face(surface) and surface != FILM


def inner_reflectance(reading: Array, *, surface: str, stray: Array | float, ceramic: Ceramic) -> Array:
    """Diffuse reflectance below the face, in the ceramic, of a bare reading of any shape.

    ``stray`` (reflectance factor) is taken off first, for matt faces only; the result stays within (0, 1).
    The correction for the face is Saunderson's (J Opt Soc Am 1942;32:727-36).
    """
    f = faces(ceramic.index)
    net = np.maximum(reading - (stray if surface == "matt" else 0.0), 1e-4)
    entering = 1.0 - f.reflected(ceramic.roughness(surface))
    return np.asarray(np.clip(net / (entering * (1.0 - f.inside) + f.inside * net), 1e-4, 0.9999))


def bare_reading(inner: Array, *, surface: str, stray: Array | float, ceramic: Ceramic) -> Array:
    """The reading that a bare face gives, of any shape: the inverse of `inner_reflectance`."""
    f = faces(ceramic.index)
    entering = 1.0 - f.reflected(ceramic.roughness(surface))
    through = entering * (1.0 - f.inside) * inner / (1.0 - f.inside * inner)
    return np.asarray(through + (stray if surface == "matt" else 0.0))


def under_glass(inner: Array, *, ceramic: Ceramic, surface: str | None = None) -> Base:
    """A piece of this diffuse reflectance in its ceramic, of any shape, as glass in contact with it sees it.

    ``surface`` is what its face was before the glass.
    """
    f, rough = faces(ceramic.index), ceramic.roughness(surface)
    t1, t2 = ((1.0 - rough) * (1.0 - one) + rough * (1.0 - f.glass_diffuse) for one in f.glass_in)
    returned = inner * (1.0 - f.glass_out) / (1.0 - f.glass_out * inner)
    w1, w2 = GLASS.flux[0] * t1, GLASS.flux[1] * t2
    out1, out2 = returned * w1 / (w1 + w2), returned * w2 / (w1 + w2)
    spread1, spread2 = (rough * f.glass_diffuse * share for share in GLASS.flux)  # to all directions, from any
    mirrored = tuple((1.0 - rough) * one for one in f.glass_in)
    diffuse: Mat2 = (out1 * t1 + spread1, out1 * t2 + spread1, out2 * t1 + spread2, out2 * t2 + spread2)
    return Base(add(diffuse, diagonal(*mirrored)), mirrored[0])


def base_of(reading: Array, *, surface: str | None, stray: Array | float, ceramic: Ceramic) -> Base:
    """The base that a reading of a piece stands for, of any shape.

    All surfaces count as glazed but bare faces, and those that were read under a film.
    """
    if surface is not None and read_bare(surface):
        inner = inner_reflectance(reading, surface=surface, stray=stray, ceramic=ceramic)
        return under_glass(inner, ceramic=ceramic, surface=surface)
    return Base(lambertian(under_face(reading)), 0.0)


def through_face(base: Base, *, passing: Array | float = 1.0) -> Array:
    """The reading of a base under glass; ``passing`` is the share of a mirrored beam that passes the layers above."""
    trapped = GLASS.entering * (1.0 - GLASS.face[0]) * base.mirror * passing
    return np.asarray(seen_outside(base.matrix) - trapped)


def add_absorption(inner: Array, extra: Array, depth: Array | float = np.inf) -> Array:
    """Inner reflectance of a thick piece after absorption over scattering has grown by ``extra`` down to a depth.

    A layer of the piece itself lies on the piece as it was: a liquid soaks so far and no further.

    Parameters
    ----------
    inner : reflectance of the piece below its face, in (0, 1)
    extra : growth of K/S, of any shape that goes with it
    depth : scattering S times thickness of the layer that it fills; endless by default

    References
    ----------
    Kubelka P. J Opt Soc Am 1948;38:448-57.

    >>> import numpy as np
    >>> from stainbook.optics.ceramic import add_absorption
    >>> add_absorption(np.array([0.7]), np.array([0.1]), np.array([[0.5], [5.0], [50.0]])).round(2).tolist()
    [[0.64], [0.57], [0.57]]
    """
    ratio = (1.0 - inner) ** 2 / (2.0 * inner) + extra
    b = np.sqrt(ratio * (ratio + 2.0))
    t = np.tanh(b * depth)
    return np.asarray((t * (1.0 - inner * (1.0 + ratio)) + inner * b) / (t * (1.0 + ratio - inner) + b))
