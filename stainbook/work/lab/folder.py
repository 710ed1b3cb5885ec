"""What the book holds as one folder of readable files, and back: made for people, for git, and for other labs."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

from stainbook.apparatus import Instrument, Jar, Programme
from stainbook.book import Book
from stainbook.errors import FileError, InputError
from stainbook.files import (
    read_bodies,
    read_case,
    read_chips,
    read_guide,
    read_jars,
    read_readings,
    read_stains,
    write_bodies,
    write_chips,
    write_guide,
    write_jars,
    write_readings,
    write_stains,
)
from stainbook.files.case import MARK
from stainbook.files.case_writer import write_case
from stainbook.files.plain_yaml import format_plain, from_plain, to_plain
from stainbook.files.text import write_text
from stainbook.files.values import instant
from stainbook.files.yaml_nodes import read_yaml
from stainbook.kept import Decision, Firing, LabRecipe, Operator, Outcome, StepDone
from stainbook.language import say
from stainbook.private import make_folder
from stainbook.records import Body, Case, Chip, GuideTab, Reading, SampleRef, Stain
from stainbook.work.case.current_case import known_case
from stainbook.work.case.open_case import as_opened, steps_of

_ODD = re.compile(r"[^A-Za-z0-9_-]+")
_RESERVED = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)")  # names that one system keeps for itself
_LONGEST_NAME = 60
_MOST_READINGS = 20_000  # a file: below the size that is read


@dataclass(frozen=True, slots=True)
class ExchangeContent:
    """The records that an exchange is about; of recipes all revisions, of all else what holds now."""

    stains: tuple[Stain, ...] = ()
    bodies: tuple[Body, ...] = ()
    chips: tuple[Chip, ...] = ()
    guide: tuple[GuideTab, ...] = ()
    operators: tuple[Operator, ...] = ()
    programmes: tuple[Programme, ...] = ()
    instruments: tuple[Instrument, ...] = ()
    jars: tuple[Jar, ...] = ()
    readings: tuple[Reading, ...] = ()
    cases: tuple[Case, ...] = ()  # as they were opened, with what is prescribed now
    steps: tuple[StepDone, ...] = ()
    firings: tuple[Firing, ...] = ()
    outcomes: tuple[Outcome, ...] = ()
    decisions: tuple[Decision, ...] = ()
    recipes: tuple[tuple[LabRecipe, ...], ...] = ()
    erased: tuple[str, ...] = ()  # marks of cases that were erased

    def counts(self) -> dict[str, int]:
        """How many of each."""
        return {one.name: len(found) for one in fields(self) if (found := getattr(self, one.name))}


def content_of(book: Book) -> ExchangeContent:
    """What the book holds now, without where it came from."""
    recipes = [one.name for one in book.newest_entered("recipe") if one.lab == book.lab]
    known = [known_case(book, code) for code in book.names("case")]
    return ExchangeContent(
        stains=tuple(_own(book, "stain")),
        bodies=tuple(_own(book, "body")),
        chips=tuple(_own(book, "chip")),
        guide=tuple(_own(book, "tab")),
        operators=tuple(_own(book, "operator")),
        programmes=tuple(_own(book, "programme")),
        instruments=tuple(_own(book, "instrument")),
        jars=tuple(_own(book, "jar")),
        readings=tuple(map(bare, book.readings())),
        cases=tuple(bare(as_opened(one)) for one in known),
        steps=tuple(step for one in known for step in steps_of(one.events)),
        firings=tuple(map(bare, book.firings())),
        outcomes=tuple(map(bare, book.outcomes())),
        decisions=tuple(_own(book, "decision")),
        recipes=tuple(tuple(one.record for one in book.entered("recipe", name)) for name in recipes),
        erased=book.erased_marks(),
    )


def _own(book: Book, kind: str) -> Iterator[Any]:
    return (bare(one.record) for one in book.newest_entered(kind) if one.lab == book.lab)


def bare(record: Any) -> Any:
    """A record without the place that it came from."""
    return replace(record, source="") if getattr(record, "source", "") else record


# ---------------------------------------------------------------- out


def write_folder(content: ExchangeContent, folder: Path) -> None:
    """Write the files of an exchange into an empty folder, and read them back to be sure that nothing is lost.

    Raises InputError where they cannot be written, or would not give back the same.
    """
    try:
        for name, filled in (
            ("cases", content.cases),
            ("outcomes", content.outcomes or content.firings or content.steps),
            ("recipes", content.recipes),
        ):
            if filled:
                make_folder(folder / name)
        make_folder(folder)
    except OSError as error:
        raise InputError(
            say("{folder}: cannot be made ({reason}); choose another place", folder=folder, reason=error.strerror)
        ) from error
    lists: Sequence[tuple[str, tuple[Any, ...], Callable[[Path, Iterable[Any]], None]]] = (
        ("stains.yaml", content.stains, write_stains),
        ("bodies.csv", content.bodies, write_bodies),
        ("chips.csv", content.chips, write_chips),
        ("guide.csv", content.guide, write_guide),
        ("jars.csv", content.jars, write_jars),
    )
    for name, records, write in lists:
        if records:
            write(folder / name, records)
    places = _write_readings(content.readings, folder)
    _write_plain(folder / "bench.yaml", {name: getattr(content, name) for name in _BENCH})
    for name, case in _file_names((one.case, one) for one in content.cases):
        write_case(folder / "cases" / name, case, readings={s: f"../{file}" for s, file in places.items()})
    for name, told in _file_names(_by_case(content)):
        _write_plain(folder / "outcomes" / name, told)
    for name, revisions in _file_names((one[-1].recipe, one) for one in content.recipes):
        _write_plain(folder / "recipes" / name, {"revisions": revisions})
    if content.erased:
        write_text(folder / ERASED, format_plain([{"mark": mark} for mark in content.erased]))
    _check(content, read_folder(folder), folder)


ERASED = "erased.yaml"
_BENCH = ("operators", "programmes", "instruments")


def _write_plain(path: Path, lists: dict[str, Sequence[Any]]) -> None:
    filled = {name: [to_plain(one) for one in records] for name, records in lists.items() if records}
    if filled:
        write_text(path, format_plain(filled))


def _write_readings(readings: Sequence[Reading], folder: Path) -> dict[str, str]:
    """Write readings to as few files as hold them apart; gives the file of the newest of each sample."""
    files: list[dict[object, Reading]] = []
    places: dict[str, int] = {}
    for reading in readings:
        key = reading.sample, reading.stage, instant(reading.taken_at or "")
        grid = reading.wavelengths
        fitting = (n for n, held in enumerate(files) if key not in held and _fits(grid, held))
        number = next(fitting, len(files))
        if number == len(files):
            files.append({})
        files[number][key] = reading
        places[reading.sample] = number
    for number, held in enumerate(files):
        write_readings(folder / _readings_name(number), held.values())
    return {sample: _readings_name(number) for sample, number in places.items()}


def _fits(grid: tuple[float, ...], held: dict[object, Reading]) -> bool:
    """True where a file has room, and its spectra have the same wavelengths."""
    return len(held) < _MOST_READINGS and next(iter(held.values())).wavelengths == grid


def _readings_name(number: int) -> str:
    return f"readings-{number + 1}.csv" if number else "readings.csv"


def _by_case(content: ExchangeContent) -> Iterator[tuple[str, dict[str, list[Any]]]]:
    lists = {name: getattr(content, name) for name in _OF_FIRINGS}
    for code in dict.fromkeys(one.case for records in lists.values() for one in records):
        yield code, {name: [one for one in records if one.case == code] for name, records in lists.items()}


def _file_names(named: Iterable[tuple[str, Any]]) -> Iterator[tuple[str, Any]]:
    """A file name for each thing's name: readable, safe on every system, no two alike in any case."""
    used: set[str] = set()
    for name, thing in named:
        letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
        plain = _ODD.sub("_", letters).strip("_")[:_LONGEST_NAME] or "unnamed"
        plain = f"{plain}_" if _RESERVED.fullmatch(plain) else plain
        number, found = 1, plain
        while found.casefold() in used:
            number += 1
            found = f"{plain}-{number}"
        used.add(found.casefold())
        yield f"{found}.yaml", thing


