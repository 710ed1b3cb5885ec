"""``lab.recipes``: what was done last time and the lab's recipes; looked up, kept, judged, revised, used."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from stainbook.faces.lab_view import LabFace

if TYPE_CHECKING:
    from stainbook.work.case.undo import Undo
    from stainbook.work.documents.book_schemas import StateResult, UseShown
    from stainbook.work.lab.recipe_life import Moment, Pair
    from stainbook.work.lab.recipe_views import LookedFor, RecipeOrOutcome


class RecipesFace(LabFace):
    """Layers that the lab keeps by name, and those of its outcomes."""

    def look_up(self, asked: LookedFor) -> tuple[RecipeOrOutcome, ...]:
        """Recipes and outcomes, nearest first, else newest first."""
        from stainbook.work.lab.recipe_views import look_up

        return self._kept(("look up", asked), lambda: tuple(look_up(self._book, asked)))

    def conditions(self) -> dict[str, list[str]]:
        """What can be asked for beside colour and words, by kind."""
        from stainbook.work.lab.recipe_views import known_conditions

        return known_conditions(self._book)

    def record_of_use(self, name: str) -> UseShown:
        """How a recipe did."""
        from stainbook.work.lab.recipe_life import record_of_use

        return self._kept(("use", name), lambda: record_of_use(self._book, name))

    def life(self, name: str) -> tuple[Moment, ...]:
        """All revisions of a recipe, the newest first."""
        from stainbook.work.lab.recipe_life import life_of

        return self._kept(("life", name), lambda: tuple(life_of(self._book, name)))

    def beside(self, first: tuple[str, int | None], second: tuple[str, int | None]) -> Pair:
        """Two recipes side by side, each by its name and a revision, None for the newest."""
        from stainbook.work.lab.recipe_life import beside

        return self._kept(("beside", first, second), lambda: beside(self._book, first, second))

    def revise(self, name: str, painted: str, *, notes: str, why: str, based_on: int) -> Pair | None:
        """Store another revision; gives it beside what another bench stored meanwhile, else None."""
        from stainbook.work.lab.recipe_life import revise

        return revise(self._book, name, painted, notes=notes, why=why, based_on=based_on)

    def keep(self, outcome: str, name: str) -> StateResult:
        """Keep what was painted in an outcome as a recipe, tried once."""
        from stainbook.work.lab.kept_recipe import keep_outcome

        return keep_outcome(self._book, outcome, name)

    def set_state(self, name: str, state: str, *, why: str | None = None) -> StateResult:
        """Approve or retire a recipe."""
        from stainbook.work.lab.things import set_state

        return set_state(self._book, name, state, why=why or None)

    def undoable(self, name: str) -> Undo | None:
        """The newest change of a recipe that can be taken back."""
        from stainbook.work.case.undo import undoable_recipe

        return undoable_recipe(self._book, name)

    def undo(self, name: str) -> Undo | None:
        """Take the newest change of a recipe back."""
        from stainbook.work.case.undo import undo_recipe

        return undo_recipe(self._book, name)

    def open_zones(self, what: str | Path) -> tuple[tuple[int, str], ...]:
        """The zones of a case."""
        from stainbook.work.lab.recipe_life import open_zones

        return tuple(open_zones(self._book, what))

    def use_on(self, kind: str, name: str, what: str | Path, zones: Iterable[tuple[int, str]]) -> str:
        """Make what a recipe or an outcome painted the next step of some zones; gives the case's code."""
        from stainbook.work.lab.recipe_life import use_on

        return use_on(self._book, kind, name, what, zones)
