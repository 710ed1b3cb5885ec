"""Handing the book's content on, and taking another's in: preview, then per thing take, rename or skip."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from stainbook import private
from stainbook.book import Book, open_book
from stainbook.book.access import KINDS
from stainbook.book.history import Line
from stainbook.book.thing_words import thing_words
from stainbook.errors import BookError, FileError, InputError, UnknownNameError, in_one_line
from stainbook.files import read_case
from stainbook.inside import temporary, within
from stainbook.language import joined, say
from stainbook.match import UNWATCHED, Watch
from stainbook.private import part_of
from stainbook.records import Reading
from stainbook.work.case.current_case import known_case
from stainbook.work.case.keep import kept_case
from stainbook.work.case.library import Library
from stainbook.work.case.open_case import as_opened, steps_of
from stainbook.work.documents.book_schemas import ExportResult, ImportItem, ImportResult
from stainbook.work.lab.bundle import MANIFEST, files_in, manifest_of, unpacked, write_bundle
from stainbook.work.lab.erased_elsewhere import erased_here, erased_there
from stainbook.work.lab.folder import ExchangeContent, content_of, read_folder, write_folder
from stainbook.work.lab.history_files import read_history, write_history
from stainbook.work.lab.import_differences import arrived_as, with_differences
from stainbook.work.lab.packed_check import check_packed
from stainbook.work.lab.renaming import renamed_record
from stainbook.work.lab.taken_in import store_content
from stainbook.work.lab.verify_book import check_learning
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.outcome_learning import relearn
from stainbook.work.stains.stain_calibration import calibrate_again

_TAUGHT_BY = ("chip", "outcome", "decision")
RENAMED = ("stain", "recipe", "case")
_LISTS = {
    "stain": "stains",
    "body": "bodies",
    "chip": "chips",
    "tab": "guide",
    "operator": "operators",
    "programme": "programmes",
    "instrument": "instruments",
    "jar": "jars",
    "case": "cases",
    "step": "steps",
    "firing": "firings",
    "outcome": "outcomes",
    "decision": "decisions",
}
Key = tuple[str, str]


@dataclass(frozen=True, slots=True)
class ImportChoices:
    """What to do with single things, by kind and name; else what is new is taken and what differs is skipped."""

    take: frozenset[Key] = frozenset()
    skip: frozenset[Key] = frozenset()
    rename: Mapping[Key, str] = field(default_factory=dict)
    take_all: bool = False
    own: bool = False  # of this lab itself: what was approved there is approved here


# ---------------------------------------------------------------- out


def export(book: Book, path: Path, *, history: bool = True) -> ExportResult:
    """Write the book's content to a folder, a bundle (``.zip``) or a workbook (``.xlsx``).

    Files of an earlier export that hold nothing any more go from the folder, no other file does.

    history : with all that was ever stored, by whom and when; without, what holds now and the recipes' revisions

    Raises InputError where it cannot be written, and where files would lose something.
    """
    book = book.frozen()
    content = content_of(book)
    if path.suffix.lower() == ".xlsx":
        from stainbook.work.lab.workbook import write_workbook

        write_workbook(book, content, path)
        return ExportResult(path=str(path), counts=content.counts())
    with temporary() as place:
        write_folder(content, Path(place))
        lines = book.history() if history else ()
        if lines:
            write_history(lines, Path(place))
        if path.suffix.lower() == ".zip":
            write_bundle(Path(place), path)
        else:
            _replace(Path(place), path)
    return ExportResult(path=str(path), counts=content.counts(), history=len(lines))


def _replace(new: Path, folder: Path) -> None:
    """Bring the files of an export into a folder that may hold an earlier one."""
    files = files_in(new)
    try:
        private.make_folder(folder)
        private.narrow(folder)
        gone = files_in(folder).keys() - files.keys() if (folder / MANIFEST).is_file() else ()
        with contextlib.ExitStack() as all_or_nothing:  # each takes its place when all of them are written
            for name, data in {**files, MANIFEST: manifest_of(files)}.items():
                private.make_folder((folder / name).parent)
                all_or_nothing.enter_context(part_of(folder / name)).write_bytes(data)
        for name in gone:
            (folder / name).unlink()
    except OSError as error:
        raise InputError(
            say("{folder}: cannot be written ({reason}); choose another place", folder=folder, reason=error.strerror)
        ) from error


# ---------------------------------------------------------------- in


def import_(
    book: Book,
    path: Path,
    choices: ImportChoices | None = None,
    *,
    preview: bool = False,
    watch: Watch = UNWATCHED,
) -> ImportResult:
    """Take the content of a folder, a bundle or one case file into the book; the same twice changes nothing.

    A book that holds nothing yet takes the history too where there is one and nothing is left or renamed: then it
    is the book that was exported, with its authors, times, corrections and fits.

    preview : only say what there is, and what would be done

    Raises InputError for anything malformed, and for choices that name nothing, StoppedError when ``watch`` is to stop
    before it is stored; then nothing is stored.
    """
    choices = choices or ImportChoices()
    watch.step("bundle", 0, 3)
    content, lines = _read(book, path)
    statuses = erased_here(book, content, dict(_statuses(book, content)), choices.take)
    items = _with_their_outcomes([_item(key, status, choices) for key, status in statuses.items()])
    items = with_differences(book, content, items)
    items += [_gone(code, choices) for code in erased_there(book, content)]
    _check_choices(items, choices)
    if book.counts() or any(item.action != "take" for item in items):
        lines = ()
    watch.step("history", 1, 3)
    told = _tried(lines, content, path, watch) if lines else Told()
    if preview:
        return ImportResult(path=str(path), stored=False, items=items, history=len(lines), warnings=[*told.warnings])
    taken = {(item.kind, item.name): item.renamed or item.name for item in items if item.action in ("take", "rename")}
    if lines:
        taken = {key: name for key, name in taken.items() if key in told.otherwise}
    watch.step("store", 2, 3)
    with book.transaction() as step:
        if lines:
            step.restore(lines)
        store_content(step, _chosen(content, taken), f"taken in from {path.name}", own=choices.own)
        step.note_erased(mark for mark in content.erased if step.code_of(mark) is None)
        watch.go_on()  # the last moment at which it can be stopped
    for item in items:
        if item.action == "erase":
            book.erase_case(item.name, why=f"erased where {path.name} comes from")
    warnings = [
        say("{kind} {name!r} differs from the book's own and was skipped", kind=thing_words(item.kind), name=item.name)
        for item in _left(items)
    ]
    if any(kind == "chip" for kind, _ in taken) and calibrate_again(book):
        warnings.append(say("the stains were learnt anew from the stripes"))
    if any(kind in _TAUGHT_BY for kind, _ in taken):
        relearn(book)
    return ImportResult(
        path=str(path), stored=True, items=items, history=len(lines), warnings=[*told.warnings, *warnings]
    )


@dataclass(frozen=True, slots=True)
class Told:
    """What a history was found to be: things that the readable files tell otherwise, and what to say of it."""

    otherwise: frozenset[Key] = frozenset()
    warnings: tuple[str, ...] = ()


def _tried(lines: Sequence[Line], content: ExchangeContent, path: Path, watch: Watch) -> Told:
    """Put a history into a book of its own, to see that it holds and says what the readable files say.

    Raises FileError where it does not hold; in a bundle, which nobody edits, also where the two differ.
    """
    with temporary() as place, open_book(f"sqlite:///{Path(place) / 'tried.db'}", lab="") as tried:
        try:
            tried.restore(lines)
            watch.go_on()
            check_packed(tried, lines, Path(place))
            watch.go_on()
            wrong = [*tried.verify().faults]
            watch.go_on()
            wrong += check_learning(tried).faults
            watch.go_on()
        except (InputError, BookError, ValueError, LookupError, TypeError, AttributeError) as error:
            raise FileError(
                path,
                say("a history that does not hold: {reason}", reason=in_one_line(error, most=300)),
                _A_HISTORY,
                hint=_NOTHING,
            ) from error
        if wrong:
            raise FileError(
                path, say("a history that does not hold: {reason}", reason=wrong[0]), _A_HISTORY, hint=_NOTHING
            )
        otherwise = frozenset(key for key, status in _statuses(tried, content) if status != "same")
        only_there = sorted(_keys_of(content_of(tried)) - _keys_of(content))
    if path.is_dir():
        return Told(
            otherwise,
            tuple(
                say("{kind} {name!r} is in the history alone", kind=thing_words(kind), name=name)
                for kind, name in only_there
            ),
        )
    for kind, name in sorted([*otherwise, *only_there]):
        found = say("{kind} {name!r}, which its history tells otherwise", kind=thing_words(kind), name=name)
        raise FileError(path, found, say("readable files and a history that say the same"), hint=_NOTHING)
    return Told()


_A_HISTORY = say("one as `stainbook book export` writes it")
_NOTHING = say("nothing was taken from it")


def _keys_of(content: ExchangeContent) -> set[Key]:
    keys = {
        (kind, getattr(one, KINDS[type(one)].name)) for kind, name in _LISTS.items() for one in getattr(content, name)
    }
    keys |= {("recipe", revisions[-1].recipe) for revisions in content.recipes}
    return keys | {("reading", one.sample) for one in content.readings}


def _read(book: Book, path: Path) -> tuple[ExchangeContent, tuple[Line, ...]]:
    if path.is_dir():
        with within(path):
            return read_folder(path), read_history(path)
    if path.suffix.lower() in (".yaml", ".yml"):
        loaded = read_case(path, guide=book.guide())
        kept = kept_case(loaded.records[0], Library(book, Asked()))
        readings = tuple(replace(one, source="") for one in kept.readings)
        return ExchangeContent(cases=(replace(kept.case, source=""),), readings=readings), ()
    with temporary() as place:
        unpacked(path, Path(place))
        with within(Path(place)):
            return read_folder(Path(place)), read_history(Path(place))


def _statuses(book: Book, content: ExchangeContent) -> Iterator[tuple[Key, str]]:
    current = [known_case(book, code) for code in book.names("case")] if content.cases or content.steps else []
    of_cases: dict[str, dict[str, Any]] = {
        "case": {one.case.case: replace(as_opened(one), source="") for one in current},
        "step": {step.step: step for one in current for step in steps_of(one.events)},
    }
    for kind, name in _LISTS.items():
        own = of_cases.get(kind)
        if own is None:
            own = {one.name: _told(one.record) for one in book.newest_entered(kind) if one.lab == book.lab}
        newest = {one.name: _told(one.record) for one in book.newest_entered("case")} if kind == "case" else {}
        for record in getattr(content, name):
            key, told = (kind, getattr(record, KINDS[type(record)].name)), _told(record)
            as_left = newest.get(key[1]) == told  # as an exchange of before tells it
            yield (key, "same") if as_left else _status(key, own, told)
    recipes = {one.name: one.record for one in book.newest_entered("recipe") if one.lab == book.lab}
    for *_, last in content.recipes:
        own = recipes.get(last.recipe)
        yield _status(("recipe", last.recipe), recipes, own if own and arrived_as(own, last) else last)
    held: dict[str, set[Reading]] = {}
    for reading in book.readings():
        held.setdefault(reading.sample, set()).add(replace(reading, source=""))
    for sample, readings in _by_sample(content.readings).items():
        known = held.get(sample)
        status = "new" if known is None else "same" if known.issuperset(readings) else "differs"
        yield ("reading", sample), status


def _told(record: Any) -> Any:
    if hasattr(record, "told"):
        return record.told
    return replace(record, source="") if hasattr(record, "source") else record


def _status(key: Key, own: Mapping[str, Any], record: Any) -> tuple[Key, str]:
    return key, "new" if key[1] not in own else "same" if own[key[1]] == record else "differs"


def _by_sample(readings: Iterable[Reading]) -> dict[str, set[Reading]]:
    found: dict[str, set[Reading]] = {}
    for reading in readings:
        found.setdefault(reading.sample, set()).add(reading)
    return found


def _item(key: Key, status: str, choices: ImportChoices) -> ImportItem:
    renamed = choices.rename.get(key)
    if renamed is not None:
        action = "rename"
    elif key in choices.skip or status == "same":
        action = "skip"
    else:
        wanted = status == "new" or key in choices.take or (choices.take_all and status != "erased here")
        action = "take" if wanted else "skip"
    return ImportItem(kind=key[0], name=key[1], status=status, action=action, renamed=renamed)


def _gone(code: str, choices: ImportChoices) -> ImportItem:
    action = "skip" if ("case", code) in choices.skip else "erase"
    return ImportItem(kind="case", name=code, status="erased there", action=action)


def _with_their_outcomes(items: Sequence[ImportItem]) -> list[ImportItem]:
    """What was decided of an outcome says nothing of another one that the book has in its place."""
    other = {one.name for one in items if (one.kind, one.status, one.action) == ("outcome", "differs", "skip")}
    return [
        one.model_copy(update={"action": "skip"}) if one.kind == "decision" and one.name in other else one
        for one in items
    ]


def _check_choices(items: Sequence[ImportItem], choices: ImportChoices) -> None:
    known = {(item.kind, item.name) for item in items}
    for key in (*choices.take, *choices.skip, *choices.rename):
        if key not in known:
            raise UnknownNameError(say("thing to take in"), "/".join(key), ("/".join(one) for one in known))
    for kind, name in choices.rename:
        if kind not in RENAMED:
            raise InputError(
                say(
                    "{kind} {name!r} cannot be renamed; take it or skip it: {kinds} can",
                    kind=thing_words(kind),
                    name=name,
                    kinds=joined(map(thing_words, RENAMED)),
                )
            )


def _left(items: Sequence[ImportItem]) -> list[ImportItem]:
    return [item for item in items if item.status == "differs" and item.action == "skip"]


# ---------------------------------------------------------------- what was chosen, under the names that were chosen


def _chosen(content: ExchangeContent, taken: Mapping[Key, str]) -> ExchangeContent:
    stains = {name: new for (kind, name), new in taken.items() if kind == "stain" and new != name}
    cases = {name: new for (kind, name), new in taken.items() if kind == "case" and new != name}
    lists = {
        name: tuple(
            renamed_record(record, stains, cases)
            for record in getattr(content, name)
            if (kind, getattr(record, KINDS[type(record)].name)) in taken
        )
        for kind, name in _LISTS.items()
    }
    recipes = tuple(
        tuple(renamed_record(replace(one, recipe=taken["recipe", one.recipe]), stains, cases) for one in revisions)
        for revisions in content.recipes
        if ("recipe", revisions[-1].recipe) in taken
    )
    readings = tuple(one for one in content.readings if ("reading", one.sample) in taken)
    return ExchangeContent(**lists, recipes=recipes, readings=readings)
