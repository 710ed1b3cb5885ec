"""Firings that were gathered and are not stored yet: stored as one step, where the book is still as it was read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from stainbook.apparatus import Programme
from stainbook.book import Book, Transaction
from stainbook.book.events import Event
from stainbook.kept import Firing, LabRecipe, Operator, Outcome
from stainbook.records import Case, Reading
from stainbook.work.case.open_case import open_as
from stainbook.work.documents.book_schemas import RecordedOutcome
from stainbook.work.firing.told_twice import ToldBefore


@dataclass(slots=True)
class GatheredFirings:
    """What is to be stored, and what is told of it; ``rows`` are those that told of the cases when it was gathered.

    ``shadow``: the lab looks on, see `looked_on`.
    """

    rows: dict[str, tuple[str, ...]] = field(default_factory=dict)
    firings: list[Firing] = field(default_factory=list)
    outcomes: list[Outcome] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    cases: list[Case] = field(default_factory=list)
    told: list[RecordedOutcome] = field(default_factory=list)
    twice: list[ToldBefore] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    events: dict[str, list[Event]] = field(default_factory=dict)  # what is to be stored, by case, as events
    shadow: bool = False

    @classmethod
    def of(cls, book: Book, codes: Iterable[str], *, shadow: bool = False) -> GatheredFirings:
        """Nothing yet, of some cases as the book tells of them now."""
        return cls({code: _rows(book, code) for code in codes}, shadow=shadow)

    def store(self, book: Book, because: str | None) -> int | None:
        """Store all of it, or nothing; gives how many firings and outcomes were new.

        None where others stored something of these cases since it was gathered: gather it anew.
        """
        with book.transaction() as step:
            if any(_rows(step, code) != rows for code, rows in self.rows.items()):
                return None
            return self._store(step, because)

    def _store(self, step: Transaction, because: str | None) -> int:
        step.add_readings(self.readings)
        for case in self.cases:
            open_as(step, case)
        operators, programmes = step.operators(), step.programmes()
        named = {one.operator for one in self.firings if one.operator} - operators.keys()
        step.add_operators(Operator(name) for name in sorted(named))
        fired = {one.programme for one in self.firings if one.programme} - programmes.keys()
        step.add_programmes(Programme(name) for name in sorted(fired))
        stored = step.add_firings(self.firings, why=because)
        stored += step.add_outcomes(self.outcomes, why=because)
        recipes = step.recipes()
        for name in sorted({one.recipe for one in self.outcomes if one.recipe}):
            if name in recipes and recipes[name].state == "draft":
                step.revise_recipe(_tried(recipes[name]))
        return stored


def _rows(book: Book | Transaction, code: str) -> tuple[str, ...]:
    """The rows that tell of a case."""
    return tuple(one.id for one in book.events(code))


def _tried(recipe: LabRecipe) -> LabRecipe:
    return replace(recipe, state="tried", why="it was fired")
