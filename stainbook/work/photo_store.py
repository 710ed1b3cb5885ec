"""Zones of a photo as readings of a case, each with the photo's own doubt; zones that cannot be used are not stored."""

from __future__ import annotations

from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from stainbook.book import open_book
from stainbook.records import Case, Reading, Viewing
from stainbook.work.follow import follow_book
from stainbook.work.photo_schemas import PhotoResult, PhotoZone
from stainbook.work.sheet import sample_of

SOURCE = "photo"
_CAMERA_TIME = "%Y:%m:%d %H:%M:%S"  # EXIF 2.32, of the camera's clock, which names no zone


def store_zones(url: str | None, path: Path, result: PhotoResult, *, patient: bool = False) -> PhotoResult:
    """Store the zones of a photo that can be used as readings of a case, and say which and which not.

    patient : they are living teeth and gum, which targets may name, and not the piece

    Raises InputError for a case that cannot be used; then nothing is stored.
    """
    usable = usable_zones(result, patient=patient)
    taken_at = _taken_at(result.shot.taken_at if result.shot else None)
    with open_book(url) as book:
        case = follow_book(book, path)
        readings = [_reading(zone, case, taken_at, patient=patient) for zone in usable]
        book.add_readings(readings)
    left = [f"{zone.tooth} {zone.zone}" for zone in result.zones if zone not in usable]
    told = [f"not stored, since they cannot be used: {', '.join(left)}"] if left else []
    return result.model_copy(update={"stored": [one.sample for one in readings], "warnings": [*result.warnings, *told]})


def usable_zones(result: PhotoResult, *, patient: bool) -> list[PhotoZone]:
    """The zones that are neither mostly glare nor living gum by a grey card, which gives it no absolute value."""
    no_gum = patient and result.reference.dE00_median is None
    return [zone for zone in result.zones if not zone.flagged and not (no_gum and zone.tissue == "gingiva")]


def _reading(zone: PhotoZone, case: Case, taken_at: str, *, patient: bool) -> Reading:
    return Reading(
        _name(zone, case, patient=patient),
        lab=(zone.L, zone.a, zone.b),
        viewing=Viewing(zone.illuminant, zone.observer or 0),
        stage=None if patient else case.stage,
        surface="wet" if patient else None,
        tissue=zone.tissue,
        taken_at=taken_at,
        notes=SOURCE,
        u=zone.u,
        source=SOURCE,
    )


def _name(zone: PhotoZone, case: Case, *, patient: bool) -> str:
    """The sample that the case reads there; a patient's zones are told apart from those of the piece."""
    if patient:
        return f"{case.case}-patient-{zone.tooth}-{zone.zone}"
    key = zone.tooth, zone.zone
    return next((sample_of(one, case) for one in case.zones if one.key == key), f"{case.case}-{zone.tooth}-{zone.zone}")


def _taken_at(camera: str | None) -> str:
    """When the picture was taken by the camera's clock, which shows the time of the lab; now where it cannot be."""
    taken = now = datetime.now(UTC)
    with suppress(ValueError, OverflowError, OSError):
        taken = min(datetime.strptime(camera or "", _CAMERA_TIME).astimezone(UTC), now)
    return taken.isoformat(timespec="seconds").replace("+00:00", "Z")
