"""Pieces and flat plates: stains are learnt on plates, laid on pieces, and an instrument may read the two unlike.

An instrument's offset between them is kept with its profile (`stainbook agree --plate-to-piece`). Stains are computed
on the plate's scale; what comes out, and targets that were read flat, are told on the piece's.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from stainbook.apparatus import Instrument
from stainbook.book import Book
from stainbook.colour import WAVELENGTHS, lab_jacobian, recover_reflectance
from stainbook.language import filled, joined, say
from stainbook.optics.ceramic import Ceramic
from stainbook.records import Reading
from stainbook.work.reading.optical import DARKEST, OpticalReading, lab_on_grid, surface_of
from stainbook.work.reading.reading_conditions import (
    AS_READ,
    Crossing,
    ReadWith,
    chips_read_with,
    faces_of,
    through_small_port,
    way_to,
)
from stainbook.work.reading.samples import SampleColour, piece_shift
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, viewing_of


@dataclass(frozen=True, slots=True)
class Pieces:
    """Which samples are flat, and the instruments whose offset between plate and piece was measured."""

    flat: frozenset[str] = frozenset()
    offsets: Mapping[str, Instrument] = field(default_factory=dict)
    chips: ReadWith | None = None  # how the chips were read; None where nothing was calibrated
    ceramics: Mapping[str, Ceramic] = field(default_factory=dict)

    @classmethod
    def of_book(cls, book: Book) -> Pieces:
        """The chips and bodies of a book count as flat; everything else as a piece."""
        offsets = {name: one for name, one in book.instruments().items() if one.piece_offset is not None}
        chips_read, ceramics = chips_read_with(book), faces_of(book)
        if not offsets and not (chips_read and chips_read.by_small_port):
            return cls(chips=chips_read, ceramics=ceramics)
        chips = book.chips()
        flat = {*book.bodies(), *(chip.chip for chip in chips), *(chip.body for chip in chips)}
        return cls(frozenset(flat), offsets, chips_read, ceramics)

    def way(self, reading: Reading, material: str | None = None, *, to: ReadWith | None = None) -> Crossing:
        """From how a reading was read to how the chips were, or to ``to``; a photo has its own doubt."""
        meets = to or self.chips
        if meets is None:
            return AS_READ
        ceramic = self.ceramics.get(material or "") or Ceramic.of(material)
        return way_to(meets, reading, surface_of(reading), ceramic)

    def profile(self, reading: Reading) -> Instrument | None:
        """The instrument of a reading, where its offset is known."""
        return self.offsets.get(reading.instrument) if reading.instrument else None

    def seen(self, colour: SampleColour, material: str | None = None) -> SampleColour:
        """A colour as the chips were read, and as a piece would read: a plate's takes the offset, with its doubt."""
        colour = colour.crossing(self.way(colour.reading, material))
        profile = self.profile(colour.reading)
        if profile is None or colour.reading.sample not in self.flat:
            return colour
        shift, doubt = piece_shift(profile)
        return replace(colour, lab=colour.lab + shift, covariance=colour.covariance + doubt)

    def laid_on(self, found: OpticalReading, material: str | None = None) -> OpticalReading:
        """A reading as stains are laid on it: as the chips were read, on the plate's scale, its shape apart."""
        way, reading = self.way(found.reading, material), found.reading
        if self.chips is not None and reading.sample not in self.flat and self.profile(reading) is None:
            way = through_small_port(way, self.chips, reading)
        return self.flattened(found.crossing(way))

    def flattened(self, found: OpticalReading) -> OpticalReading:
        """A reading on the plate's scale, knowing what its shape does, with the doubt."""
        profile = self.profile(found.reading)
        if profile is None:
            return found
        return from_plate(found, profile) if found.reading.sample in self.flat else to_plate(found, profile)

    def told(self, readings: Iterable[Reading | None]) -> list[str]:
        """One line for each instrument whose offset was used."""
        used = {one.instrument for one in readings if one is not None and self.profile(one) is not None}
        return [_line(self.offsets[name]) for name in sorted(name for name in used if name)]


def _line(one: Instrument) -> str:
    shift = joined((filled("{by:+.1f}", by=float(value)) for value in piece_shift(one)[0]), " ")
    return say(
        "{instrument} reads pieces {shift} in L* a* b* from flat plates: stains, learnt on plates, are "
        "computed with this offset and its doubt; guide tabs count as pieces",
        instrument=one.name,
        shift=shift,
    )


def to_plate(found: OpticalReading, profile: Instrument) -> OpticalReading:
    """A piece's reading as a plate of the same ceramic would read."""
    shape = _shape(found, profile, -1.0)
    flat = replace(found, reflectance=np.maximum(found.reflectance / shape, DARKEST), shape=shape)
    return _doubted(flat, profile)


def from_plate(found: OpticalReading, profile: Instrument) -> OpticalReading:
    """A plate's reading that stands for a piece: the piece will read as its shape has it."""
    return _doubted(replace(found, shape=_shape(found, profile, 1.0), read_flat=True), profile)


def _shape(found: OpticalReading, profile: Instrument, way: float) -> np.ndarray:
    """Ratio (31,) of a piece's reflectance to a plate's: the smoothest that moves the colour by the offset."""
    own = viewing_of(found.reading) or profile.viewing
    viewing = own if own.known else SPECTRA_SEEN_UNDER
    here = lab_on_grid(found.reflectance, viewing)
    there = here + way * piece_shift(profile)[0]
    R = [
        np.maximum(
            recover_reflectance(lab, illuminant=viewing.illuminant, observer=viewing.observer).reflectance, DARKEST
        )
        for lab in (here, there)
    ]
    return np.asarray((R[1] / R[0]) ** way)


def _doubted(found: OpticalReading, profile: Instrument) -> OpticalReading:
    viewing = SPECTRA_SEEN_UNDER
    by_R = lab_jacobian(found.reflectance, WAVELENGTHS, illuminant=viewing.illuminant, observer=viewing.observer)
    back = np.linalg.pinv(by_R) / found.reflectance[:, None]
    return replace(found, ln_covariance=found.ln_covariance + back @ piece_shift(profile)[1] @ back.T)
