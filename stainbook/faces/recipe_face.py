"""``lab.recipes``: what was done last time and the lab's recipes; looked up, kept, judged, revised, used."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from stainbook.faces.lab_view import LabFace
from stainbook.work.case.undo import Undo, undo_recipe, undoable_recipe
from stainbook.work.documents.book_schemas import StateResult, UseShown
from stainbook.work.lab.kept_recipe import keep_outcome
from stainbook.work.lab.recipe_life import Moment, Pair, beside, life_of, record_of_use, revise, use_on
from stainbook.work.lab.recipe_views import LookedFor, RecipeOrOutcome, known_conditions, look_up
from stainbook.work.lab.things import set_state


class RecipesFace(LabFace):
    """Layers that the lab keeps by name, and those of its outcomes."""

    def look_up(self, asked: LookedFor) -> tuple[RecipeOrOutcome, ...]:
        """Recipes and outcomes, nearest first, else newest first."""
        return self._kept(("look up", asked), lambda: tuple(look_up(self._book, asked)))

    def conditions(self) -> dict[str, list[str]]:
        """What can be asked for beside colour and words, by kind."""
        return known_conditions(self._book)

    def record_of_use(self, name: str) -> UseShown:
        """How a recipe did."""
        return self._kept(("use", name), lambda: record_of_use(self._book, name))

    def life(self, name: str) -> tuple[Moment, ...]:
        """All revisions of a recipe, the newest first."""
        return self._kept(("life", name), lambda: tuple(life_of(self._book, name)))

    def beside(self, first: tuple[str, int | None], second: tuple[str, int | None]) -> Pair:
        """Two recipes side by side, each by its name and a revision, None for the newest."""
        return self._kept(("beside", first, second), lambda: beside(self._book, first, second))

    def revise(self, name: str, painted: str, *, notes: str, why: str, based_on: int) -> Pair | None:
        """Store another revision; gives it beside what another bench stored meanwhile, else None."""
        return revise(self._book, name, painted, notes=notes, why=why, based_on=based_on)

    def keep(self, outcome: str, name: str) -> StateResult:
        """Keep what was painted in an outcome as a recipe, tried once."""
        return keep_outcome(self._book, outcome, name)

    def set_state(self, name: str, state: str, *, why: str | None = None) -> StateResult:
        """Approve or retire a recipe."""
        return set_state(self._book, name, state, why=why or None)

    def undoable(self, name: str) -> Undo | None:
        """The newest change of a recipe that can be taken back."""
        return undoable_recipe(self._book, name)

    def undo(self, name: str) -> Undo | None:
        """Take the newest change of a recipe back."""
        return undo_recipe(self._book, name)

    def use_on(self, kind: str, name: str, what: str | Path, zones: Iterable[tuple[int, str]]) -> str:
        """Make what a recipe or an outcome painted the next step of some zones; gives the case's code."""
        return use_on(self._book, kind, name, what, zones)
