"""The zones of a case with their references looked up: what was read, and where it must go."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from stainbook.book import Book
from stainbook.colour import lab_to_lch, lch_to_lab
from stainbook.errors import InputError, UnknownNameError
from stainbook.files import ReadingSet, read_case, read_guide, read_readings
from stainbook.records import (
    BodyRef,
    Case,
    CaseZone,
    GuideTab,
    LabRef,
    NowRef,
    Reading,
    SampleRef,
    TabRef,
    Target,
    Viewing,
)
from stainbook.work.reading.lab_settings import viewing_in
from stainbook.work.reading.optical import OpticalReading, optical
from stainbook.work.reading.plate_and_piece import Pieces
from stainbook.work.reading.reading_conditions import said
from stainbook.work.reading.samples import SampleColour, colour_of
from stainbook.work.reading.viewing_conditions import Asked, shared_viewing, viewing_of

# Files in which a case's folder keeps the readings of the guide and the blanks, beside those the case names.
FOLDER_READINGS = ("readings.csv", "targets.csv", "guide-readings.csv")
FOLDER_GUIDE = "guide.csv"
LIKE_LEVEL_SD = 0.03  # of ln reflectance, all bands: two zones of one blank, one of them read (0.8 L*); common practice
LIKE_TILT_SD = 0.015  # the same, growing to the ends of the spectrum
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

    @property
    def viewing(self) -> Viewing | None:
        """The light and observer of the target."""
        return self.target.viewing if self.target else None


@dataclass(slots=True)
class Library:
    """Where readings are looked up: files, each read once, then the book.

    ``extra`` files are searched for guide tabs and bodies, before the case's own and the book.
    """

    book: Book
    asked: Asked = field(default_factory=Asked)
    extra: Sequence[Path] = ()
    warnings: list[str] = field(default_factory=list)
    _sets: dict[Path, ReadingSet] = field(default_factory=dict)
    _pieces: Pieces | None = None
    _kept: dict[str, dict[str, list[Reading]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.asked = replace(self.asked, usual=viewing_in(self.book))

    @property
    def pieces(self) -> Pieces:
        """Which samples are flat, and what instruments make of pieces."""
        if self._pieces is None:
            self._pieces = Pieces.of_book(self.book)
        return self._pieces

    def file(self, path: Path) -> ReadingSet:
        """The readings of a file."""
        if path not in self._sets:
            self._sets[path] = read_readings(path, defaults=self.asked.defaults)
            self.warnings += self._sets[path].warnings
        return self._sets[path]

    def sample(self, ref: SampleRef, case: Case) -> Reading:
        """The reading that a reference means.

        Raises UnknownNameError where neither file nor book holds it.
        """
        if ref.file is not None:
            return self.file(ref.file).get(ref.sample, ref.stage)
        found = self.kept(ref.sample, case, ref.stage)
        if found is None:
            raise UnknownNameError(f"sample in the book ({case.source}):", ref.sample, _names(self.book.readings()))
        return found

    def kept(self, sample: str, case: Case, stage: str | None = None) -> Reading | None:
        """The reading of a sample that the book holds; those that a case names are fetched at once."""
        if case.case not in self._kept:
            self._kept[case.case] = self.book.readings_of(samples_of(case))
        own = self._kept[case.case].get(sample)
        if own is None:
            return self.book.find_reading(sample, stage, case=case.case) if sample not in samples_of(case) else None
        return self.book.newest_of([one for one in own if stage in (None, one.stage)], case=case.case)

    def named(self, name: str, what: str, case: Case) -> Reading:
        """A guide tab's or a body's reading: in the files given, the case's, its folder's, else the book's."""
        for path in self._places(case):
            readings = self.file(path)
            if name in readings.samples:
                return readings.get(name)
        found = self.kept(name, case)
        if found is None:
            known = [*_names(self.book.readings()), *(s for p in self._places(case) for s in self.file(p).samples)]
            raise UnknownNameError(f"{what} ({case.source}) without a reading:", name, known)
        return found

    def _places(self, case: Case) -> list[Path]:
        refs = [ref for zone in case.zones for ref in (zone.now, zone.target.colour if zone.target else None)]
        named = [ref.file for ref in refs if isinstance(ref, SampleRef) and ref.file is not None]
        folder = [case.folder / name for name in FOLDER_READINGS] if case.folder else []
        return list(dict.fromkeys([*self.extra, *named, *(path for path in folder if path.is_file())]))


