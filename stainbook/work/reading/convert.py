"""Readings to L*, a*, b*, C*, h with their doubt."""

from __future__ import annotations

from pathlib import Path

from stainbook.colour import lab_to_lch
from stainbook.files import read_readings, write_readings
from stainbook.records import Reading
from stainbook.work.documents.schemas import ConvertedReading, ConvertResult
from stainbook.work.reading.samples import SampleColour, colour_of, tissue, warnings_of
from stainbook.work.reading.viewing_conditions import OWN_SCALE, SPECTRA_SEEN_UNDER, Asked, viewing_of


def convert(path: Path, asked: Asked | None = None) -> ConvertResult:
    """The colours of a readings file, in its order, one for each sample, stage and time.

    Raises InputError for a file that cannot be read and for L*a*b* that would have to be adapted unasked.
    """
    asked = asked or Asked()
    readings = read_readings(path, defaults=asked.defaults)
    colours = [_colour(reading, asked) for reading in readings.all]
    warnings = [*readings.warnings, *warnings_of(colours)]
    return ConvertResult(readings=[_entry(colour) for colour in colours], warnings=warnings)


def save_readings(path: Path, target: Path, asked: Asked | None = None) -> None:
    """Write a file's readings to another, in the format of its name: .cxf, .txt or .cgats, else CSV.

    Raises InputError for a file that cannot be read, and a place or grid that cannot be written.
    """
    write_readings(target, read_readings(path, defaults=(asked or Asked()).defaults).all)


def _colour(reading: Reading, asked: Asked) -> SampleColour:
    own = viewing_of(reading)
    if own is not None and not own.known:
        return colour_of(reading, own)
    return colour_of(reading, asked.viewing or own or SPECTRA_SEEN_UNDER, adapt=asked.adapt)


def _entry(colour: SampleColour) -> ConvertedReading:
    reading, viewing = colour.reading, colour.viewing
    L, C, h = lab_to_lch(colour.lab).tolist()
    _, a, b = colour.lab.tolist()
    return ConvertedReading(
        sample=reading.sample,
        L=L,
        a=a,
        b=b,
        C=C,
        h=h,
        illuminant=viewing.illuminant,
        observer=viewing.observer or None,
        u=colour.u,
        stage=reading.stage,
        taken_at=reading.taken_at,
        surface=reading.surface,
        tissue=tissue(reading),
        instrument=reading.instrument,
        repeats=reading.repeats,
        doubt_from=_doubt_from(reading),
        scale=None if viewing.known else OWN_SCALE,
    )


def _doubt_from(reading: Reading) -> str:
    if reading.u is not None:
        return "stated"
    return "repeats" if reading.scatter else "usual repeatability"
