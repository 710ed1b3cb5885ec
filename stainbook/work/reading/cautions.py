"""What a reading of a zone cannot be trusted for, by where it was taken and with which instrument."""

from __future__ import annotations

from collections.abc import Iterable

from stainbook.apparatus import Instrument
from stainbook.errors import some_of
from stainbook.language import joined, say
from stainbook.records import Reading
from stainbook.words.places import zone_name
from stainbook.work.reading.typing_slips import too_red

# Smallest width of flat, even colour that a zone offers, mm: from memory of common crown and gum sizes.
ROOM_MM = {
    "cervical": 3.0,
    "middle": 4.0,
    "incisal": 3.0,
    "occlusal": 4.0,
    "margin": 2.0,
    "papilla": 2.5,
    "attached": 4.0,
    "mucosa": 6.0,
}
CURVED = {
    "incisal": say("a curved, translucent edge: what lies behind shows through, read it on the same backing each time"),
    "occlusal": say("a curved face: the instrument may not seat, take the mean of three"),
    "papilla": say("a small curved face: seat the instrument and take the mean of three"),
}
RED = say("a* stands well above b*, as of no tooth: were the two exchanged?")
MOTTLE_READINGS = 3  # of gum whose colour is not even: their scatter is the mottle


def cautions_of(zone: str, *, aperture_mm: float | None = None) -> list[str]:
    """What to mind at a zone; an aperture of unknown size is not judged."""
    said = [CURVED[zone]] if zone in CURVED else []
    room = ROOM_MM.get(zone)
    if room is not None and aperture_mm is not None and aperture_mm > room:
        wider = say(
            "an aperture of {aperture:g} mm is wider than this zone, about {room:g} mm: neighbours are read too",
            aperture=aperture_mm,
            room=room,
        )
        said.insert(0, wider)
    return said


def too_small_for(aperture_mm: float) -> frozenset[str]:
    """The zones that are smaller than an aperture: they follow another one rather than being read.

    >>> sorted(too_small_for(2.4)), "middle" in too_small_for(5.0)
    (['margin'], True)
    """
    return frozenset(zone for zone, room in ROOM_MM.items() if room < aperture_mm)


def zone_of(sample: str) -> str | None:
    """The known zone that a sample's name ends with."""
    word = sample.lower().rpartition("-")[2].rpartition("/")[2]
    return word if word in ROOM_MM else None


def cautions(readings: Iterable[Reading]) -> list[str]:
    """One line for each caution that some readings share."""
    found: dict[str, list[str]] = {}
    for reading in readings:
        zone = zone_of(reading.sample)
        for line in cautions_of(zone, aperture_mm=reading.aperture_mm) if zone else ():
            found.setdefault(joined([zone_name(zone or ""), line], ": "), []).append(reading.sample)
        if reading.tissue == "tooth" and reading.lab is not None and too_red(reading.lab):
            found.setdefault(RED, []).append(reading.sample)
        if reading.tissue == "gingiva" and reading.repeats < MOTTLE_READINGS and zone in ("attached", "mucosa"):
            uneven = say(
                "gum is seldom even: take {times} readings of it, their scatter is the mottle", times=MOTTLE_READINGS
            )
            found.setdefault(uneven, []).append(reading.sample)
    return [say("{caution} ({samples})", caution=line, samples=some_of(names, most=1)) for line, names in found.items()]


def aperture_of(instrument: Instrument | None) -> float | None:
    """The aperture of an instrument that is known, mm."""
    return instrument.aperture_mm if instrument else None
