"""What is no fact of a piece is undone: the change is named, and taken back as a revision of its own.

The history stays whole. An undo takes one change off those that hold, so that the next one undoes the change before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any, TypeVar

from stainbook.book import Book
from stainbook.book.case_state import CaseState, Chosen
from stainbook.book.marks import choice_holds, zone_mark
from stainbook.errors import some_of
from stainbook.kept import Choice, LabRecipe, Settings
from stainbook.language import joined, say
from stainbook.stage_words import recipe_state
from stainbook.words.places import place
from stainbook.work.case.current_case import known_case

S = TypeVar("S")
Key = tuple[int, str]
_NAMED = 3  # zones that a button names


@dataclass(frozen=True, slots=True)
class Undo:
    """The newest change that can be undone: what it changed, in words, who made it and when."""

    what: str
    author: str
    at: str


def last_step(
    states: Iterable[tuple[S, str, str]], said: Callable[[S, S], str], facts: Callable[[S], Any] = lambda state: None
) -> tuple[Undo, S] | None:
    """The newest change among states with who made them and when, and the state before it; None where there is none.

    said : what differs between two states. facts : what happened; where it changes, nothing before it is undone.
    """
    steps: list[tuple[S, Undo | None]] = []
    for state, author, at in states:
        if steps and facts(steps[-1][0]) != facts(state):
            steps = []
        if len(steps) > 1 and steps[-2][0] == state:
            steps.pop()
        elif not steps or steps[-1][0] != state:
            steps.append((state, Undo(said(steps[-1][0], state), author, at) if steps else None))
    if len(steps) < 2 or steps[-1][1] is None:
        return None
    return steps[-1][1], steps[-2][0]


def listed_zones(keys: Iterable[Key]) -> str:
    """``11 cervical, 11 middle and 4 more``."""
    return some_of((place(*key) for key in keys), most=_NAMED)


# ---------------------------------------------------------------- chosen next steps


def undoable_choices(book: Book, code: str) -> Undo | None:
    """The newest choice of next steps that holds of a case; several that were made at once are one."""
    found = _choices(book, known_case(book, code).state)
    return found[0] if found else None


def undo_choices(book: Book, code: str) -> Undo | None:
    """Take the newest choice of next steps of a case back; gives what it was, None where there is none."""
    state = known_case(book, code).state
    found = _choices(book, state)
    if found is None:
        return None
    undone, before = found
    bare = {
        key: Choice(code, *key, kind="", made_for=zone_mark(state, key))
        for key, one in state.chosen.items()
        if one.choice.kind
    }
    book.add_choices((bare | before).values())
    return undone


def _choices(book: Book, state: CaseState) -> tuple[Undo, dict[Key, Choice]] | None:
    states: list[tuple[dict[Key, Choice], str, str]] = [({}, "", "")]
    for at, made in groupby(book.choices_made(state.case), key=lambda one: one.created_at):
        entered = list(made)
        now = dict(states[-1][0])
        for one in entered:
            choice: Choice = one.record
            now.pop(choice.key, None)
            if choice.kind and choice_holds(state, Chosen(choice, one.number, one.created_at)):
                now[choice.key] = choice
        states.append((now, entered[-1].author, at))
    return last_step(states, _chosen)


def _chosen(before: dict[Key, Choice], after: dict[Key, Choice]) -> str:
    keys = [key for key in before | after if before.get(key) != after.get(key)]
    return say("next step of {zones}", zones=listed_zones(keys))


# ---------------------------------------------------------------- settings of the lab


def undoable_settings(book: Book) -> Undo | None:
    """The newest change of the lab's settings."""
    found = _settings(book)
    return found[0] if found else None


def undo_settings(book: Book) -> Undo | None:
    """Take the newest change of the lab's settings back; gives what it was, None where there is none."""
    found = _settings(book)
    if found is None:
        return None
    book.add_settings(found[1])
    return found[0]


_SETTINGS = {
    "lab": say("the lab's name"),
    "thresholds": say("thresholds"),
    "viewing": say("light of spectra"),
    "strengths": say("shares that are mixed"),
    "scale_step": say("step of the scale"),
    "together": say("jars that are mixed"),
    "mixes": say("standing mixes"),
    "shadow": say("whether the program looks on"),
    "annex": say("zone numbers for the clinic"),
    "leads": say("who leads"),
    "lead_sees_all": say("whether a lead sees all numbers"),
    "apprentices": say("who paints as an apprentice"),
    "prices": say("prices"),
    "host": say("the address on labels"),
}


def _settings(book: Book) -> tuple[Undo, Settings] | None:
    entered = book.entered("settings", Settings().settings)
    return last_step([(Settings(), "", ""), *((one.record, one.author, one.created_at) for one in entered)], _set)


def _set(before: Settings, after: Settings) -> str:
    return joined(name for key, name in _SETTINGS.items() if getattr(before, key) != getattr(after, key))


# ---------------------------------------------------------------- recipes


def undoable_recipe(book: Book, name: str) -> Undo | None:
    """The newest change of a recipe: its state, its layers or what is said of it."""
    found = _recipe(book, name)
    return found[0] if found else None


def undo_recipe(book: Book, name: str) -> Undo | None:
    """Take the newest change of a recipe back; gives what it was, None where there is none."""
    found = _recipe(book, name)
    if found is None:
        return None
    undone, before = found
    last = book.entered("recipe", name)[-1].revision
    book.revise_recipe(replace(before, why=f"undone: {undone.what}", based_on=last))
    return undone


def _recipe(book: Book, name: str) -> tuple[Undo, LabRecipe] | None:
    entered = book.entered("recipe", name)
    return last_step(
        [(replace(one.record, why=None, based_on=None), one.author, one.created_at) for one in entered],
        _revised,
        facts=lambda one: one.state == "tried",  # that it was fired is a fact
    )


def _revised(before: LabRecipe, after: LabRecipe) -> str:
    if before.state != after.state:
        return joined([recipe_state(before.state), recipe_state(after.state)], " → ")
    return say("its layers") if before.layers != after.layers else say("what is said of it")
