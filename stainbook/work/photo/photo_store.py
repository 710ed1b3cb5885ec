"""Zones of a photo as readings of a case, each with the photo's own doubt; zones that cannot be used are not stored.

With them goes a reduced copy of the picture, pixels alone, for the case's report; it is erased with the case.
"""

from __future__ import annotations

from collections.abc import Collection
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from stainbook.book import Book
from stainbook.errors import some_of
from stainbook.kept import Photo
from stainbook.language import filled, say
from stainbook.records import PHOTO, Case, Reading, Viewing
from stainbook.work.case.current_case import What
from stainbook.work.case.measuring_sheet import sample_of
from stainbook.work.case.open_case import brought_in
from stainbook.work.documents.photo_schemas import PhotoResult, PhotoShot, PhotoZone

if TYPE_CHECKING:
    from stainbook.files.scene import Scene
    from stainbook.photo.picture import Picture

Point = tuple[float, float]

STANDS = say("kept beside an instrument's reading of the same stage, which holds on: {names}")
LONGEST = 1500  # pixels of the copy that the book keeps, and of what pages show; measuring uses the whole picture
_CAMERA_TIME = "%Y:%m:%d %H:%M:%S"  # EXIF 2.32, of the camera's clock, which names no zone


@dataclass(frozen=True, slots=True)
class Copy:
    """A reduced copy of a photo as a JPEG of pixels alone, with outlines by tooth and zone in its own pixels."""

    jpeg: bytes
    width: int
    height: int
    zones: tuple[tuple[int, str, tuple[Point, ...]], ...]


@dataclass(frozen=True, slots=True)
class CasePicture:
    """A photo to show: a JPEG without any data but pixels, its size, when it was taken, what was measured in it.

    ``subject`` is ``piece`` or ``patient``; ``method`` says in words how the colours were measured, ``taken_with``
    names camera, lens and exposure.
    """

    jpeg: bytes
    width: int
    height: int
    taken_at: str
    subject: str
    zones: tuple[tuple[int, str], ...]
    method: str | None = None
    taken_with: str | None = None


def picture_of(book: Book, case: str, *, longest: int = 1000, subject: str | None = None) -> CasePicture | None:
    """The newest photo of a case that the book keeps, with the outlines of the zones that were read from it.

    For the report. The picture was brought to a good brightness for the eye: no colour is to be judged on it.

    Parameters
    ----------
    book : the open book
    case : the case's code
    longest : pixels of the longer side at most
    subject : ``piece`` or ``patient`` for that alone; None for the piece's where there is one, else the patient's

    Returns None for a case without a photo, and for one whose photos were erased.
    """
    from stainbook.photo.outlined import outlined

    photos = [pair for pair in book.photos(case) if pair[1] and subject in (None, pair[0].subject)]
    if not photos:
        return None
    photo, jpeg = max(photos, key=lambda pair: (pair[0].subject == "piece", pair[0].taken_at))
    drawn, width, height = outlined(jpeg, {(t, z): points for t, z, points in photo.zones}, longest)
    zones = tuple((tooth, zone) for tooth, zone, _ in photo.zones)
    return CasePicture(drawn, width, height, photo.taken_at, photo.subject, zones, photo.method, photo.taken_with)


def copy_of(picture: Picture, scene: Scene) -> Copy:
    """The copy of a picture that the book keeps, with the outlines of its scene."""
    from stainbook.photo.preview import clean_jpeg, preview

    return outlined_copy(clean_jpeg(preview(picture, LONGEST)[0]), picture.size, scene)


def outlined_copy(jpeg: bytes, size: tuple[int, int], scene: Scene) -> Copy:
    """A reduced copy that was made of a picture of ``size``, with the outlines of its scene."""
    scale = min(1.0, LONGEST / max(size))
    zones = tuple(
        (zone.tooth, zone.zone, tuple((_scaled(x, scale), _scaled(y, scale)) for x, y in zone.polygon))
        for zone in scene.zones
    )
    width, height = (max(1, round(side * scale)) for side in size)
    return Copy(jpeg, width, height, zones)


def _scaled(at: float, scale: float) -> float:
    return round((at + 0.5) * scale - 0.5, 1)


def store_zones(
    book: Book, what: What, result: PhotoResult, *, patient: bool = False, copy: Copy | None = None
) -> PhotoResult:
    """Store the zones of a photo that can be used as readings of a case, and say which and which not.

    patient : they are living teeth and gum, which targets may name, and not the piece
    copy : the picture that they were read from, kept with them

    Raises InputError for a case that cannot be used; then nothing is stored.
    """
    usable = usable_zones(result, patient=patient)
    taken_at = _taken_at(result.shot.taken_at if result.shot else None)
    case = brought_in(book, what).case
    readings = [_reading(zone, case, taken_at, patient=patient) for zone in usable]
    with book.transaction() as step:
        step.add_readings(readings)
        if copy is not None and usable:
            kept = {(zone.tooth, zone.zone) for zone in usable}
            step.add_photo(_photo(copy, case, taken_at, result, kept, patient=patient), copy.jpeg)
    held = [one.sample for one in readings if not _counts(book, one, case)]
    left = [f"{zone.tooth} {zone.zone}" for zone in result.zones if zone not in usable]
    told = [say("not stored, since they cannot be used: {zones}", zones=some_of(left))] if left else []
    told += [filled(STANDS, names=some_of(held))] if held else []
    return result.model_copy(update={"stored": [one.sample for one in readings], "warnings": [*result.warnings, *told]})


def taken_with(shot: PhotoShot) -> str | None:
    """Camera, lens and exposure in a line, None where the file said nothing of them."""
    time = shot.exposure_s
    exposure = None if time is None else f"1/{round(1 / time)} s" if time < 0.5 else f"{time:g} s"
    aperture, iso, focal = shot.aperture, shot.iso, shot.focal_mm
    told = [
        shot.camera,
        shot.lens,
        f"{focal:g} mm" if focal else None,
        exposure,
        f"f/{aperture:g}" if aperture else None,
        f"ISO {iso:g}" if iso else None,
    ]
    return ", ".join(one for one in told if one) or None


def _counts(book: Book, reading: Reading, case: Case) -> bool:
    """Whether the case now stands at a photo's reading."""
    found = book.find_reading(reading.sample, case=case.case)
    return found is None or found.is_photo


def _photo(
    copy: Copy, case: Case, taken_at: str, result: PhotoResult, kept: Collection[tuple[int, str]], *, patient: bool
) -> Photo:
    zones = tuple(one for one in copy.zones if one[:2] in kept)
    subject = "patient" if patient else "piece"
    with_what = taken_with(result.shot) if result.shot else None
    return Photo(case.case, taken_at, subject, copy.width, copy.height, zones, result.method, with_what)


def usable_zones(result: PhotoResult, *, patient: bool) -> list[PhotoZone]:
    """The zones that are neither mostly glare nor living gum by a grey card, which gives it no absolute value.

    None where the target is met badly.
    """
    if result.reference.troubles:
        return []
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
        notes=PHOTO,
        u=zone.u,
        source=PHOTO,
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
