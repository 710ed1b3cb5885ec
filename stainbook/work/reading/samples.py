"""A reading as a colour with its doubt, under one light and observer."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stainbook.apparatus import Instrument
from stainbook.colour import adapt_lab, delta_e_2000_radius, spectrum_to_lab
from stainbook.errors import ConditionsError, InputError
from stainbook.language import say, say_n
from stainbook.records import Reading, Viewing, tissue_of
from stainbook.work.reading.reading_conditions import AS_READ, Crossing, brought_lab, lab_doubt
from stainbook.work.reading.reading_doubt import lab_covariance, seen_covariance
from stainbook.work.reading.viewing_conditions import described, viewing_of

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class SampleColour:
    """L*, a*, b* (3,) of a reading under ``viewing``, and their covariance (3, 3)."""

    reading: Reading
    lab: Floats
    covariance: Floats
    viewing: Viewing
    adapted_from: Viewing | None = None
    crossed: Crossing = AS_READ

    def crossing(self, way: Crossing) -> SampleColour:
        """The colour as the other way of reading would have it, with the doubt of that."""
        if not way:
            return self
        lab = np.asarray(brought_lab(self.lab, way))
        return replace(self, lab=lab, covariance=self.covariance + lab_doubt(lab, way), crossed=way)

    @property
    def u(self) -> float:
        """Radius in ΔE00 that holds the true colour in 95 % of cases."""
        return float(delta_e_2000_radius(self.lab, self.covariance))


def colour_of(reading: Reading, viewing: Viewing, *, adapt: bool = False) -> SampleColour:
    """The colour of a reading under a light and observer.

    viewing : where the colour must hold; for L*a*b* of unknown conditions the unknown viewing.
    adapt : L*a*b* alone may be taken there from another light, with more doubt.

    Raises ConditionsError for L*a*b* alone of another light or observer without ``adapt``, or of unknown ones.
    """
    own = viewing_of(reading)
    if own is None:
        lab = spectrum_to_lab(
            np.asarray(reading.reflectance),
            reading.wavelengths,
            illuminant=viewing.illuminant,
            observer=viewing.observer,
        )
        return SampleColour(reading, lab, seen_covariance(reading, lab, viewing, tissue=tissue(reading)), viewing)
    if own == viewing:
        return SampleColour(reading, np.asarray(reading.lab), lab_covariance(reading), viewing)
    if not adapt or not own.known:
        raise _refused(reading, own, viewing)
    there = adapt_lab(np.asarray(reading.lab), own, viewing, tissue=tissue(reading))
    return SampleColour(reading, there.lab, there.covariance + lab_covariance(reading), viewing, own)


def tissue(reading: Reading) -> str | None:
    """The tissue that a reading states, else that of the zone its name holds, else None."""
    if reading.tissue:
        return reading.tissue
    words = re.split(r"[^a-z]+", reading.sample.lower())
    return next((found for word in reversed(words) if (found := tissue_of(word))), None)


def warnings_of(colours: Iterable[SampleColour]) -> list[str]:
    """What the user must be told about some colours: those adapted, and those on an instrument's own scale."""
    groups: dict[tuple[Viewing | None, Viewing], list[Reading]] = {}
    for colour in colours:
        if colour.adapted_from or not colour.viewing.known:
            groups.setdefault((colour.adapted_from, colour.viewing), []).append(colour.reading)
    return [_told(group, *key) for key, group in groups.items()]


def _told(readings: list[Reading], source: Viewing | None, viewing: Viewing) -> str:
    n, first = len(readings), {"sample": readings[0].sample, "source": readings[0].source}
    if source is None:
        return say_n(
            "{n} reading, {sample!r} ({source}), on this instrument's own scale: light or observer is not stated, in "
            "columns or with --illuminant and --observer",
            "{n} readings, the first {sample!r} ({source}), on this instrument's own scale: light or observer is not "
            "stated, in columns or with --illuminant and --observer",
            n,
            **first,
        )
    return say_n(
        "{n} reading, {sample!r} ({source}), taken from {own} to {asked} by L*a*b* alone, with more doubt",
        "{n} readings, the first {sample!r} ({source}), taken from {own} to {asked} by L*a*b* alone, with more doubt",
        n,
        own=described(source),
        asked=described(viewing),
        **first,
    )


def _refused(reading: Reading, own: Viewing, viewing: Viewing) -> ConditionsError:
    way = (
        say("--adapt takes it there with more doubt")
        if own.known
        else say("state them with --illuminant and --observer")
    )
    return ConditionsError(
        say(
            "{source}: {sample!r} is L*a*b* under {own}, expected {asked} or a spectrum; {hint}",
            source=reading.source,
            sample=reading.sample,
            own=described(own),
            asked=described(viewing),
            hint=way,
        )
    )


def on_plate_scale(colour: SampleColour, profiles: Mapping[str, Instrument]) -> SampleColour:
    """A piece's colour as a flat plate of the same colour would read, with the doubt that this adds.

    Raises InputError where the reading names no instrument whose plate-to-piece offset was measured.
    """
    name = colour.reading.instrument
    profile = profiles.get(name) if name else None
    if profile is None or profile.piece_offset is None:
        raise InputError(
            say(
                "{source}: {sample!r} names no instrument with a plate-to-piece offset; read the same "
                "ceramic flat and as pieces, then `stainbook agree PLATES PIECES --plate-to-piece INSTRUMENT`",
                source=colour.reading.source,
                sample=colour.reading.sample,
            )
        )
    shift, doubt = piece_shift(profile)
    return replace(colour, lab=colour.lab - shift, covariance=colour.covariance + doubt)


def piece_shift(profile: Instrument) -> tuple[Floats, Floats]:
    """L*, a*, b* (3,) of a piece minus a flat plate's by an instrument, and their covariance (3, 3)."""
    shift = np.asarray(profile.piece_offset or (0.0, 0.0, 0.0))
    return shift, np.diag(np.square(profile.piece_doubt or (0.0, 0.0, 0.0)))
