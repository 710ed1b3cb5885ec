"""Two instruments on shared samples; plates and pieces on one instrument: how far apart, and the way across."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from stainbook.book import Book
from stainbook.colour import delta_e_2000_radius, thresholds
from stainbook.colour.agreement import FEWEST, Agreement, Conversion, agreement
from stainbook.errors import InputError, UnknownNameError
from stainbook.files import ReadingSet, read_readings, write_readings
from stainbook.language import say, say_n
from stainbook.records import LabValues, Reading, Viewing
from stainbook.work.documents.day_schemas import AgreeingPair, AgreeResult, ConvertedScale, LabShift
from stainbook.work.reading.samples import colour_of
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, Asked, viewing_of

FEW = 8  # below this the doubt of the conversion is mostly what is usual, not what was read
_T975 = {2: 4.30, 3: 3.18, 4: 2.78, 5: 2.57, 6: 2.45, 7: 2.36, 8: 2.31, 9: 2.26}  # Student's t, two-sided 95 %


def agree(first: Path, second: Path, asked: Asked | None = None) -> tuple[AgreeResult, Conversion]:
    """How two files of readings of the same samples agree; second minus first.

    Colours of known light must be of one, or spectra; two own scales are compared as they are, since that is the
    question. Raises InputError for files that cannot be used, and fewer than three samples in both.
    """
    asked = asked or Asked()
    one, other = (read_readings(path, defaults=asked.defaults) for path in (first, second))
    names = [name for name in one.samples if name in other.samples]
    if len(names) < FEWEST:
        raise InputError(
            say(
                "{first} and {second}: {n} samples are in both, expected {least} or more of the same names, "
                "better {better} or more that span the colours of your work",
                first=first,
                second=second,
                n=len(names),
                least=FEWEST,
                better=FEW,
            )
        )
    a, b = (
        np.array([_lab(side.get(name), viewing) for name in names])
        for side, viewing in _viewings(one, other, names, asked)
    )
    found = agreement(a, b)
    warnings = [*one.warnings, *other.warnings]
    if len(names) < FEW:
        warnings.append(
            say_n(
                "only {n} shared sample: the doubt is mostly what is usual between instruments",
                "only {n} shared samples: the doubt is mostly what is usual between instruments",
                len(names),
            )
        )
    return _result(names, found, one, other, warnings), found.conversion


def convert_readings(path: Path, target: Path, way: Conversion, asked: Asked | None = None) -> int:
    """Write the L*, a*, b* of a file on the other instrument's scale to another file; gives their number.

    Raises InputError for files that cannot be used.
    """
    found = read_readings(path, defaults=(asked or Asked()).defaults)
    write_readings(target, [_converted(reading, way) for reading in found.all])
    return len(found.all)


def keep_piece_offset(book: Book, instrument: str, way: AgreeResult) -> None:
    """Keep pieces minus plates as the instrument's offset; its doubt is that of the next single piece.

    Raises UnknownNameError for an instrument that was not set up.
    """
    known = book.instruments()
    if instrument not in known:
        raise UnknownNameError(say("instrument"), instrument, known)
    offset, scatter, n = way.offset, way.scatter, len(way.pairs)
    doubt = tuple(getattr(scatter, axis) * (1.0 + 1.0 / n) ** 0.5 for axis in ("L", "a", "b"))
    one = replace(
        known[instrument], piece_offset=(offset.L, offset.a, offset.b), piece_doubt=(doubt[0], doubt[1], doubt[2])
    )
    book.add_instruments([one])


def _viewings(
    one: ReadingSet, other: ReadingSet, names: Sequence[str], asked: Asked
) -> list[tuple[ReadingSet, Viewing | None]]:
    """The light for each side; None where its L*, a*, b* are taken as they are."""
    own = [{viewing_of(side.get(name)) for name in names} - {None} for side in (one, other)]
    known = [viewing for side in own for viewing in side if viewing is not None and viewing.known]
    shared = asked.viewing or (known[0] if known else SPECTRA_SEEN_UNDER)
    return [
        (side, None if any(v is not None and not v.known for v in views) else shared)
        for side, views in zip((one, other), own, strict=True)
    ]


def _lab(reading: Reading, viewing: Viewing | None) -> NDArray[np.float64]:
    if viewing is None:
        own = viewing_of(reading)
        if own is None or own.known:
            raise InputError(
                say("{source}: a colour of known light among those of an instrument's own scale", source=reading.source)
            )
        return np.asarray(reading.lab)
    return colour_of(reading, viewing).lab


def _converted(reading: Reading, way: Conversion) -> Reading:
    if reading.lab is None:
        raise InputError(
            say(
                "{source}: {sample!r} is a spectrum, expected L, a, b on the first's scale",
                source=reading.source,
                sample=reading.sample,
            )
        )
    there, sd = way.apply(reading.lab)
    note = "converted, ± {:.1f} {:.1f} {:.1f}".format(*(way.wide * sd))
    lab: LabValues = (float(there[0]), float(there[1]), float(there[2]))
    return replace(reading, lab=lab, notes="; ".join(filter(None, (reading.notes, note))), instrument=None)


def _result(
    names: Sequence[str], found: Agreement, one: ReadingSet, other: ReadingSet, warnings: Sequence[str]
) -> AgreeResult:
    half = _T975.get(len(names) - 1, 2.0) * found.error
    way, limits = found.conversion, thresholds("tooth")
    centre, sd = way.apply(way.centre)
    return AgreeResult(
        first=_instrument(one),
        second=_instrument(other),
        pairs=[AgreeingPair(sample=name, dE00=float(dE)) for name, dE in zip(names, found.dE00, strict=True)],
        dE00_median=float(np.median(found.dE00)),
        imperceptible=float(np.mean(found.dE00 <= limits.perceptible)),
        acceptable=float(np.mean(found.dE00 <= limits.acceptable)),
        offset=_shift(found.mean),
        offset_low=_shift(found.mean - half),
        offset_high=_shift(found.mean + half),
        scatter=_shift(found.scatter),
        conversion=ConvertedScale(
            centre=_shift(way.centre),
            offset=_shift(way.offset),
            slope=_shift(way.slope),
            u=float(delta_e_2000_radius(centre, np.diag((way.wide / 1.96 * sd) ** 2))),
            dE00_left_out=float(np.median(found.converted)),
        ),
        warnings=list(warnings),
    )


def _instrument(side: ReadingSet) -> str:
    named = {reading.instrument for reading in side.all if reading.instrument}
    return named.pop() if len(named) == 1 else side.source


def _shift(values: NDArray[np.float64]) -> LabShift:
    L, a, b = (float(value) for value in values)
    return LabShift(L=L, a=a, b=b)
