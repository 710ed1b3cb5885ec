"""One piece under several lights: in tolerance in all of them, and how much a pair parts from one to the next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import delta_e_2000
from stainbook.match.frame import TargetFrame, frame_of
from stainbook.match.guess import chance_within
from stainbook.match.problem import ZoneProblem
from stainbook.optics.two_by_two import Array
from stainbook.records import LabValues, Viewing

CLOSEST = 64  # draws nearest to the target, by which it is told how often the other lights hold


@dataclass(frozen=True, slots=True)
class InLight:
    """A step under one light: expected ΔE00, chance of being in tolerance in it, special metamerism index.

    ``now`` is the piece as it was read, ``lab`` what is expected of the step, ``target`` what lies beside it. All
    are None where reading or target is L*a*b* alone.
    """

    viewing: Viewing
    dE00: float | None = None
    accept: float | None = None
    metamerism: float | None = None
    now: LabValues | None = None
    lab: LabValues | None = None
    target: LabValues | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Lights:
    """The further lights of one zone: frames of those whose target is known, and the names of the others."""

    frames: tuple[TargetFrame, ...]
    viewings: tuple[Viewing, ...]
    unknown: tuple[Viewing, ...]

    @classmethod
    def of(cls, problem: ZoneProblem) -> Lights:
        """The lights that the case asks for beside the target's own."""
        known = [one for one in problem.lights if one.target is not None]
        frames = [frame_of(one.target, one.viewing) for one in known if one.target is not None]
        return cls(
            tuple(frames),
            tuple(one.viewing for one in known),
            tuple(one.viewing for one in problem.lights if one.target is None),
        )


def in_all(chance: Array, frames: Sequence[TargetFrame], reflectance: Array, covariance: Array, limit: float) -> Array:
    """(m,) the least of the chances (m,) and those of further lights, for likely reflectances (m, 31).

    ``covariance`` (m, 3, 3) is in the target's space, ``limit`` in ΔE00.
    """
    for frame in frames:
        steps = frame.steps(frame.lab(frame.ln_xyz(reflectance)))
        chance = np.minimum(chance, chance_within(steps, covariance, limit))
    return chance


@dataclass(frozen=True, slots=True, eq=False)
class SeenInLights:
    """Moves under further lights: hits (n, draws) in all of them, how often these hold (n,), what is told (n)."""

    hits: NDArray[np.bool_]
    holds: Array
    told: list[tuple[InLight, ...]]


def seen_in(
    lights: Lights, main: TargetFrame, problem: ZoneProblem, likely: Array, draws: Array, far: Array
) -> SeenInLights:
    """Steps under all further lights of a zone.

    Parameters
    ----------
    lights : the further ones
    main, viewing : the frame of the target, and its light and observer
    limit : ΔE00 up to which a colour is accepted
    likely, draws : (n, 3 l) and (n, draws, 3 l) of ln X, Y, Z, the main light first
    far : (n, draws) ΔE00 under the main light
    """
    hits, limit, read = np.ones(far.shape, dtype=bool), problem.thresholds.acceptable, problem.now.piece.reading
    told: list[list[InLight]] = [[] for _ in likely]
    for at, (frame, light) in enumerate(zip(lights.frames, lights.viewings, strict=True), start=1):
        own = slice(3 * at, 3 * at + 3)
        dE = np.asarray(delta_e_2000(frame.lab(draws[..., own]), frame.target))
        index = _metamerism(main, frame, likely[:, :3], likely[:, own])
        hits &= dE <= limit
        for i, moves in enumerate(told):
            moves.append(_told(light, dE[i], limit, index[i], _strip(frame, read, likely[i, own])))
    for moves in told:
        moves += [InLight(light) for light in lights.unknown]
    first = [_told(problem.viewing, one, limit, 0.0, _strip(main, read, likely[i, :3])) for i, one in enumerate(far)]
    return SeenInLights(hits, _holds(hits, far, limit), [(own, *more) for own, more in zip(first, told, strict=True)])


def _told(light: Viewing, dE: Array, limit: float, index: float, strip: tuple[LabValues, ...]) -> InLight:
    return InLight(light, float(dE.mean()), float((dE <= limit).mean()), float(index), *strip)


def _strip(frame: TargetFrame, read: Array, likely: Array) -> tuple[LabValues, ...]:
    """L*, a*, b* in a light of the piece as it was read, of what is expected, and of the target."""
    colours = frame.lab(frame.ln_xyz(read)), frame.lab(likely), frame.target
    return tuple((float(L), float(a), float(b)) for L, a, b in colours)


def _metamerism(main: TargetFrame, other: TargetFrame, here: Array, there: Array) -> Array:
    """(n,) ΔE00 that is left in another light once what is missing in the main one is taken out of X, Y and Z."""
    return np.asarray(delta_e_2000(other.lab(there + main.ln_of_target() - here), other.target))


def _holds(hits: NDArray[np.bool_], far: Array, limit: float) -> Array:
    """(n,) how often the other lights hold where the main one does, by the draws nearest to the target."""
    nearest = np.argsort(far, axis=1)[:, :CLOSEST]
    found = np.take_along_axis(hits, nearest, axis=1).mean(axis=1)
    return np.where((far <= limit).any(axis=1), found, 1.0)
