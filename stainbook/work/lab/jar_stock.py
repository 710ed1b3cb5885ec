"""Jars and bottles: those that the book knows, opened and run out, and which open cases each concerns."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from stainbook.apparatus import Jar
from stainbook.book import Book
from stainbook.book.marks import choice_holds
from stainbook.clock import check_time
from stainbook.errors import InputError, UnknownNameError
from stainbook.files import read_jars
from stainbook.language import say
from stainbook.records import CLEAR, Layers
from stainbook.work.case.current_case import CurrentCase
from stainbook.work.case.folded_cases import in_the_lab
from stainbook.work.documents.jar_schemas import JarShown, JarsResult
from stainbook.work.stains.jars_in_work import Pair, jars_in_work, seen_lots
from stainbook.work.stains.known_stains import known_stains


def shown(book: Book, warnings: Sequence[str] = (), *, known: Mapping[str, CurrentCase] | None = None) -> JarsResult:
    """All jars that the book knows: those that were entered, then lots that only work names.

    known : the cases in the lab, where somebody has them already
    """
    entered = {(one.stain, one.lot): one for one in book.jars()}
    meant, stains = jars_in_work(book).meant, known_stains(book)
    soaks = {name for name, one in book.stains().items() if one.kind == "infiltrating"}
    stripes = [name for chip in book.chips() for name in {n for layer in chip.layers for n in layer.pot.stains}]
    concerned = _concerned(in_the_lab(book) if known is None else known, meant)
    pairs = dict.fromkeys([*entered, *seen_lots(book), *concerned])
    rows = [
        _row(entered.get(pair) or Jar(*pair), concerned.get(pair, ())).model_copy(
            update={
                "entered": pair in entered,
                "liquid": pair[0] in soaks,
                "in_use": meant.get(pair[0]) == pair[1],
                "stripes": stripes.count(pair[0]),
            }
        )
        for pair in pairs
        if pair[0] in stains or pair in entered
    ]
    return JarsResult(jars=rows, warnings=list(warnings))


def _row(jar: Jar, cases: Iterable[str]) -> JarShown:
    return JarShown(
        stain=jar.stain, lot=jar.lot, makers_lot=jar.makers_lot, opened_on=jar.opened_on, run_out_on=jar.run_out_on,
        note=jar.note, cases=list(cases),
    )  # fmt: skip


def _concerned(known: Mapping[str, CurrentCase], meant: Mapping[str, str]) -> dict[Pair, list[str]]:
    """By jar the open cases that name it, that it lies on, or whose chosen steps take it."""
    found: dict[Pair, list[str]] = {}
    for code, current in sorted(known.items()):
        for pair in _jars_of(current, meant):
            found.setdefault(pair, []).append(code)
    return found


def _jars_of(current: CurrentCase, meant: Mapping[str, str]) -> dict[Pair, None]:
    case, state = current.case, current.state
    named = dict(case.lots)
    lying = [layers for zone in state.zones.values() for layers in (zone.unfired, zone.soaked)]
    chosen = [one.choice.layers for one in state.chosen.values() if choice_holds(state, one)]
    used = [pair for layers in (*lying, *chosen) for pair in _lots_of(layers, {**meant, **named})]
    return dict.fromkeys([*case.lots, *used])


def _lots_of(layers: Layers, meant: Mapping[str, str]) -> list[Pair]:
    own = [(name, {**meant, **dict(layer.lots)}.get(name)) for layer in layers for name in layer.pot.stains]
    return [(name, lot) for name, lot in own if lot is not None and name != CLEAR]


def known_lots(book: Book) -> dict[str, list[str]]:
    """The lots of each stain that may be chosen: those entered that did not run out, and those that work names."""
    entered = {(one.stain, one.lot): one for one in book.jars()}
    found: dict[str, list[str]] = {}
    for pair in dict.fromkeys([*entered, *seen_lots(book)]):
        if pair not in entered or entered[pair].run_out_on is None:
            found.setdefault(pair[0], []).append(pair[1])
    return found


def unknown_jars(book: Book, pairs: Iterable[Pair]) -> list[str]:
    """The jars that the book does not know, as they are typed: each is asked about before it is stored."""
    known = {(one.stain, one.lot) for one in book.jars()} | {*seen_lots(book)}
    return [f"{stain}: {lot}" for stain, lot in pairs if (stain, lot) not in known]


# ---------------------------------------------------------------- entered, opened, run out


def load_jars(book: Book, path: Path) -> JarsResult:
    """Store the jars of a file; raises FileError for one that cannot be used, UnknownNameError for an unknown stain."""
    loaded = read_jars(path)
    for jar in loaded.records:
        _check_stain(book, jar.stain)
    book.add_jars(loaded.records)
    return shown(book, loaded.warnings)


def keep_jar(book: Book, jar: Jar) -> JarsResult:
    """Enter a jar, or say more of it; what is not said again of a known one stays.

    Raises InputError for one without a name, days that are none, and one that ran out before it was opened.
    """
    stain, lot = jar.stain.strip(), jar.lot.strip()
    if not stain or not lot:
        raise InputError(say("found no stain and lot, expected both, such as husk and 24-117"))
    _check_stain(book, stain)
    before = _entered(book, stain, lot) or Jar(stain, lot)
    new = {name: found for name in _SAID if (found := getattr(jar, name)) is not None}
    found = replace(before, **new)
    opened, run_out = (_day(day) for day in (found.opened_on, found.run_out_on))
    if opened and run_out and run_out < opened:
        raise InputError(
            say("{jar}: found run out on {day}, expected {opened} or later", jar=found.jar, day=run_out, opened=opened)
        )
    book.add_jars([replace(found, opened_on=opened, run_out_on=run_out)])
    return shown(book)


_SAID = ("makers_lot", "opened_on", "run_out_on", "note")


def run_out(book: Book, stain: str, lot: str, *, on: str | None = None) -> JarsResult:
    """Note that a jar is empty, by default today; raises as `keep_jar` does."""
    return keep_jar(book, Jar(stain, lot, run_out_on=on or today()))


def not_run_out(book: Book, stain: str, lot: str) -> JarsResult:
    """Undo that a jar ran out; raises InputError for one that did not."""
    jar = _entered(book, stain.strip(), lot.strip())
    if jar is None or jar.run_out_on is None:
        raise InputError(say("{stain}: {lot} did not run out, expected a jar that did", stain=stain, lot=lot))
    book.add_jars([replace(jar, run_out_on=None)])
    return shown(book)


def _entered(book: Book, stain: str, lot: str) -> Jar | None:
    return next((one for one in book.jars() if (one.stain, one.lot) == (stain, lot)), None)


def _check_stain(book: Book, stain: str) -> None:
    known = known_stains(book)
    if stain not in known:
        raise UnknownNameError(say("stain"), stain, known)


def today() -> str:
    """The day by the clock on the wall."""
    return date.today().isoformat()


def _day(text: str | None) -> str | None:
    if text is None or not text.strip():
        return None
    try:
        found = date.fromisoformat(text.strip()).isoformat()
    except ValueError as error:
        raise InputError(say("found the day {text!r}, expected one such as 2026-03-02", text=text)) from error
    check_time(found, say("the day"))
    return found