def _check(content: ExchangeContent, again: ExchangeContent, folder: Path) -> None:
    for one in fields(ExchangeContent):
        before, after = getattr(content, one.name), getattr(again, one.name)
        if sorted(map(repr, before)) != sorted(map(repr, after)):
            lost = next((x for x in before if x not in after), None)
            raise InputError(
                say(
                    "{folder}: {things} cannot be written as files without loss: {lost!r:.200}",
                    folder=folder,
                    things=one.name,
                    lost=lost,
                )
            )


# ---------------------------------------------------------------- in


def read_folder(folder: Path) -> ExchangeContent:
    """Read the files of an exchange.

    Raises InputError for a folder without any of them, and for anything malformed in one.
    """
    if not folder.is_dir():
        raise FileError(folder, say("no such folder"), say("a folder as `stainbook book export` writes it"))
    readings = [one for path in _readings_files(folder) for one in read_readings(path).all]
    outcomes = [_lists(path, _OF_FIRINGS) for path in _yaml_files(folder / "outcomes")]
    bench = folder / "bench.yaml"
    found = _lists(bench, _BENCH_CLASSES) if bench.is_file() else dict.fromkeys(_BENCH, ())
    content = ExchangeContent(
        stains=_list(folder / "stains.yaml", read_stains),
        bodies=_list(folder / "bodies.csv", read_bodies),
        chips=tuple(map(bare, _list(folder / "chips.csv", read_chips))),
        guide=_list(folder / "guide.csv", read_guide),
        jars=_list(folder / "jars.csv", read_jars),
        readings=tuple(map(bare, readings)),
        cases=tuple(_case(path) for path in _yaml_files(folder / "cases")),
        firings=tuple(one for lists in outcomes for one in lists["firings"]),
        outcomes=tuple(one for lists in outcomes for one in lists["outcomes"]),
        decisions=tuple(one for lists in outcomes for one in lists["decisions"]),
        steps=tuple(one for lists in outcomes for one in lists["steps"]),
        recipes=tuple(_lists(path, {"revisions": LabRecipe})["revisions"] for path in _yaml_files(folder / "recipes")),
        erased=_marks(folder / ERASED),
        **{name: found[name] for name in _BENCH},
    )
    if not content.counts():
        raise FileError(
            folder, say("none of the files of an exchange"), "stains.yaml, readings.csv, recipes/, cases/, ..."
        )
    return content