def samples_of(case: Case) -> dict[str, None]:
    """The samples that the zones of a case may mean in the book."""
    found: dict[str, None] = {}
    for zone in case.zones:
        found[f"{case.case}-{zone.tooth}-{zone.zone}"] = None
        target = zone.target.colour if zone.target else None
        found |= {ref.sample: None for ref in (zone.now, target) if isinstance(ref, SampleRef) and ref.file is None}
        if isinstance(target, TabRef):
            found[GuideTab(target.guide, target.tab, zone.zone, zone.tissue).sample] = None
    return found


def _names(readings: Iterable[Reading]) -> list[str]:
    return [reading.sample for reading in readings]


def guide_of(book: Book, folder: Path, given: Path | None) -> tuple[GuideTab, ...] | None:
    """The guide's tabs: of the file given, else of the case's folder, else of the book; None when there is none."""
    beside = folder / FOLDER_GUIDE
    path = given or (beside if beside.is_file() else None)
    return (read_guide(path).records if path else book.guide()) or None


def case_at(book: Book, path: Path) -> Case:
    """The case of a file, with the guide beside it, else the book's; raises InputError for a file that is none."""
    return read_case(path, guide=guide_of(book, path.parent, None)).records[0]


def zone_colours(case: Case, library: Library, *, optics: bool = True) -> list[ZoneColours]:
    """All zones of a case with what was read and what is wanted.

    optics : make the readings ready for stains too, which an instrument's own scale cannot be.

    Raises InputError for references that lead nowhere and colours that cannot be compared.
    """
    zones = {zone.key: zone for zone in case.zones}
    found = [_looked_up(zone, zones, case, library, optics=optics) for zone in case.zones]
    library.warnings += library.pieces.told(_shifted(found, library.pieces))
    colours = [side for one in found for side in (one.now, one.seen, one.target) if side is not None]
    library.warnings += said(((side.reading.sample, side.crossed) for side in colours), against="the chips")
    by_photo = [f"{one.zone.tooth} {one.zone.zone}" for one in found if one.seen and one.seen.reading.is_photo]
    library.warnings += [f"as a photo shows them, with its doubt: {', '.join(by_photo)}"] if by_photo else []
    return found


def _shifted(zones: Iterable[ZoneColours], pieces: Pieces) -> Iterator[Reading]:
    """The readings that the step between plate and piece was used on."""
    for one in zones:
        if one.now is not None and one.now.shape is not None:
            yield one.now.reading
        yield from (side.reading for side in (one.seen, one.target) if side and side.reading.sample in pieces.flat)


def _looked_up(
    zone: CaseZone, zones: Mapping[tuple[int, str], CaseZone], case: Case, library: Library, *, optics: bool
) -> ZoneColours:
    read_at = zones[zone.like] if zone.like else zone
    now = _now(read_at.now, read_at, case, library)
    wanted = zone.target or read_at.target
    target = _target_reading(wanted, zone, case, library) if wanted else None
    where = f"{case.source}: zone {zone.tooth} {zone.zone}"
    if now is None or target is None:
        alone = _target_alone(target, wanted, library) if target else None
        start = _optical(now, read_at.now, zone, case, library) if optics else None
        return ZoneColours(zone, read_at, start, None, alone)
    try:
        viewing = shared_viewing(now, target, library.asked)
        seen, goal = (
            library.pieces.seen(_met(colour_of(one, viewing, adapt=library.asked.adapt), ref, case, library))
            for one, ref in ((now, read_at.now), (target, wanted.colour if wanted else None))
        )
        start = _optical(now, read_at.now, zone, case, library) if optics else None
    except InputError as error:
        error.args = (f"{where}: {error}",)
        raise
    assert wanted is not None
    if zone.like:
        spread = zone.like_spread or 1.0
        start = _like(start, spread)
        seen = replace(seen, covariance=seen.covariance + (spread * np.diag([0.8, 0.3, 0.5])) ** 2)
    bare = _bare(read_at.now, zone, case, library) if optics else None
    return ZoneColours(zone, read_at, start, seen, shifted(goal, wanted.shift), bare)


