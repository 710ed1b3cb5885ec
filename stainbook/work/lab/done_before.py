"""Done last time: recipes and outcomes near a zone's target, of outcomes those that began near where the zone is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stainbook.book import Book
from stainbook.colour import delta_e_2000
from stainbook.errors import InputError
from stainbook.kept import LabRecipe, Outcome
from stainbook.records import Layers, Reading, Viewing, tissue_of
from stainbook.work.documents.schemas import ColourResult
from stainbook.work.lab.recipe_views import RecipeOrOutcome, hits_near, shown_hit
from stainbook.work.reading.samples import colour_of
from stainbook.work.stains.painted import liquids_of

NEAR_TARGET = 3.0  # ΔE00 from the target that a result may be
NEAR_START = 4.0  # ΔE00 between where it began and where the zone is: the blank's own spread, and a step of stain
MOST = 6  # rows
LOOKED_AT = 200  # results near the target, of which those that began elsewhere are left out


@dataclass(frozen=True, slots=True)
class DoneBefore:
    """What was done once, how far it began from where the zone is (None of a recipe), and its layers."""

    found: RecipeOrOutcome
    start: float | None
    layers: Layers


@dataclass(frozen=True, slots=True)
class SoughtZone:
    """A zone that is looked for: where it is, where it must go, its tissue and what the piece is made of."""

    now: ColourResult
    target: ColourResult
    tissue: str
    material: str | None = None


def done_before(book: Book, zone: SoughtZone) -> tuple[DoneBefore, ...]:
    """What brought a like zone near this target, the nearest first; recipes that were retired are left out.

    Raises InputError for a target whose light is not known.
    """
    target = zone.target
    lab = ",".join(repr(one) for one in (target.L, target.a, target.b))
    hits = hits_near(book, lab, NEAR_TARGET, target.illuminant, target.observer, (), limit=LOOKED_AT)
    liquids = liquids_of(book.stains().values())
    found = []
    for hit in hits:
        record = hit.entered.record
        if not record.layers or not _alike(record, zone):
            continue
        start = _start_from(record.before, zone.now) if isinstance(record, Outcome) else None
        if isinstance(record, LabRecipe) and record.state == "retired":
            continue
        if isinstance(record, Outcome) and (start is None or start > NEAR_START):
            continue
        found.append(DoneBefore(shown_hit(hit, liquids), start, record.layers))
    return tuple(found[:MOST])


def _alike(record: Outcome | LabRecipe, zone: SoughtZone) -> bool:
    """Whether both are of one tissue and one ceramic, as far as both say."""
    if isinstance(record, Outcome):
        tissue, material = record.tissue, record.material
    else:
        where = record.conditions
        own = where.tissue or (tissue_of(where.zone) if where.zone else None)
        tissue, material = own or zone.tissue, where.material
    return tissue == zone.tissue and (None in (material, zone.material) or material == zone.material)


def _start_from(before: Reading | None, now: ColourResult) -> float | None:
    """How far an outcome began from where a zone is, ΔE00; None where the two cannot be compared."""
    if before is None or not now.observer:
        return None
    try:
        began = colour_of(before, Viewing(now.illuminant, now.observer)).lab
    except InputError:
        return None
    return float(delta_e_2000(np.array(began), np.array((now.L, now.a, now.b))))
