"""The zones of a case with their references looked up: what was read, and where it must go."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stainbook.book.events import opened_from
from stainbook.book.fold import fold
from stainbook.colour import lab_to_lch, lch_to_lab
from stainbook.errors import InputError, message, some_of
from stainbook.language import say
from stainbook.records import (
    Case,
    CaseZone,
    GuideTab,
    Reading,
    SampleRef,
    TabRef,
    Target,
    Viewing,
)
from stainbook.words.places import place
from stainbook.work.case.library import Library
from stainbook.work.case.likeness import as_another
from stainbook.work.case.standing import ZoneStanding, standings
from stainbook.work.reading.optical import OpticalReading, optical
from stainbook.work.reading.plate_and_piece import Pieces
from stainbook.work.reading.reading_conditions import said
from stainbook.work.reading.reading_doubt import step_covariance
from stainbook.work.reading.samples import SampleColour, colour_of
from stainbook.work.reading.viewing_conditions import shared_viewing, viewing_of
from stainbook.work.stains.seat import Seat

_BARE_STAGES = ("blasted", "sintered")


@dataclass(frozen=True, slots=True, eq=False)
class ZoneColours:
    """A zone's reading and target under one light; None where it was not read or has no target."""

    zone: CaseZone
    read_at: CaseZone  # the zone whose reading this is: another for `like`
    now: OpticalReading | None
    seen: SampleColour | None
    target: SampleColour | None
    bare: OpticalReading | None = None
    standing: ZoneStanding | None = None
    seat: Seat | None = None  # where the ceramic's scattering is known, and its thickness: `now` is as seated

    @property
    def viewing(self) -> Viewing | None:
        """The light and observer of the target."""
        return self.target.viewing if self.target else None


def zone_colours(case: Case, library: Library, *, optics: bool = True) -> list[ZoneColours]:
    """All zones of a case with what was read and what is wanted.

    optics : make the readings ready for stains too, which an instrument's own scale cannot be.

    Raises InputError for references that lead nowhere and colours that cannot be compared.
    """
    zones = {zone.key: zone for zone in case.zones}
    state = library.state or fold(opened_from(case))
    standing = standings(case, state, library)
    found = [_looked_up(zone, standing[zone.key], zones, case, library, optics=optics) for zone in case.zones]
    library.warnings += library.pieces.told(_shifted(found, library.pieces))
    colours = [side for one in found for side in (one.now, one.seen, one.target) if side is not None]
    library.warnings += said(((side.reading.sample, side.crossed) for side in colours), against=say("the stripes"))
    by_photo = [place(*one.zone.key) for one in found if one.seen and one.seen.reading.is_photo]
    shown = say("as a photo shows them, with its doubt: {zones}", zones=some_of(by_photo))
    library.warnings += [shown] if by_photo else []
    return found


def _shifted(zones: Iterable[ZoneColours], pieces: Pieces) -> Iterator[Reading]:
    """The readings that the step between plate and piece was used on."""
    for one in zones:
        if one.now is not None and one.now.shape is not None:
            yield one.now.reading
        yield from (side.reading for side in (one.seen, one.target) if side and side.reading.sample in pieces.flat)


def _looked_up(
    zone: CaseZone,
    standing: ZoneStanding,
    zones: Mapping[tuple[int, str], CaseZone],
    case: Case,
    library: Library,
    *,
    optics: bool,
) -> ZoneColours:
    read_at = zones[zone.like] if zone.like else zone
    now = standing.colour
    wanted = zone.target or read_at.target
    target = _target_reading(wanted, zone, case, library) if wanted else None
    at = read_at if standing.basis == "like" else zone
    try:
        if now is None or target is None:
            alone = _target_alone(target, wanted, library) if target else None
            start = _start(standing, now, zone, case, library) if optics else None
            return ZoneColours(zone, at, start, None, alone, standing=standing)
        viewing = shared_viewing(now, target, library.asked)
        seen, goal = (
            library.pieces.seen(colour_of(one, viewing, adapt=library.asked.adapt), case.material)
            for one in (now, target)
        )
        start = _start(standing, now, zone, case, library) if optics else None
    except InputError as error:
        error.args = (
            say("{source}: zone {zone}: {error}", source=case.source, zone=place(*zone.key), error=message(error)),
        )
        raise
    assert wanted is not None
    if standing.expected is not None and viewing.known:
        doubt = standing.expected.seen_doubt(viewing) + step_covariance(now, seen.lab, tissue=zone.tissue)
        seen = replace(seen, covariance=doubt)
    if standing.basis == "like":
        spread = zone.like_spread or 1.0
        start = as_another(start, spread) if start is not None else None
        seen = replace(seen, covariance=seen.covariance + (spread * np.diag([0.8, 0.3, 0.5])) ** 2)
    bare = _bare(read_at, case, library) if optics else None
    return ZoneColours(zone, at, start, seen, shifted(goal, wanted.shift), bare, standing)


def _start(
    standing: ZoneStanding, now: Reading | None, zone: CaseZone, case: Case, library: Library
) -> OpticalReading | None:
    if standing.expected is not None:
        return standing.expected.optical(f"{zone.tooth} {zone.zone}, expected")
    return _optical(now, zone, case, library)


def _target_reading(target: Target, zone: CaseZone, case: Case, library: Library) -> Reading:
    colour = target.colour
    if isinstance(colour, SampleRef):
        return library.sample(colour, case)
    if isinstance(colour, TabRef):
        name = GuideTab(colour.guide, colour.tab, zone.zone, zone.tissue).sample
        return library.named(name, say("guide tab"), case)
    return library.typed(colour, say("target of {zone}", zone=place(*zone.key)), case, zone.tissue)


def _target_alone(reading: Reading, wanted: Target | None, library: Library) -> SampleColour:
    viewing = library.asked.viewing or viewing_of(reading) or Viewing()
    return shifted(colour_of(reading, viewing, adapt=library.asked.adapt), wanted.shift if wanted else ())


def _optical(reading: Reading | None, zone: CaseZone, case: Case, library: Library) -> OpticalReading | None:
    return None if reading is None else library.pieces.laid_on(optical(reading, tissue=zone.tissue), case.material)


def _bare(zone: CaseZone, case: Case, library: Library) -> OpticalReading | None:
    """The same zone as it was read before any stain: what stripping leads back to."""
    if case.stage not in ("stained", "glazed", "returned"):
        return None
    lives = library.state.zones.get(zone.key) if library.state is not None else None
    stains = [one for one in lives.fired if one.kind != "sinter" and one.layers] if lives else []
    if stains and stains[0].before is not None:
        return _optical(stains[0].before, zone, case, library)
    ref = zone.now if isinstance(zone.now, SampleRef) else SampleRef(f"{case.case}-{zone.tooth}-{zone.zone}")
    for stage in _BARE_STAGES:
        found = library.find_sample(SampleRef(ref.sample, ref.file, stage), case)
        if found is not None:
            return _optical(found, zone, case, library)
    return None


def shifted(colour: SampleColour, shift: Sequence[tuple[str, float]]) -> SampleColour:
    """A colour moved by L*, a*, b*, then C* and h (degrees); C* stops at 0."""
    moves = dict(shift)
    if not moves:
        return colour
    lab = colour.lab + np.array([moves.get(axis, 0.0) for axis in ("L", "a", "b")])
    lch = lab_to_lch(lab) + np.array([0.0, moves.get("C", 0.0), moves.get("h", 0.0)])
    lch[1] = max(lch[1], 0.0)
    return replace(colour, lab=lch_to_lab(lch))