_OF_FIRINGS: dict[str, type[Any]] = {
    "steps": StepDone,
    "firings": Firing,
    "outcomes": Outcome,
    "decisions": Decision,
}
_BENCH_CLASSES: dict[str, type[Any]] = {
    "operators": Operator,
    "programmes": Programme,
    "instruments": Instrument,
}


def _marks(path: Path) -> tuple[str, ...]:
    """The marks of the cases that were erased where an exchange comes from."""
    if not path.is_file():
        return ()
    nodes = [
        item.mapping(("mark",), required=("mark",))["mark"] for item in read_yaml(path, say("erased cases")).items()
    ]
    for node in nodes:
        if not MARK.fullmatch(node.text()):
            raise node.fail(node.kind, say("a mark: 16 of 0-9 and a-f"))
    return tuple(node.text() for node in nodes)


def _readings_files(folder: Path) -> list[Path]:
    numbered = {int(path.stem.partition("-")[2] or 1): path for path in folder.glob("readings*.csv") if _ours(path)}
    return [numbered[number] for number in sorted(numbered)]


def _ours(path: Path) -> bool:
    return re.fullmatch(r"readings(-\d{1,6})?", path.stem) is not None


def _yaml_files(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.yaml"))


def _list(path: Path, read: Callable[[Path], Any]) -> tuple[Any, ...]:
    return tuple(read(path).records) if path.is_file() else ()


def _lists(path: Path, classes: dict[str, type[Any]]) -> dict[str, tuple[Any, ...]]:
    keys = read_yaml(path, "records").mapping(tuple(classes))
    return {
        name: tuple(from_plain(cls, node) for node in keys[name].items()) if name in keys else ()
        for name, cls in classes.items()
    }


def _case(path: Path) -> Case:
    """A case whose samples are looked for in the book that it comes into."""
    (case,) = read_case(path, exchanged=True).records
    zones = []
    for zone in case.zones:
        now, target = zone.now, zone.target
        if isinstance(now, SampleRef):
            now = replace(now, file=None)
        if target is not None and isinstance(target.colour, SampleRef):
            target = replace(target, colour=replace(target.colour, file=None))
        zones.append(replace(zone, now=now, target=target))
    return replace(case, zones=tuple(zones), folder=None, source="")
