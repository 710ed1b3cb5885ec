"""A photo with a target to the colours of its zones, and to their change since an earlier photo."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from stainbook.book import Book
from stainbook.colour import adapt_lab, lab_to_lch
from stainbook.errors import InputError, some_of
from stainbook.files.scene import Scene, SceneZone, drawn_for, read_scene
from stainbook.language import joined, say
from stainbook.match import UNWATCHED, Watch
from stainbook.photo.decode import read_picture
from stainbook.photo.detect import find_target
from stainbook.photo.doubt import Condition
from stainbook.photo.field import LightField, light_field
from stainbook.photo.judge import settled
from stainbook.photo.measure import Outline, PhotoReading, ZoneColour, measure, radius_of
from stainbook.photo.photo_change import change, change_radius, taken_alike
from stainbook.photo.picture import Picture
from stainbook.photo.target import ColourChart
from stainbook.private import write
from stainbook.records import LabRef, Viewing
from stainbook.work.case.current_case import What
from stainbook.work.documents.photo_schemas import PhotoChange, PhotoReference, PhotoResult, PhotoShot, PhotoZone
from stainbook.work.photo.photo_case import case_gaps, case_targets, viewing_in
from stainbook.work.photo.photo_drawn import all_inside, none_on_target
from stainbook.work.photo.photo_expected import Expected, Place, expected_of, said
from stainbook.work.photo.photo_map import write_map
from stainbook.work.photo.photo_priors import Priors, kind_of
from stainbook.work.photo.photo_second import by_second
from stainbook.work.photo.photo_side import side_by_side
from stainbook.work.photo.photo_store import copy_of, store_zones
from stainbook.work.photo.photo_target import read_target
from stainbook.work.reading.lab_settings import limits_of
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, Asked

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoAsked:
    """What is asked of a photo beside its colours: light, an earlier photo, and the case whose targets count."""

    asked: Asked = field(default_factory=Asked)
    before: tuple[Path, Path] | None = None
    case: What | None = None
    map: Path | None = None  # where to write the map of ΔE00 as PNG
    side: Path | None = None  # where to write both photos side by side as JPEG
    map_change: bool = False  # it shows the change since before, even where there are targets
    store: bool = False  # the zones into the book as readings of the case


@dataclass(frozen=True, slots=True, eq=False)
class Taken:
    """One photo measured: its scene, its picture, what was read, and under which condition."""

    scene: Scene
    picture: Picture
    target: ColourChart
    reading: PhotoReading
    condition: Condition
    corners: Floats
    light: LightField | None
    method: str
    warnings: tuple[str, ...]

    def radius(self, zone: ZoneColour) -> float:
        """95 % radius of a zone."""
        return radius_of(self.reading, zone, self.condition)


def photo(
    book: Book | None, image: Path, scene: Path, wish: PhotoAsked | None = None, *, watch: Watch = UNWATCHED
) -> PhotoResult:
    """Colours of the zones of a photo with their doubt; with an earlier photo also their change.

    book : may be None where no case is named: then nothing is known of the lab

    Raises InputError for a picture, scene or table that cannot be used and a target that is not found, StoppedError
    when ``watch`` is to stop; then nothing is stored.
    """
    wish = wish or PhotoAsked()
    steps = 3 if wish.before else 2  # each picture, then what both show
    watch.step("measure", 0, steps)
    if wish.store and wish.case is None:
        raise InputError(say("zones of a photo are stored as readings of a case; name it with --case"))
    case = None if wish.case is None or book is None else (book, wish.case)
    viewing = wish.asked.viewing or (viewing_in(*case) if case else None) or SPECTRA_SEEN_UNDER
    priors = Priors(book)
    expected = expected_of(*case, wish.asked) if case else {}
    now = take(image, scene, viewing, priors, expected, watch=watch)
    watch.step("measure", 1, steps)
    before = take(*wish.before, viewing, priors, watch=watch) if wish.before else None
    watch.step("measure", steps - 1, steps)
    targets = case_targets(*case, viewing, wish.asked) if case else {}
    limits = limits_of(book)
    gaps = case_gaps(now, targets, limits)
    zones = [_zone(now, one, zone, viewing) for one, zone in zip(now.scene.zones, now.reading.zones, strict=True)]
    changes = _changes(before, now) if before else {}
    if wish.map:
        aims = {} if wish.map_change else targets
        doubts = {key: one.u for key, one in changes.items()} | {
            key: gap.u for key, gap in gaps.items() if key in aims and gap.u is not None
        }
        write_map(wish.map, now, before, aims, viewing, limits, doubts)
        watch.go_on()
    if wish.side and before:
        write(wish.side, side_by_side(before, now, viewing))
    zones = [
        zone.model_copy(
            update={"gap": gaps.get((zone.tooth, zone.zone)), "change": changes.get((zone.tooth, zone.zone))}
        )
        for zone in zones
    ]
    result = PhotoResult(
        zones=zones,
        reference=_reference(now),
        method=now.method,
        shot=PhotoShot(**asdict(now.picture.shot)),
        warnings=[*now.warnings, *_zone_warnings(now), *_pair_warnings(before, now)],
    )
    watch.go_on()
    if wish.store and case:
        copy = copy_of(now.picture, now.scene)
        return store_zones(*case, result, patient=now.scene.subject == "patient", copy=copy)
    return result


def take(
    image: Path,
    scene_file: Path,
    viewing: Viewing,
    priors: Priors,
    expected: Mapping[Place, Expected] | None = None,
    *,
    watch: Watch = UNWATCHED,
) -> Taken:
    """Read and measure one photo; what is expected of a piece says nothing of a patient.

    Raises InputError as `photo` does.
    """
    scene = read_scene(scene_file)
    known_zones = expected or {} if scene.subject == "piece" else {}
    target, warnings = read_target(scene)
    picture = read_picture(image, encoding=scene.encoding)
    watch.go_on()
    scene = drawn_for(scene, picture.size)
    all_inside(scene, picture)
    corners, found = _corners(picture, scene, target)
    none_on_target(scene, corners, picture)
    picture, encoding, misstated = settled(picture, corners, target)
    light = frame_light(scene, picture)
    known, why = priors.of(scene.subject, {zone.tissue for zone in scene.zones}, grey_only=target.grey_only)
    tissues = priors.tissues(scene.subject)
    reading = measure(
        picture,
        corners,
        target,
        [_outline(zone, scene.subject, known_zones) for zone in scene.zones],
        known,
        illuminant=viewing.illuminant,
        observer=viewing.observer,
        light=light,
        tabs=[(Outline("fired tooth", np.asarray(tab.polygon)), _tab_lab(tab.colour, viewing)) for tab in scene.tabs],
        tissues=tissues,
    )  # fmt: skip
    watch.go_on()
    condition = Condition(picture.encoding, light is not None, reading.closure is not None, target.grey_only)
    two = by_second(scene, reading, corners, target, known, tissues, condition, viewing, light)
    reading = two.reading if two else reading
    met = _met(scene, reading)
    method = [*_method(encoding, found, target, reading, condition, why), *said(known_zones, met)]
    method += [two.method] if two else []
    notes = [*warnings, *picture.notes, *([misstated] if misstated else []), *_dropped(reading), *reading.troubles]
    notes += two.warnings if two else ()
    return Taken(scene, picture, target, reading, condition, corners, light, joined(method, "; "), tuple(notes))


def _outline(zone: SceneZone, subject: str, expected: Mapping[Place, Expected]) -> Outline:
    known = expected.get((zone.tooth, zone.zone))
    return Outline(
        kind_of(subject, zone.tissue), np.asarray(zone.polygon), known.reflectance if known is not None else None
    )


def _met(scene: Scene, reading: PhotoReading) -> dict[Place, bool]:
    """Whether each zone of which something was expected is like that."""
    pairs = zip(scene.zones, reading.zones, strict=True)
    return {(zone.tooth, zone.zone): found.as_expected for zone, found in pairs if found.as_expected is not None}


def _corners(picture: Picture, scene: Scene, target: ColourChart) -> tuple[Floats, str]:
    if scene.corners is not None:
        return np.asarray(scene.corners, dtype=np.float64), say("corners as given")
    found = find_target(picture, target)
    if found is None:
        raise InputError(
            say(
                "{source}: the chart was not found, or its order could not be told; give its corners in "
                "{scene}, TL, TR, BR, BL as its table is ordered",
                source=picture.source,
                scene=scene.source,
            )
        )
    return found.corners, say("chart found by itself")


def frame_light(scene: Scene, picture: Picture) -> LightField | None:
    """The light by a scene's grey frame, None without one; raises InputError for one that cannot be used."""
    if scene.flat is None:
        return None
    frame = read_picture(scene.flat, encoding="auto" if scene.encoding == "auto" else scene.encoding)
    if frame.encoding == "judge" and frame.pixels.dtype != picture.pixels.dtype:
        raise InputError(
            say(
                "{source}: nothing says whether this grey frame is linear; shoot it as the picture, in the same format",
                source=frame.source,
            )
        )
    if frame.encoding == "judge":  # no greys in a grey frame: as the picture is, which the same camera wrote
        frame = replace(frame, encoding=picture.encoding, curves=picture.curves)
    return light_field(frame, picture.size)


