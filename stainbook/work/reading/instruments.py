"""Instrument profiles: set once, kept in the book, used for every file that names the instrument."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stainbook.apparatus import Instrument
from stainbook.colour import illuminant_name
from stainbook.colour.illuminants import checked_observer
from stainbook.errors import InputError
from stainbook.language import say
from stainbook.records import UNKNOWN_VIEWING, Viewing
from stainbook.work.documents.day_schemas import InstrumentResult, InstrumentShown, LabShift

if TYPE_CHECKING:
    from stainbook.book import Book

SPECULAR = ("excluded", "included")
WIDEST = 100.0  # mm of an aperture


class Profiles(Mapping[str, Instrument]):
    """The profiles of a book that is opened when the first reading needs one; none where there is no book yet."""

    def __init__(self, book: Callable[[], Book | None]) -> None:
        self._book = book
        self._found: dict[str, Instrument] | None = None

    def __getitem__(self, name: str) -> Instrument:
        return self._loaded()[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._loaded())

    def __len__(self) -> int:
        return len(self._loaded())

    def _loaded(self) -> dict[str, Instrument]:
        if self._found is None:
            self._found = self._looked_up()
        return self._found

    def _looked_up(self) -> dict[str, Instrument]:
        book = self._book()
        return {} if book is None else book.instruments()


@dataclass(frozen=True, slots=True)
class Stated:
    """What is said of an instrument; None leaves it as it was.

    Raises InputError for words and numbers that cannot be.
    """

    illuminant: str | None = None
    observer: int | None = None
    geometry: str | None = None
    specular: str | None = None
    aperture_mm: float | None = None
    backing: str | None = None
    notes: str | None = None

    def __post_init__(self) -> None:
        if self.illuminant is not None and self.illuminant.lower() != "unknown":
            object.__setattr__(self, "illuminant", illuminant_name(self.illuminant))
        if self.observer is not None:
            checked_observer(self.observer)
        if self.specular not in (None, *SPECULAR):
            raise InputError(say("specular: found {specular!r}, expected excluded or included", specular=self.specular))
        if self.aperture_mm is not None and not 0.0 < self.aperture_mm <= WIDEST:
            raise InputError(
                say(
                    "aperture: found {found:g} mm, expected above 0 and at most {most:g}",
                    found=self.aperture_mm,
                    most=WIDEST,
                )
            )

    def upon(self, known: Instrument) -> Instrument:
        """The profile with what is said."""
        return replace(
            known,
            viewing=Viewing(self.illuminant or known.viewing.illuminant, self.observer or known.viewing.observer),
            geometry=self.geometry or known.geometry,
            specular=self.specular or known.specular,
            aperture_mm=self.aperture_mm or known.aperture_mm,
            backing=self.backing or known.backing,
            notes=self.notes or known.notes,
        )


def set_up(book: Book, name: str, stated: Stated) -> InstrumentResult:
    """Store what is stated of an instrument and show all of them; raises InputError for a name that is none."""
    if not name.strip():
        raise InputError(say("found an instrument without name, expected the name that its readings carry"))
    book.add_instruments([stated.upon(book.instruments().get(name, Instrument(name)))])
    return shown(book)


def shown(book: Book) -> InstrumentResult:
    """All instruments of the book."""
    return InstrumentResult(instruments=[_shown(one) for one in book.instruments().values()])


def _shown(one: Instrument) -> InstrumentShown:
    known = one.viewing if one.viewing.known else UNKNOWN_VIEWING
    return InstrumentShown(
        instrument=one.name,
        illuminant=known.illuminant,
        observer=known.observer or None,
        geometry=one.geometry,
        specular=one.specular,
        aperture_mm=one.aperture_mm,
        backing=one.backing,
        piece_offset=_shift(one.piece_offset),
        piece_doubt=_shift(one.piece_doubt),
        notes=one.notes,
    )


def _shift(values: tuple[float, float, float] | None) -> LabShift | None:
    return None if values is None else LabShift(L=values[0], a=values[1], b=values[2])
