"""A zone that was not read and follows another: whether both had the same events, and from where it is expected."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from stainbook.book.case_state import ReadAt, ZoneState
from stainbook.book.events import moment
from stainbook.book.fold import encode_layers
from stainbook.records import Case, CaseZone, Reading
from stainbook.work.reading.optical import OpticalReading

LIKE_LEVEL_SD = 0.03  # of ln reflectance, all bands: two zones of one blank, one of them read (0.8 L*); common practice
LIKE_TILT_SD = 0.015  # the same, growing to the ends of the spectrum


@dataclass(frozen=True, slots=True)
class Followed:
    """The reading of another zone from a time when both were alike, and the zone with what happened to it since."""

    reading: Reading
    zone: ZoneState


def are_alike(one: ZoneState | None, other: ZoneState | None) -> bool:
    """Whether two zones had the same events."""
    return one is None or other is None or _same(one, other)


def same_blank_layer(case: Case, one: CaseZone, other: CaseZone) -> bool:
    """Whether two zones lie in the same layer of the blank."""
    return case.blank is None or case.blank.at(one.height_mm) == case.blank.at(other.height_mm)


def followed_reading(one: ZoneState, other: ZoneState | None) -> Followed | None:
    """The newest reading of another zone from which on nothing was done to a zone that hides its colour.

    Until then both had the same events. None where there is no such reading.
    """
    for read in reversed(other.readings if other is not None else ()):
        assert other is not None
        if _same(one, other, until=read) and all(each.place < read.place for each in one.worked):
            under = tuple(each for each in one.fired if moment(each.at) <= moment(read.changed_at))
            return Followed(read.reading, replace(one, before_reading=under, heats=one.heated - read.heated))
    return None


def _same(one: ZoneState, other: ZoneState, *, until: ReadAt | None = None) -> bool:
    return _lived(one, until) == _lived(other, until)


def _lived(zone: ZoneState, until: ReadAt | None) -> tuple[object, ...]:
    """What happened to a zone, until another was read where that is given."""
    fired = [(each.at, each.kind, encode_layers(each.layers)) for each in zone.fired if each.layers]
    worked = [(each.what, each.place) for each in zone.worked]
    if until is not None:
        fired = [each for each in fired if moment(each[0]) <= moment(until.changed_at)]
        worked = [each for each in worked if each[1] < until.place]
    return fired, worked


def as_another(start: OpticalReading, spread: float | None) -> OpticalReading:
    """The reading of another zone: what the two may differ by, ``spread`` times as much, is added to its doubt."""
    tilt = LIKE_TILT_SD * np.linspace(-1.0, 1.0, start.reflectance.size)
    extra = LIKE_LEVEL_SD**2 + np.outer(tilt, tilt)
    return replace(start, ln_covariance=start.ln_covariance + (spread or 1.0) ** 2 * extra)
