"""Zones as they will be seated: on a base, a stump or a cement whose colour shows through the ceramic.

A zone says its ceramic, its thickness, what lay behind it when it was read and what will; then its reading is taken
apart and put on the other backing, and all that is forecast of it speaks of it as seated.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from statistics import median

from stainbook.colour import delta_e_2000
from stainbook.language import joined, listed, say
from stainbook.records import Body, BodyRef, Case, Reading
from stainbook.work.case.library import Library
from stainbook.work.case.zones import ZoneColours
from stainbook.work.reading.optical import OpticalReading, lab_on_grid
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER
from stainbook.work.stains.finite_ceramics import WANTED, FiniteCeramics, finite_ceramics, laying
from stainbook.work.stains.seat import Seat

SHOWS = 0.8  # ΔE00 between black and white behind it, from which what lies there is seen (Paravina 2015)


def seated_zones(zones: Sequence[ZoneColours], case: Case, library: Library) -> list[ZoneColours]:
    """The zones as they will be seated where that is said; the library is told what shows through and was not said.

    Raises UnknownNameError for a backing without a reading.
    """
    if not (case.ceramic or case.seated_on or any(one.zone.seated_on for one in zones)):
        return list(zones)
    known = _known(library)
    return [_seated(one, case, library, known) for one in zones]


def seated_blanks(
    blanks: Mapping[str, tuple[Body, OpticalReading]], case: Case, library: Library
) -> dict[str, tuple[Body, OpticalReading]]:
    """Blanks as a piece of them would be seated, of the middle thickness of its zones; those that cannot be as read."""
    thick = [zone.thickness_mm for zone in case.zones if zone.thickness_mm]
    if case.seated_on is None or not thick:
        return dict(blanks)
    known, face = _known(library).known, library.optics.optics.ceramic(case.material)
    on = laying(median(thick), _backing(case.seated_on, case, library))
    found = dict(blanks)
    for name, (body, reading) in blanks.items():
        scattering, behind = known.get(body.ceramic or ""), library.book.find_reading(body.backing or "")
        if scattering is None or behind is None or body.thickness_mm is None:
            library.warnings.append(
                say(
                    "blank {blank} is compared as it was read, not as seated on {seat}", blank=name, seat=case.seated_on
                )
            )
            continue
        seat = Seat(scattering, face, laying(body.thickness_mm, behind), on, case.seated_on)
        found[name] = body, seat.put(reading)
    return found


def _known(library: Library) -> FiniteCeramics:
    return finite_ceramics(library.book.bodies(), library.book.find_reading, library.optics.optics.ceramic)


def _seated(zone: ZoneColours, case: Case, library: Library, known: FiniteCeramics) -> ZoneColours:
    if zone.now is None:
        return zone
    seat = _seat(zone, zone.now.reading.stage, case, library, known)
    name = f"{zone.zone.tooth} {zone.zone.zone}"
    if isinstance(seat, str):
        library.warnings.append(f"{name}: {seat}")
        return zone
    tp00, ratio = seat.translucency(zone.now)
    shows = say(
        "{zone}: {thickness:g} mm of {ceramic}, TP00 {tp00:.1f}, contrast ratio {ratio:.2f}",
        zone=name,
        thickness=seat.on.thickness,
        ceramic=case.ceramic,
        tp00=tp00,
        ratio=ratio,
    )
    if seat.on_name is None:
        if tp00 > SHOWS:
            behind = say("what lies behind it will show; say it with seated_on")
            library.warnings.append(joined([shows, behind], ": "))
        return replace(zone, seat=seat)
    after = seat.put(zone.now)
    apart = float(delta_e_2000(*(lab_on_grid(one.reflectance, SPECTRA_SEEN_UNDER) for one in (zone.now, after))))
    seated = say("seated on {seat} it will be {apart:.1f} ΔE00 from how it was read", seat=seat.on_name, apart=apart)
    library.warnings.append(joined([shows, seated], ": "))
    bare = seat.put(zone.bare) if zone.bare is not None else None
    return replace(zone, now=after, bare=bare, seat=replace(seat, read=seat.on))


def _seat(zone: ZoneColours, stage: str | None, case: Case, library: Library, known: FiniteCeramics) -> Seat | str:
    """How a zone lies, or why that cannot be computed."""
    own, at = zone.zone, zone.read_at
    thickness = own.thickness_mm or at.thickness_mm
    on, over = own.seated_on or case.seated_on, at.read_over or case.read_over
    blank = library.body(at.now.name) if isinstance(at.now, BodyRef) else None
    over = over or (blank.backing if blank else None)
    if case.ceramic is None or case.ceramic not in known.known:
        unnamed = say("a ceramic that was read in {wanted} is not named", wanted=WANTED)
        return say("what lies behind it is not computed: {why}", why=known.why_not.get(case.ceramic or "", unnamed))
    missing = [key for key, value in (("thickness_mm", thickness), ("read_over", over)) if value is None]
    if missing:
        return say("what lies behind it is not computed: {keys} not said", keys=listed(missing))
    assert thickness is not None
    assert over is not None
    behind = _backing(over, case, library)
    read = laying((blank.thickness_mm if blank else None) or at.thickness_mm or thickness, behind)
    seated_on = laying(thickness, _backing(on, case, library)) if on else read
    face = library.optics.optics.ceramic(case.material).read_at(stage)
    return Seat(known.known[case.ceramic], face, read, seated_on, on)


def _backing(name: str, case: Case, library: Library) -> Reading:
    return library.named(name, say("what lies behind a zone"), case)
