"""Readings files, whatever their format: told apart by content, repeats averaged, looked up by sample."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np

from stainbook.errors import FileError, InputError, UnknownNameError
from stainbook.files.cgats import is_cgats, parse_cgats
from stainbook.files.cxf import parse_cxf
from stainbook.files.file_light import Defaults
from stainbook.files.pasted import in_order, parse_pasted
from stainbook.files.readings_csv import Parsed, parse_readings_csv, stage_word
from stainbook.files.text import Source, check_rows, decode_text, read_text, shown
from stainbook.files.values import instant
from stainbook.language import say
from stainbook.records import UNKNOWN_VIEWING, LabValues, Reading, Viewing, newest_reading

_WHAT = say("a readings file")
_CONDITIONS = ("surface", "tissue", "instrument", "geometry", "specular", "aperture_mm", "backing")
_UNDATED = datetime.min.replace(tzinfo=UTC)
Parser = Callable[[str, Path], Parsed]


@dataclass(frozen=True)
class ReadingSet:
    """The readings of a file in the order of their last rows, one per sample, stage and time."""

    all: tuple[Reading, ...]
    warnings: tuple[str, ...] = ()
    source: str = "readings"

    @property
    def samples(self) -> tuple[str, ...]:
        """The samples' names, each once."""
        return tuple(self._by_sample)

    @cached_property
    def _by_sample(self) -> dict[str, list[Reading]]:
        index: dict[str, list[Reading]] = {}
        for reading in self.all:
            index.setdefault(reading.sample, []).append(reading)
        return index

    def get(self, sample: str, stage: str | None = None) -> Reading:
        """Return the newest reading of a sample (at a stage): by ``taken_at``, else the last row.

        Raises
        ------
        UnknownNameError
            When there is no such sample, or it has no reading at that stage.
        """
        found = self._by_sample.get(sample)
        if not found:
            raise UnknownNameError(say("sample in {source}:", source=self.source), sample, self._by_sample)
        if stage is not None:
            at_stage = [reading for reading in found if reading.stage == stage_word(stage)]
            if not at_stage:
                stages = [reading.stage for reading in found if reading.stage]
                raise UnknownNameError(
                    say("stage of {sample!r} in {source}:", sample=sample, source=self.source), stage, stages
                )
            found = at_stage
        return newest_reading(found) or found[-1]

    def find(self, sample: str, stage: str | None = None) -> Reading | None:
        """Return what ``get`` returns; None where there is no such reading."""
        at = None if stage is None else stage_word(stage)
        found = [one for one in self._by_sample.get(sample, ()) if at in (None, one.stage)]
        return newest_reading(found) or found[-1] if found else None


def read_readings(
    file: Source,
    *,
    viewing: Viewing = UNKNOWN_VIEWING,
    defaults: Defaults | None = None,
    order: Sequence[str] = (),
) -> ReadingSet:
    """Read a file of readings; ``viewing`` holds for L*, a*, b* whose file and instrument do not state theirs.

    Spectra come in nm and reflectance factor, ascending; repeats are averaged. ``defaults`` brings the
    instruments' profiles, and the viewing too. With an ``order`` of samples row n is the n-th of them.

    Raises
    ------
    FileError
        For anything malformed: names the file, the row and column, what was found and expected.

    >>> from pathlib import Path
    >>> from stainbook.files import read_readings
    >>> Path("readings.csv").write_text("sample,L,a,b,illuminant,observer\\nW-1-11-middle,72.5,0.6,12.9,D65,10\\n")
    68
    >>> read_readings("readings.csv").get("W-1-11-middle").lab
    (72.5, 0.6, 12.9)
    """
    path = Path(file)
    text = read_text(file, _WHAT)
    return settled(_parsed(text, path, order), str(path), defaults or Defaults(viewing))


def read_pasted(
    text: str, *, order: Sequence[str] = (), defaults: Defaults | None = None, source: str = "pasted readings"
) -> ReadingSet:
    """Read typed or pasted rows of L*, a*, b*, or whatever a readings file may hold.

    Parameters
    ----------
    text : rows with tabs, semicolons or spaces, decimal points or commas, with or without header and names
    order : the samples' names in the order in which they were read; row n is the n-th
    defaults : viewing and instrument of rows that do not say
    source : what messages call it

    Raises
    ------
    FileError
        For rows that are no colour, or more or fewer of them than the order has.

    >>> from stainbook.files import read_pasted
    >>> read_pasted("72,5 0,6 12,9", order=["W-1-11-middle"]).get("W-1-11-middle").lab
    (72.5, 0.6, 12.9)
    """
    text = decode_text(text.encode("utf-8", "replace"), Path(source), _WHAT).replace("\r\n", "\n").replace("\r", "\n")
    parser = _parser_of(text)
    parsed = (
        parse_pasted(text, Path(source), order) if parser is parse_readings_csv else _parsed(text, Path(source), order)
    )
    return settled(parsed, source, defaults or Defaults())