def _tab_lab(colour: LabRef, viewing: Viewing) -> Floats:
    return np.asarray(adapt_lab(np.asarray(colour.lab), colour.viewing, viewing, tissue="tooth").lab)


def _method(
    encoding: str, found: str, target: ColourChart, reading: PhotoReading, condition: Condition, why: Mapping[str, str]
) -> list[str]:
    """In words: what was done and why."""
    used = say("{used} of {patches} patches", used=int(reading.patches.used.sum()), patches=len(target.names))
    colours = (
        say("greys alone, colour as the maker renders it") if target.grey_only else say("response from the patches")
    )
    light = say("light by the grey frame") if condition.even else say("light as the patches show it")
    parts = [say("pixels {encoding}", encoding=encoding), joined([found, used]), colours, light]
    parts += (
        [say("tabs used, {difference:.1f} ΔE00 off before", difference=reading.closure)]
        if reading.closure is not None
        else []
    )
    kinds = dict.fromkeys(zone.kind for zone in reading.zones)
    return [*parts, *(why[kind] for kind in kinds if kind in why)]


def _dropped(reading: PhotoReading) -> list[str]:
    dropped = reading.patches.dropped
    if not dropped:
        return []
    patches = some_of(say("{patch} ({reason})", patch=name, reason=why) for name, why in dropped)
    return [say("patches dropped: {patches}", patches=patches)]