def _now(ref: NowRef | None, zone: CaseZone, case: Case, library: Library) -> Reading | None:
    if isinstance(ref, SampleRef):
        return library.sample(ref, case)
    if isinstance(ref, BodyRef):
        return library.named(ref.name, "body", case)
    if isinstance(ref, LabRef):
        return _lab_reading(ref, f"{case.case} {zone.tooth} {zone.zone}", case, zone.tissue, library)
    return library.kept(f"{case.case}-{zone.tooth}-{zone.zone}", case)


def _target_reading(target: Target, zone: CaseZone, case: Case, library: Library) -> Reading:
    colour = target.colour
    if isinstance(colour, SampleRef):
        return library.sample(colour, case)
    if isinstance(colour, TabRef):
        name = GuideTab(colour.guide, colour.tab, zone.zone, zone.tissue).sample
        return library.named(name, "guide tab", case)
    return _lab_reading(colour, f"target of {zone.tooth} {zone.zone}", case, zone.tissue, library)


def _lab_reading(ref: LabRef, name: str, case: Case, tissue: str, library: Library) -> Reading:
    by = library.asked.instrument
    return Reading(name, lab=ref.lab, viewing=ref.viewing, tissue=tissue, instrument=by, source=case.source)


def _target_alone(reading: Reading, wanted: Target | None, library: Library) -> SampleColour:
    viewing = library.asked.viewing or viewing_of(reading) or Viewing()
    return shifted(colour_of(reading, viewing, adapt=library.asked.adapt), wanted.shift if wanted else ())


def _met(colour: SampleColour, ref: object, case: Case, library: Library) -> SampleColour:
    """A colour as the chips were read; one that is written into the case was read with nothing."""
    if isinstance(ref, LabRef):
        return colour
    return colour.crossing(library.pieces.way(colour.reading, case.material))


def _optical(
    reading: Reading | None, ref: object, zone: CaseZone, case: Case, library: Library
) -> OpticalReading | None:
    if reading is None:
        return None
    found, pieces = optical(reading, tissue=zone.tissue), library.pieces
    return pieces.flattened(found) if isinstance(ref, LabRef) else pieces.laid_on(found, case.material)


def _like(start: OpticalReading | None, spread: float) -> OpticalReading | None:
    """The reading of another zone: what the two may differ by is added to its doubt."""
    if start is None:
        return None
    tilt = LIKE_TILT_SD * np.linspace(-1.0, 1.0, start.reflectance.size)
    extra = LIKE_LEVEL_SD**2 + np.outer(tilt, tilt)
    return replace(start, ln_covariance=start.ln_covariance + spread**2 * extra)


def _bare(ref: NowRef | None, zone: CaseZone, case: Case, library: Library) -> OpticalReading | None:
    """The same sample as it was read before any stain: what stripping leads back to."""
    if not isinstance(ref, SampleRef) or case.stage not in ("stained", "glazed", "returned"):
        return None
    for stage in _BARE_STAGES:
        try:
            found = library.sample(SampleRef(ref.sample, ref.file, stage), case)
            return _optical(found, ref, zone, case, library)
        except UnknownNameError:
            continue
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
