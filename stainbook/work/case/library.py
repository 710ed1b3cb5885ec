"""Where readings of a case are looked up: files, each read once, then the book; and what the book knows of stains."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from stainbook.book import Book
from stainbook.book.case_state import CaseState
from stainbook.errors import UnknownNameError
from stainbook.files import ReadingSet, read_guide, read_readings
from stainbook.language import say
from stainbook.records import Body, Case, GuideTab, LabRef, Reading, SampleRef, TabRef
from stainbook.work.reading.lab_settings import viewing_in
from stainbook.work.reading.plate_and_piece import Pieces
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.predict import LabOptics, lab_of_book

# Files in which a case's folder keeps the readings of the guide and the blanks, beside those the case names.
FOLDER_READINGS = ("readings.csv", "targets.csv", "guide-readings.csv")
FOLDER_GUIDE = "guide.csv"


@dataclass(slots=True)
class Library:
    """Where readings are looked up: files, each read once, then the book.

    ``extra`` files are searched for guide tabs and bodies, before the case's own and the book. ``state`` is what
    happened to the case, None for one that only a file tells of; ``results`` are readings that count before all others.
    """

    book: Book
    asked: Asked = field(default_factory=Asked)
    extra: Sequence[Path] = ()
    warnings: list[str] = field(default_factory=list)
    state: CaseState | None = None
    results: Mapping[tuple[int, str], Reading] = field(default_factory=dict)
    _optics: LabOptics | None = None
    _sets: dict[Path, ReadingSet] = field(default_factory=dict)
    _pieces: Pieces | None = None
    _kept: dict[str, dict[str, list[Reading]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.asked = replace(self.asked, usual=viewing_in(self.book))

    def is_of_the_book(self, case: Case) -> bool:
        """Whether the book alone says how the zones of a case stand: no file, no other light, no other state."""
        life = self.book.life(case.case)
        plain = self.asked == Asked(usual=self.asked.usual) and not self.results
        return life is not None and self.state is life.state and plain and not self._places(case)

    @property
    def pieces(self) -> Pieces:
        """Which samples are flat, and what instruments make of pieces."""
        if self._pieces is None:
            self._pieces = self.book.kept("pieces", lambda: Pieces.of_book(self.book))
        return self._pieces

    @property
    def optics(self) -> LabOptics:
        """What the book knows of stains; raises InputError where none was calibrated."""
        if self._optics is None:
            self._optics = lab_of_book(self.book)
        return self._optics

    def body(self, name: str) -> Body | None:
        """What the book knows of a blank."""
        return self.book.bodies().get(name)

    def typed(self, ref: LabRef, name: str, case: Case, tissue: str) -> Reading:
        """A colour that the case itself states, as a reading."""
        by = self.asked.instrument
        return Reading(name, lab=ref.lab, viewing=ref.viewing, tissue=tissue, instrument=by, source=case.source)

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
        found = self.find_sample(ref, case)
        if found is not None:
            return found
        if ref.file is not None:
            return self.file(ref.file).get(ref.sample, ref.stage)
        what = say("sample in the book ({source}):", source=case.source)
        raise UnknownNameError(what, ref.sample, _names(self.book.readings()))

    def find_sample(self, ref: SampleRef, case: Case) -> Reading | None:
        """The reading that a reference means; None where neither file nor book holds it."""
        if ref.file is not None:
            return self.file(ref.file).find(ref.sample, ref.stage)
        return self.kept(ref.sample, case, ref.stage)

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
        found = self.find_named(name, case)
        if found is None:
            known = [*_names(self.book.readings()), *(s for p in self._places(case) for s in self.file(p).samples)]
            raise UnknownNameError(
                say("{sample} ({source}) without a reading:", sample=what, source=case.source), name, known
            )
        return found

    def find_named(self, name: str, case: Case) -> Reading | None:
        """A guide tab's or a body's reading as ``named`` gives it; None where nothing holds it."""
        in_files = (self.file(path).find(name) for path in self._places(case))
        return next((one for one in in_files if one is not None), None) or self.kept(name, case)

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