def _parsed(text: str, path: Path, order: Sequence[str]) -> Parsed:
    check_rows(text, path)
    parser = _parser_of(text)
    if not order:
        return parser(text, path)
    return (
        parse_pasted(text, path, order)
        if parser is parse_readings_csv
        else in_order(parser(text, path), order, str(path))
    )


def settled(parsed: Parsed, source: str, defaults: Defaults) -> ReadingSet:
    """Parsed rows with what they left open, repeats averaged.

    Raises
    ------
    FileError, InputError
        When there is none, or repeats differ in how they were read.
    """
    if not parsed.readings:
        raise FileError(source, say("no reading"), say("one reading a row under the header"))
    rows = [defaults.fill(reading, parsed.standard) for reading in parsed.readings]
    return ReadingSet(average_repeats(rows), (*parsed.warnings, *_by_standard(parsed, rows, source, defaults)), source)


def _by_standard(parsed: Parsed, rows: list[Reading], source: str, defaults: Defaults) -> tuple[str, ...]:
    """A warning when light or observer of L*, a*, b* are only what the file format means."""
    if not parsed.standard.known or all(
        defaults.fill(was).viewing == now.viewing for was, now in zip(parsed.readings, rows, strict=True)
    ):
        return ()
    means = f"{parsed.standard.illuminant}, {parsed.standard.observer}°"
    return (
        say(
            "{source}: light or observer of L, a, b are not stated and were taken as the format means them, {means}",
            source=source,
            means=means,
        ),
    )


def average_repeats(rows: Iterable[Reading]) -> tuple[Reading, ...]:
    """Average rows that agree in sample, stage and time; the scatter of one row is kept beside the mean.

    Raises
    ------
    InputError
        When repeats differ in kind, wavelengths, illuminant, observer or how they were read.

    >>> from stainbook.records import Reading
    >>> from stainbook.files import average_repeats
    >>> two = [Reading("tab", lab=(72.0, 1.6, 17.0)), Reading("tab", lab=(72.4, 1.6, 17.0))]
    >>> [(one.repeats, one.lab[0]) for one in average_repeats(two)]
    [(2, 72.2)]
    """
    groups: dict[object, list[Reading]] = {}
    for row in rows:
        key = (row.sample, row.stage, _time(row))
        group = groups.pop(key, [])
        group.append(row)
        groups[key] = group  # put last: readings stand in the order of their last rows
    return tuple(_mean(group) if len(group) > 1 else group[0] for group in groups.values())


def _time(reading: Reading) -> datetime:
    """When a reading was taken; one without date (or with one that is none) counts as the oldest."""
    return instant(reading.taken_at or "") or _UNDATED


def _mean(group: list[Reading]) -> Reading:
    first = group[0]
    for row in group[1:]:
        if (row.wavelengths, row.viewing, row.u is None) != (first.wavelengths, first.viewing, first.u is None):
            raise _differ(first, row, say("kind of colour (wavelengths, illuminant, observer, doubt of its own)"))
    values = np.array([row.reflectance or row.lab for row in group])
    mean = tuple(values.mean(axis=0).tolist())
    lab: LabValues | None = None if first.is_spectral else (mean[0], mean[1], mean[2])
    conditions: dict[str, Any] = {name: _agreed(group, name) for name in _CONDITIONS}
    notes = dict.fromkeys(row.notes for row in group if row.notes)
    return replace(
        group[-1],
        reflectance=mean if first.is_spectral else (),
        lab=lab,
        repeats=sum(row.repeats for row in group),
        scatter=tuple(values.std(axis=0, ddof=1).tolist()),
        notes="; ".join(notes) or None,
        u=max((row.u for row in group if row.u is not None), default=None),  # one camera errs alike each time
        **conditions,
    )


def _agreed(group: list[Reading], name: str) -> object:
    named = [row for row in group if getattr(row, name) is not None]
    for row in named[1:]:
        if getattr(row, name) != getattr(named[0], name):
            raise _differ(named[0], row, name)
    return getattr(named[0], name) if named else None


def _differ(first: Reading, second: Reading, what: str) -> InputError:
    return InputError(
        say(
            "{source}: found another {what} than in {first} for the same sample {sample}, stage and "
            "taken_at, expected repeats of one reading; give them different taken_at or stage",
            source=second.source,
            what=what,
            first=first.source,
            sample=shown(first.sample),
        )
    )


def _parser_of(text: str) -> Parser:
    """Pick the parser by what the file holds; a new format is one more line here."""
    if text.lstrip().startswith("<"):
        return parse_cxf
    return parse_cgats if is_cgats(text) else parse_readings_csv
