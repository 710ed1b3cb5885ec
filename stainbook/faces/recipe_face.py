"""``lab.recipes``: what was done last time and the lab's recipes; looked up, kept, judged, revised, used."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from stainbook.faces.lab_view import LabFace
from stainbook.work.case.undo import Undo, undo_recipe, undoable_recipe
from stainbook.work.documents.book_schemas import StateResult, UseShown
from stainbook.work.lab.done_before import DoneBefore, SoughtZone, done_before
from stainbook.work.lab.kept_recipe import keep_outcome
from stainbook.work.lab.recipe_life import Moment, Pair, beside, life_of, record_of_use, revise, use_on
from stainbook.work.lab.recipe_views import LookedFor, RecipeOrOutcome, known_conditions, look_up
from stainbook.work.lab.things import set_state


class RecipesFace(LabFace):
    """Layers that the lab keeps by name, and those of its outcomes."""

    def look_up(self, asked: LookedFor) -> tuple[RecipeOrOutcome, ...]:
        """Give recipes and outcomes, nearest first where a colour is asked, else newest first.

        Raises InputError for a colour that cannot be read, or whose light is not known.

        >>> from stainbook.faces.recipe_types import LookedFor
        >>> found = lab.recipes.look_up(LookedFor(lab="72 2 19", illuminant="D65", observer=10))
        >>> found[0].kind, found[0].name, round(found[0].dE00, 1)
        ('recipe', 'warm neck', 0.6)
        """
        return self._kept(("look up", asked), lambda: tuple(look_up(self._book, asked)))

    def done_before(self, zone: SoughtZone) -> tuple[DoneBefore, ...]:
        """Give what brought a like zone near a target, the nearest first, with where it began.

        Raises InputError for a target whose light is not known.

        >>> from stainbook.faces.recipe_types import SoughtZone
        >>> zone = lab.case("W-1051").desk.gaps().advised.zones[0]
        >>> found = lab.recipes.done_before(SoughtZone(zone.now, zone.target, zone.tissue, "zirconia"))
        >>> len(found) > 0, all(one.start is None or one.start <= 4.0 for one in found)
        (True, True)
        """
        return self._kept(("done-before", repr(zone)), lambda: done_before(self._book, zone))

    def conditions(self) -> dict[str, list[str]]:
        """Give what can be asked for beside colour and words, by kind.

        >>> lab.recipes.conditions()["material"]
        ['zirconia']
        """
        return known_conditions(self._book)

    def record_of_use(self, name: str) -> UseShown:
        """Give how often a recipe was used and accepted; raises UnknownNameError for an unknown recipe.

        >>> use = lab.recipes.record_of_use("warm neck")
        >>> use.uses, use.judged
        (5, 4)
        """
        return self._kept(("use", name), lambda: record_of_use(self._book, name))

    def life(self, name: str) -> tuple[Moment, ...]:
        """Give all revisions of a recipe, the newest first; raises UnknownNameError for an unknown recipe.

        >>> [(one.revision, one.state, one.why) for one in lab.recipes.life("old neck")]
        [(2, 'retired', 'muddy: came back for its shade'), (1, 'approved', None)]
        """
        return self._kept(("life", name), lambda: tuple(life_of(self._book, name)))

    def beside(self, first: tuple[str, int | None], second: tuple[str, int | None]) -> Pair:
        """Give two recipes side by side, each by its name and a revision, None for the newest.

        Raises UnknownNameError for a recipe or revision that is not there.

        >>> pair = lab.recipes.beside(("warm neck", None), ("old neck", 1))
        >>> pair.names, round(pair.dE00, 1)
        (('warm neck', 'old neck'), 5.1)
        """
        return self._kept(("beside", first, second), lambda: beside(self._book, first, second))

    def revise(self, name: str, painted: str, *, notes: str, why: str, based_on: int) -> Pair | None:
        """Store another revision; gives it beside what another bench stored meanwhile, else None.

        painted : as typed; based_on : the revision that was changed
        Raises UnknownNameError for an unknown recipe, InputError for a mix that cannot be read.

        >>> mix = "1 part barley + 7 parts clear"
        >>> lab.recipes.revise("pale middle", mix, notes="", why="no plover", based_on=1)
        >>> lab.recipes.life("pale middle")[0].revision
        2
        """
        return revise(self._book, name, painted, notes=notes, why=why, based_on=based_on)

    def keep(self, outcome: str, name: str) -> StateResult:
        """Store what was painted in an outcome as a recipe that was tried once.

        Raises UnknownNameError for an unknown outcome.

        >>> outcome = lab.case("W-0971").firing.zones()[0].name
        >>> lab.recipes.keep(outcome, "thin neck").state
        'tried'
        """
        return keep_outcome(self._book, outcome, name)

    def set_state(self, name: str, state: str, *, why: str | None = None) -> StateResult:
        """Approve or retire a recipe; raises UnknownNameError for an unknown recipe or state.

        >>> lab.recipes.set_state("soft middle", "approved", why="three crowns").state
        'approved'
        """
        return set_state(self._book, name, state, why=why or None)

    def undoable(self, name: str) -> Undo | None:
        """Give the newest change of a recipe that can be undone, None where there is none.

        >>> lab.recipes.undoable("old neck").what
        'approved → retired'
        """
        return undoable_recipe(self._book, name)

    def undo(self, name: str) -> Undo | None:
        """Undo the newest change of a recipe; gives it, None where there is none.

        >>> print(lab.recipes.undo("cool edge"))
        None
        """
        return undo_recipe(self._book, name)

    def use_on(self, kind: str, name: str, what: str | Path, zones: Iterable[tuple[int, str]]) -> str:
        """Make what a recipe or an outcome painted the next step of some zones; gives the case's code.

        kind : ``recipe`` or ``outcome``; zones : (tooth, zone)
        Raises UnknownNameError for an unknown recipe or outcome, InputError for a case that cannot be used.

        >>> lab.recipes.use_on("recipe", "cool edge", "W-1051", [(11, "incisal")])
        'W-1051'
        >>> lab.case("W-1051").desk.undoable().what
        'next step of 11 incisal'
        """
        return use_on(self._book, kind, name, what, zones)
