"""What was painted in an outcome, kept as a recipe: its layers, what it held on, and what was drawn by eye upon it."""

from __future__ import annotations

from collections.abc import Iterator

from stainbook.book import Book
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import Conditions, DrawnEffect, LabRecipe, Outcome
from stainbook.language import joined, say
from stainbook.records import GUM_ZONES, TOOTH_ZONES, Case
from stainbook.words.places import place
from stainbook.work.documents.book_schemas import StateResult


def keep_outcome(book: Book, outcome: str, name: str) -> StateResult:
    """Keep what was painted in an outcome as a recipe, tried once.

    Raises InputError for a name that is empty or taken, UnknownNameError for an outcome that does not hold.
    """
    name = name.strip()
    if not name:
        raise InputError(say("found no name, expected one for the recipe, such as warm neck"))
    if name in book.recipes():
        raise InputError(say("{name!r} is a recipe already, expected a name of its own", name=name))
    holding = {one.outcome: one for one in book.outcomes()}
    if outcome not in holding:
        raise UnknownNameError(say("outcome"), outcome, holding)
    record = holding[outcome]
    revised = book.revise_recipe(recipe_of(record, name, book.cases().get(record.case)))
    return StateResult(recipe=name, state="tried", revision=revised.revision)


def recipe_of(record: Outcome, name: str, case: Case | None) -> LabRecipe:
    """The recipe of an outcome; it holds for all that is known of where it was painted."""
    wet = {layer.consistency for layer in record.layers}
    holds = Conditions(
        material=record.material,
        stage=record.stage,
        surface=record.before.surface if record.before else None,
        programme=record.programme,
        consistency=wet.pop() if len(wet) == 1 else None,
        tissue=record.tissue,
        zone=record.zone,
    )
    drawn = tuple(_drawn(record, case)) if case else ()
    where = joined([record.case, place(record.tooth, record.zone), record.fired_at[:10]], " ")
    why = f"kept from {where}"
    return LabRecipe(name, record.layers, "tried", holds, record.got, why=why, effects=drawn or None)


def _drawn(record: Outcome, case: Case) -> Iterator[DrawnEffect]:
    """What was drawn on the outcome's tooth, but for what is said to be drawn in another of its zones."""
    others = {*TOOTH_ZONES, *GUM_ZONES} - {record.zone}
    for one in case.effects:
        if one.tooth == record.tooth and not others & set((one.place or "").split()):
            yield DrawnEffect(one.effect, one.place, one.pot, one.note)
