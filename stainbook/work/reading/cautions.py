"""What a reading of a zone cannot be trusted for, by where it was taken and with which instrument."""

from __future__ import annotations

from collections.abc import Iterable

from stainbook.apparatus import Instrument
from stainbook.records import Reading

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
    "incisal": "a curved, translucent edge: what lies behind shows through, read it on the same backing each time",
    "occlusal": "a curved face: the instrument may not seat, take the mean of three",
    "papilla": "a small curved face: seat the instrument and take the mean of three",
}
MOTTLE_READINGS = 3  # of gum whose colour is not even: their scatter is the mottle


def cautions_of(zone: str, *, aperture_mm: float | None = None) -> list[str]:
    """What to mind at a zone; an aperture of unknown size is not judged."""
    said = [CURVED[zone]] if zone in CURVED else []
    room = ROOM_MM.get(zone)
    if room is not None and aperture_mm is not None and aperture_mm > room:
        said.insert(
            0, f"an aperture of {aperture_mm:g} mm is wider than this zone, about {room:g} mm: neighbours are read too"
        )
    return said


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
            found.setdefault(f"{zone}: {line}", []).append(reading.sample)
        if reading.tissue == "gingiva" and reading.repeats < MOTTLE_READINGS and zone in ("attached", "mucosa"):
            found.setdefault(
                f"gum is seldom even: take {MOTTLE_READINGS} readings of it, their scatter is the mottle", []
            ).append(reading.sample)
    return [f"{line} ({_named(names)})" for line, names in found.items()]


def _named(samples: list[str]) -> str:
    return samples[0] if len(samples) == 1 else f"{samples[0]} and {len(samples) - 1} more"


def aperture_of(instrument: Instrument | None) -> float | None:
    """The aperture of an instrument that is known, mm."""
    return instrument.aperture_mm if instrument else None
