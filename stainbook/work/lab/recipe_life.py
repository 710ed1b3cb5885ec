"""What becomes of a recipe: its record, its life, a new revision, two of them side by side, its use on a case."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from stainbook.book import Book, Entered
from stainbook.colour import delta_e_2000
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import LabRecipe, Outcome
from stainbook.language import joined, say, say_as
from stainbook.records import Layers
from stainbook.stage_words import consistency_name, recipe_state, stage_name, surface_name
from stainbook.words import mixes
from stainbook.words.places import zone_name
from stainbook.words.times import day
from stainbook.work.case.advise import colour_shown
from stainbook.work.case.case_desk import Step
from stainbook.work.case.chosen import choose
from stainbook.work.case.current_case import What
from stainbook.work.case.open_case import brought_in
from stainbook.work.documents.book_schemas import UseShown
from stainbook.work.documents.schemas import ColourResult
from stainbook.work.lab.things import use_of
from stainbook.work.stains.known_stains import check_known
from stainbook.work.stains.painted import liquids_of, painted_layers, told_layers


@dataclass(frozen=True, slots=True)
class Moment:
    """One revision of a recipe: what it was then, by whom, when and why."""

    revision: int
    state: str
    who: str
    when: str
    why: str | None
    painted: str


@dataclass(frozen=True, slots=True)
class RecipeDifference:
    """One point of two recipes side by side; ``same`` where they agree."""

    what: str
    first: str
    second: str
    same: bool


@dataclass(frozen=True, slots=True)
class Pair:
    """Two recipes, or two revisions of one, side by side; ``dE00`` between what they are for, where that is told."""

    names: tuple[str, str]
    colours: tuple[ColourResult | None, ColourResult | None]
    dE00: float | None
    rows: tuple[RecipeDifference, ...]


def record_of_use(book: Book, name: str) -> UseShown:
    """How a recipe did; raises UnknownNameError for one that is not there."""
    return use_of(book, _newest(book, name).record)


def life_of(book: Book, name: str) -> list[Moment]:
    """All revisions of a recipe, the newest first; raises UnknownNameError for one that is not there."""
    liquids = liquids_of(book.stains().values())
    return [_moment(one, liquids) for one in reversed(_revisions(book, name))]


def beside(book: Book, first: tuple[str, int | None], second: tuple[str, int | None]) -> Pair:
    """Two recipes, each by its name and a revision (None: the newest); raises UnknownNameError as `life_of` does."""
    entered = [_revision(book, *one) for one in (first, second)]
    return _pair(*entered)


def revise(book: Book, name: str, painted: str, *, notes: str, why: str, based_on: int) -> Pair | None:
    """Store another revision of a recipe; gives this one beside what another bench stored meanwhile, else None.

    based_on : the revision that was looked at

    Raises InputError for what says no layers, a stain that the lab does not know, and where nothing differs.
    """
    layers = painted_layers(painted)
    if not layers:
        raise InputError(
            say("found nothing painted, expected coats and parts, such as 2 coats of (1 part husk + 7 parts clear)")
        )
    check_known(book, layers)
    old: LabRecipe = _revision(book, name, based_on).record
    new = replace(old, layers=layers, notes=notes.strip() or None, why=why.strip() or None, based_on=based_on)
    if (new.layers, new.notes) == (old.layers, old.notes):
        raise InputError(say("found nothing changed, expected other layers or other notes"))
    if new.layers != old.layers and old.state in ("approved", "retired"):
        new = replace(new, state="draft")  # what was approved was something else
    revised = book.revise_recipe(new)
    if revised.meanwhile is None:
        return None
    return _pair(revised.meanwhile, _revision(book, name, revised.revision))


def use_on(book: Book, kind: str, name: str, what: What, zones: Iterable[tuple[int, str]]) -> str:
    """Make what a recipe or an outcome painted the next step of some zones; gives the case's code.

    Raises InputError where no zone is named.
    """
    keys = list(zones)
    if not keys:
        raise InputError(say("found no zone, expected one or more that it is to be used on"))
    layers = _layers(book, kind, name)
    case = brought_in(book, what).case
    known = {zone.key for zone in case.zones}
    choose(book, case.case, {key: Step("add", layers) for key in keys if key in known})
    return case.case


# ---------------------------------------------------------------- inside


def _layers(book: Book, kind: str, name: str) -> Layers:
    if kind == "recipe":
        layers: Layers = _newest(book, name).record.layers
        return layers
    entered = book.entered("outcome", name)
    if not entered:
        raise UnknownNameError(say("outcome"), name, ())
    outcome: Outcome = entered[-1].record
    return outcome.layers


def _revisions(book: Book, name: str) -> Sequence[Entered]:
    found = book.entered("recipe", name)
    if not found:  # another lab's, which shares it
        found = tuple(one for one in book.newest_entered("recipe") if one.name == name)
    if not found:
        raise UnknownNameError(say("recipe"), name, book.recipes())
    return found


def _newest(book: Book, name: str) -> Entered:
    return _revisions(book, name)[-1]


def _revision(book: Book, name: str, revision: int | None) -> Entered:
    found = _revisions(book, name)
    if revision is None:
        return found[-1]
    for one in found:
        if one.revision == revision:
            return one
    raise UnknownNameError(say("revision of {name}", name=name), str(revision), (str(one.revision) for one in found))


def _moment(one: Entered, liquids: frozenset[str]) -> Moment:
    recipe: LabRecipe = one.record
    return Moment(
        one.revision, recipe.state, one.author, day(one.created_at), recipe.why, told_layers(recipe.layers, liquids)
    )


def _pair(first: Entered, second: Entered) -> Pair:
    names = [
        one.name
        if first.name != second.name
        else say("{recipe}, revision {revision}", recipe=one.name, revision=one.revision)
        for one in (first, second)
    ]
    one, other = first.record.target, second.record.target
    apart = None
    if one is not None and other is not None and one.viewing == other.viewing:
        apart = float(delta_e_2000(one.lab, other.lab))
    said = [dict(points_of(entered)) for entered in (first, second)]
    rows = [RecipeDifference(what, said[0][what], said[1][what], said[0][what] == said[1][what]) for what in said[0]]
    colours = [colour_shown(ref.lab, ref.viewing) if ref else None for ref in (one, other)]
    return Pair((names[0], names[1]), (colours[0], colours[1]), apart, tuple(rows))


def points_of(entered: Entered) -> Iterable[tuple[str, str]]:
    """A recipe point by point, as words."""
    recipe: LabRecipe = entered.record
    limits = recipe.conditions
    yield say("state"), recipe_state(recipe.state)
    for number in range(3):
        layer = recipe.layers[number] if number < len(recipe.layers) else None
        yield say("layer {number}", number=number + 1), mixes.layer(layer.pot, layer.coats) if layer else ""
    thick = (
        say(
            "{least:g} to {most:g} mm",
            least=limits.thickness_mm[0],
            most=limits.thickness_mm[1],
        )
        if limits.thickness_mm
        else None
    )
    stage, surface = stage_name(limits.stage or ""), surface_name(limits.surface or "")
    where = zone_name(limits.zone or "") or limits.tissue
    held = (limits.material, stage, surface, where, limits.programme, thick)
    yield say("holds for"), joined(filter(None, held))
    yield say("consistency"), consistency_name(limits.consistency or "")
    yield say("by eye"), joined((one.effect for one in recipe.effects or ()), "; ")
    yield say_as("of a recipe", "notes"), recipe.notes or ""
    yield say("kept by"), joined([entered.author, day(entered.created_at[:10])])
    yield say_as("of a recipe", "why"), recipe.why or ""