def _zone(taken: Taken, asked: SceneZone, zone: ZoneColour, viewing: Viewing) -> PhotoZone:
    if zone.mean.pixels == 0 or not np.isfinite(zone.lab).all():
        raise InputError(
            say(
                "{source}: zone {tooth} {zone} holds no pixel of {picture}; draw it again",
                source=taken.scene.source,
                tooth=asked.tooth,
                zone=asked.zone,
                picture=taken.picture.source,
            )
        )
    L, C, h = (float(value) for value in lab_to_lch(zone.lab))
    return PhotoZone(
        tooth=asked.tooth,
        zone=asked.zone,
        L=L,
        a=float(zone.lab[1]),
        b=float(zone.lab[2]),
        C=C,
        h=h,
        illuminant=viewing.illuminant,
        observer=viewing.observer,
        u=taken.radius(zone),
        pixels=zone.mean.pixels,
        masked=float(np.clip(zone.mean.masked, 0.0, 1.0)),
        flagged=zone.mean.flagged,
        tissue=asked.tissue,
        prior=zone.kind if zone.by_prior else "unknown",
        channels=3 if zone.six is None else 6,
    )


def _reference(taken: Taken) -> PhotoReference:
    reading = taken.reading
    greys = taken.condition.grey_only
    return PhotoReference(
        dE00_median=None if greys else float(np.median(reading.fit)),
        dE00_left_out=float(np.median(reading.left_out)) if reading.left_out.size else None,
        patches=int(reading.patches.used.sum()),
        dropped=dict(reading.patches.dropped),
        corners=[(float(x), float(y)) for x, y in taken.corners],
        tabs_dE00=reading.closure,
        troubles=list(reading.troubles),
    )


def _changes(before: Taken, now: Taken) -> dict[tuple[int, str], PhotoChange]:
    earlier = {(z.tooth, z.zone): found for z, found in zip(before.scene.zones, before.reading.zones, strict=True)}
    alike = _alike(before, now)
    changes = {}
    for zone, found in zip(now.scene.zones, now.reading.zones, strict=True):
        then = earlier.get((zone.tooth, zone.zone))
        if then is None:
            continue
        parts = change(then.lab, found.lab)
        shine = then.mean.uneven, found.mean.uneven
        radius = change_radius(found.kind, before.condition, now.condition, alike=alike, uneven=shine)
        changes[zone.tooth, zone.zone] = PhotoChange(
            dE00=float(parts.dE00), dL=float(parts.dL), dC=float(parts.dC), dH=float(parts.dH), u=radius
        )
    return changes


def _zone_warnings(taken: Taken) -> list[str]:
    """What must be said of zones: glare, a material unlike its prior, greys alone."""
    pairs = list(zip(taken.scene.zones, taken.reading.zones, strict=True))
    flagged = [f"{zone.tooth} {zone.zone}" for zone, found in pairs if found.mean.flagged]
    lines = [say("mostly glare or too few pixels, not to be used: {zones}", zones=_listed(flagged))] if flagged else []
    unlike = [f"{z.tooth} {z.zone}" for z, found in pairs if not found.by_prior and not found.mean.flagged]
    if unlike:
        lines.append(say("by the chart alone, no known material is like these zones: {zones}", zones=_listed(unlike)))
    gum = [f"{z.tooth} {z.zone}" for z, found in pairs if found.kind == "living gum"]
    if gum and taken.condition.grey_only:
        lines.append(
            say(
                "a grey card cannot give the colour of living gum, use no absolute value of: {zones}",
                zones=_listed(gum),
            )
        )
    return lines


def _alike(before: Taken, now: Taken) -> bool:
    """Whether two photos were taken in one setting, so that what is wrong with one is wrong with the other."""
    same = before.condition == now.condition and before.picture.size == now.picture.size
    corners = before.corners, now.corners
    return same and taken_alike(before.reading.patches, now.reading.patches, corners, max(now.picture.size))


def _pair_warnings(before: Taken | None, now: Taken) -> list[str]:
    if before is None:
        return []
    lines = [say("before: {warning}", warning=line) for line in before.warnings]
    if before.condition != now.condition:
        lines.append(say("the two photos were not taken alike: the change is less sure"))
    elif not _alike(before, now):
        lines.append(say("lamps, camera or chart did not stand as in the photo before: the change is less sure"))
    cameras = before.picture.shot.camera, now.picture.shot.camera
    if None not in cameras and cameras[0] != cameras[1]:
        lines.append(
            say(
                "two cameras, {first} and {second}: the change is less sure",
                first=cameras[0],
                second=cameras[1],
            )
        )
    return lines


def _listed(names: Sequence[str]) -> str:
    return some_of(names)
