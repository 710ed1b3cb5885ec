"""What was done last time, and the lab's recipes: looked up, kept, set side by side, approved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stainbook.book import Book
from stainbook.book.entries import Hit
from stainbook.errors import InputError
from stainbook.kept import RECIPE_STATES, Conditions, LabRecipe
from stainbook.language import joined, say
from stainbook.records import GUM_ZONES, SURFACES, TISSUES, TOOTH_ZONES, LabRef
from stainbook.stage_words import stage_name
from stainbook.words.places import place, zone_name
from stainbook.work.case.advise import colour_shown
from stainbook.work.documents.schemas import ColourResult
from stainbook.work.lab.things import wanted_of
from stainbook.work.reading.typed_colour import typed_colour
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.painted import liquids_of, told_layers

KINDS = ("recipe", "outcome")
MOST = 40  # rows that a person looks through


@dataclass(frozen=True, slots=True)
class LookedFor:
    """What was typed: a colour, how near, words, stains; all empty asks for the newest."""

    lab: str = ""
    radius: float = 3.0
    words: str = ""
    stains: tuple[str, ...] = ()
    conditions: tuple[tuple[str, str], ...] = ()  # further ones, such as (lot, 24-117), (zone, cervical)
    illuminant: str | None = None
    observer: int | None = None
    instrument: str | None = None


@dataclass(frozen=True, slots=True)
class RecipeOrOutcome:
    """A recipe or an outcome: what was painted, on what, and what came out or is wanted."""

    kind: str
    name: str
    revision: int
    who: str
    when: str
    painted: str
    colour: ColourResult | None
    dE00: float | None = None  # from the colour looked for
    state: str | None = None
    on: str = ""
    to_target: float | None = None
    accepted: bool | None = None
    notes: str | None = None

    @property
    def called(self) -> str:
        """Its name for people: an outcome is known by its zone and day."""
        return self.name if self.kind == "recipe" else joined([self.on, self.when])


def look_up(book: Book, asked: LookedFor) -> list[RecipeOrOutcome]:
    """Recipes and outcomes, nearest first, else newest first; raises InputError for what is no colour."""
    lab, light, observer = _colour(book, asked)
    conditions = [*(("stain", name) for name in asked.stains), *asked.conditions]
    found = hits_near(book, lab, asked.radius, light, observer, conditions, words=asked.words)
    liquids = liquids_of(book.stains().values())
    return [shown_hit(hit, liquids) for hit in found[:MOST]]


def hits_near(
    book: Book,
    lab: str | None,
    radius: float,
    light: str | None,
    observer: int | None,
    conditions: Sequence[tuple[str, str]],
    *,
    words: str = "",
    limit: int = MOST,
) -> list[Hit]:
    """Recipes and outcomes near a colour, ``L,a,b``, the nearest first; without one the newest of each kind."""
    found: list[Hit] = []
    for kind in KINDS:
        asked = [("kind", kind), *conditions]
        found += book.search(wanted_of(lab, radius, [words], asked, illuminant=light, observer=observer, limit=limit))
    if lab is not None:
        found.sort(key=lambda hit: hit.dE00 or 0.0)
    return found


def _colour(book: Book, asked: LookedFor) -> tuple[str | None, str | None, int | None]:
    """The colour looked for as L,a,b, its light and observer; none where none was typed."""
    if not asked.lab.strip():
        return None, None, None
    under = Asked(asked.illuminant, asked.observer, instrument=asked.instrument, instruments=book.instruments())
    one = typed_colour(asked.lab, under, "colour")
    if one.lab is None or one.viewing is None or not one.viewing.known:
        raise InputError(say("colour: found one whose light is not known, expected L*, a*, b* under a light that is"))
    return ",".join(map(repr, one.lab)), one.viewing.illuminant, one.viewing.observer


def shown_hit(hit: Hit, liquids: frozenset[str]) -> RecipeOrOutcome:
    """A recipe or an outcome that was found, as a page shows it."""
    entered, record = hit.entered, hit.entered.record
    recipe = isinstance(record, LabRecipe)
    return RecipeOrOutcome(
        kind=entered.kind,
        name=entered.name,
        revision=entered.revision,
        who=entered.author,
        when=(entered.created_at if recipe else record.fired_at)[:10],
        painted=told_layers(record.layers, liquids),
        colour=_shown(record.target if recipe else record.got),
        dE00=hit.dE00,
        state=record.state if recipe else None,
        on=_holds_for(record.conditions) if recipe else joined([record.case, place(record.tooth, record.zone)], " "),
        to_target=None if recipe else record.to_target,
        accepted=None if recipe else record.accepted,
        notes=record.notes if recipe else record.note,
    )


def _holds_for(conditions: Conditions) -> str:
    stage = stage_name(conditions.stage) if conditions.stage else None
    zone = zone_name(conditions.zone) if conditions.zone else None
    return joined([one for one in (conditions.material, stage, zone) if one])


def _shown(ref: LabRef | None) -> ColourResult | None:
    return None if ref is None else colour_shown(ref.lab, ref.viewing)


CONDITIONS = ("zone", "state", "material", "lot", "programme", "tissue", "surface")


def known_conditions(book: Book) -> dict[str, list[str]]:
    """What can be asked for beside colour and words: stains, and values of ``CONDITIONS``."""
    stains, programmes, bodies = book.stains(), book.programmes(), book.bodies()
    materials = {name for one in stains.values() for name in one.materials or ()}
    return {
        "stain": sorted(stains),
        "zone": [*TOOTH_ZONES, *GUM_ZONES],
        "state": list(RECIPE_STATES),
        "material": sorted(materials | {one.material for one in bodies.values() if one.material}),
        "programme": sorted(programmes),
        "tissue": list(TISSUES),
        "surface": list(SURFACES),
    }
