"""Handing the book's content on, and taking another's in: preview, then per thing take, rename or skip."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from stainbook.book import Book, Transaction
from stainbook.book.access import KINDS
from stainbook.errors import InputError, UnknownNameError
from stainbook.files import read_case
from stainbook.kept import LabRecipe, Outcome
from stainbook.records import Chip, Layers, Pot, Reading, Stain
from stainbook.work.book_schemas import ExportResult, ImportItem, ImportResult
from stainbook.work.bundle import MANIFEST, files_in, manifest_of, temporary, unpacked, write_bundle
from stainbook.work.calibrate import calibrate_again
from stainbook.work.conditions import Asked
from stainbook.work.folder import Content, content_of, read_folder, write_folder
from stainbook.work.keep import kept_case
from stainbook.work.zones import Library

RENAMED = ("stain", "recipe", "case")
_LISTS = {
    "stain": "stains",
    "body": "bodies",
    "chip": "chips",
    "tab": "guide",
    "operator": "operators",
    "programme": "programmes",
    "instrument": "instruments",
    "case": "cases",
    "firing": "firings",
    "outcome": "outcomes",
}
Key = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Choices:
    """What to do with single things, by kind and name; else what is new is taken and what differs is skipped."""

    take: frozenset[Key] = frozenset()
    skip: frozenset[Key] = frozenset()
    rename: Mapping[Key, str] = field(default_factory=dict)
    take_all: bool = False


# ---------------------------------------------------------------- out


def export(book: Book, path: Path) -> ExportResult:
    """Write the book's content to a folder, a bundle (``.zip``) or a workbook (``.xlsx``).

    Files of an earlier export that hold nothing any more go from the folder, no other file does.

    Raises InputError where it cannot be written, and where files would lose something.
    """
    content = content_of(book)
    if path.suffix.lower() == ".xlsx":
        from stainbook.work.workbook import write_workbook

        write_workbook(book, content, path)
        return ExportResult(path=str(path), counts=content.counts())
    with temporary() as place:
        write_folder(content, Path(place))
        if path.suffix.lower() == ".zip":
            write_bundle(Path(place), path)
        else:
            _replace(Path(place), path)
    return ExportResult(path=str(path), counts=content.counts())


def _replace(new: Path, folder: Path) -> None:
    """Bring the files of an export into a folder that may hold an earlier one."""
    files = files_in(new)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if (folder / MANIFEST).is_file():
            for name in files_in(folder).keys() - files.keys():
                (folder / name).unlink()
        for name, data in {**files, MANIFEST: manifest_of(files)}.items():
            place = folder / name
            place.parent.mkdir(exist_ok=True)
            part = place.with_name(f"{place.name}.part")
            part.write_bytes(data)
            shutil.move(part, place)
    except OSError as error:
        raise InputError(f"{folder}: cannot be written ({error.strerror}); choose another place") from error


# ---------------------------------------------------------------- in


def import_(book: Book, path: Path, choices: Choices | None = None, *, preview: bool = False) -> ImportResult:
    """Take the content of a folder, a bundle or one case file into the book; the same twice changes nothing.

    preview : only say what there is, and what would be done

    Raises InputError for anything malformed, and for choices that name nothing; then nothing is stored.
    """
    choices = choices or Choices()
    content = _read(book, path)
    items = [_item(key, status, choices) for key, status in _statuses(book, content)]
    _check_choices(items, choices)
    if preview:
        return ImportResult(path=str(path), stored=False, items=items)
    taken = {(item.kind, item.name): item.renamed or item.name for item in items if item.action != "skip"}
    with book.transaction() as step:
        _store(step, _chosen(content, taken), f"taken in from {path.name}")
    warnings = [f"{item.kind} {item.name!r} differs from the book's own and was skipped" for item in _left(items)]
    if any(kind == "chip" for kind, _ in taken) and calibrate_again(book):
        warnings.append("the stains were learnt anew from the chips")
    return ImportResult(path=str(path), stored=True, items=items, warnings=warnings)


def _read(book: Book, path: Path) -> Content:
    if path.is_dir():
        return read_folder(path)
    if path.suffix.lower() in (".yaml", ".yml"):
        loaded = read_case(path, guide=book.guide())
        kept = kept_case(loaded.records[0], Library(book, Asked()))
        return Content(
            cases=(replace(kept.case, source=""),), readings=tuple(replace(r, source="") for r in kept.readings)
        )
    with temporary() as place:
        unpacked(path, Path(place))
        return read_folder(Path(place))


def _statuses(book: Book, content: Content) -> Iterator[tuple[Key, str]]:
    for kind, name in _LISTS.items():
        own = {one.name: _told(one.record) for one in book.newest_entered(kind) if one.lab == book.lab}
        for record in getattr(content, name):
            yield _status((kind, getattr(record, KINDS[type(record)].name)), own, _told(record))
    recipes = {one.name: one.record for one in book.newest_entered("recipe") if one.lab == book.lab}
    for revisions in content.recipes:
        yield _status(("recipe", revisions[-1].recipe), recipes, revisions[-1])
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


def _item(key: Key, status: str, choices: Choices) -> ImportItem:
    renamed = choices.rename.get(key)
    if renamed is not None:
        action = "rename"
    elif key in choices.skip or status == "same":
        action = "skip"
    else:
        action = "take" if status == "new" or choices.take_all or key in choices.take else "skip"
    return ImportItem(kind=key[0], name=key[1], status=status, action=action, renamed=renamed)


def _check_choices(items: Sequence[ImportItem], choices: Choices) -> None:
    known = {(item.kind, item.name) for item in items}
    for key in (*choices.take, *choices.skip, *choices.rename):
        if key not in known:
            raise UnknownNameError("thing to take in", "/".join(key), ("/".join(one) for one in known))
    for kind, name in choices.rename:
        if kind not in RENAMED:
            raise InputError(f"{kind} {name!r} cannot be renamed; take it or skip it: {', '.join(RENAMED)} can")


def _left(items: Sequence[ImportItem]) -> list[ImportItem]:
    return [item for item in items if item.status == "differs" and item.action == "skip"]


# ---------------------------------------------------------------- what was chosen, under the names that were chosen


def _chosen(content: Content, taken: Mapping[Key, str]) -> Content:
    stains = {name: new for (kind, name), new in taken.items() if kind == "stain" and new != name}
    cases = {name: new for (kind, name), new in taken.items() if kind == "case" and new != name}
    lists = {
        name: tuple(
            _renamed(record, stains, cases)
            for record in getattr(content, name)
            if (kind, getattr(record, KINDS[type(record)].name)) in taken
        )
        for kind, name in _LISTS.items()
    }
    recipes = tuple(
        tuple(_renamed(replace(one, recipe=taken["recipe", one.recipe]), stains, cases) for one in revisions)
        for revisions in content.recipes
        if ("recipe", revisions[-1].recipe) in taken
    )
    readings = tuple(one for one in content.readings if ("reading", one.sample) in taken)
    return Content(**lists, recipes=recipes, readings=readings)


def _renamed(record: Any, stains: Mapping[str, str], cases: Mapping[str, str]) -> Any:
    if isinstance(record, Stain):
        return replace(record, name=stains.get(record.name, record.name))
    if isinstance(record, Chip | LabRecipe | Outcome) and stains:
        record = replace(record, layers=_layers(record.layers, stains))
    if isinstance(record, LabRecipe) and record.effects and stains:
        drawn = (replace(one, pot=_pot(one.pot, stains) if one.pot else None) for one in record.effects)
        record = replace(record, effects=tuple(drawn))
    new = cases.get(getattr(record, "case", ""))
    return record if new is None else replace(record, case=new)


def _layers(layers: Layers, stains: Mapping[str, str]) -> Layers:
    return tuple(
        replace(
            layer,
            pot=_pot(layer.pot, stains),
            lots=tuple((stains.get(name, name), lot) for name, lot in layer.lots),
        )
        for layer in layers
    )


def _pot(pot: Pot, stains: Mapping[str, str]) -> Pot:
    return Pot.of({stains.get(name, name): share for name, share in pot.shares})


def _store(step: Transaction, content: Content, why: str) -> None:
    adders: dict[str, Callable[[Iterable[Any]], int]] = {
        "stains": step.add_stains,
        "bodies": step.add_bodies,
        "chips": step.add_chips,
        "guide": step.add_guide,
        "operators": step.add_operators,
        "programmes": step.add_programmes,
        "instruments": step.add_instruments,
        "readings": step.add_readings,
        "cases": step.add_cases,
    }
    for name, add in adders.items():
        add(getattr(content, name))
    step.add_firings(content.firings, why=why)
    step.add_outcomes(content.outcomes, why=why)
    for revisions in content.recipes:
        for recipe in revisions:
            step.revise_recipe(recipe)
