"""The plan at the bench: mixes to prepare first, then each pass over the piece in the order of work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from stainbook.files.text import write_text
from stainbook.records import GUM_ZONES, TOOTH_ZONES
from stainbook.work.documents.chances import chance_words
from stainbook.work.documents.plan_schemas import PlannedLayer, PlannedPot, PlannedZone, PlanResult
from stainbook.work.documents.printed import PrintedTable, SheetContent, page_of
from stainbook.work.sheets.bench import CAUTIONS
from stainbook.work.stains.mix_words import parts_of

PASSES = ("First layers", "Second layers", "Third layers", "Fourth layers")
PROGRAMME = "Firing programme: the one of the maker's sheet for this material; none is named in the case."
NO_FIRING = "No firing is proposed."
NEAREST = "Stain brings no zone to its target: what stands here is the nearest that it comes."
DRY, FIRE = "then dry the whole piece before next", "then dry the piece and fire it"
_HEIGHTS = {name: place for place, name in enumerate((*TOOTH_ZONES, *GUM_ZONES))}


@dataclass(frozen=True, slots=True)
class Stroke:
    """One layer on one zone."""

    zone: PlannedZone
    layer: PlannedLayer


def passes(plan: PlanResult) -> list[list[Stroke]]:
    """The layers of each pass, bottom first: along the arch from the patient's right, teeth before gum."""
    zones = sorted(plan.zones, key=_in_order)
    most = max((len(zone.layers) for zone in zones), default=0)
    return [[Stroke(zone, zone.layers[n]) for zone in zones if len(zone.layers) > n] for n in range(most)]


def _in_order(zone: PlannedZone) -> tuple[object, ...]:
    """Upper jaw, then lower; teeth, then gum, since they take brushes of their own; right to left, neck to edge."""
    quadrant, position = divmod(zone.tooth, 10)
    right = quadrant in (1, 4, 5, 8)
    height = _HEIGHTS.get(zone.zone, len(_HEIGHTS))
    return quadrant in (3, 4, 7, 8), zone.tissue != "tooth", not right, -position if right else position, height


def heading(number: int, count: int) -> str:
    """What stands over one of ``count`` passes, counted from 0."""
    name = PASSES[number] if number < len(PASSES) else f"Layers {number + 1}"
    return f"{name}, {DRY if number + 1 < count else FIRE}"


def coats_words(layer: PlannedLayer) -> str:
    """Coats of a mix: ``2 × A``."""
    return f"{layer.coats} × {layer.pot}"


def pot_rows(pots: Sequence[PlannedPot]) -> list[tuple[str, ...]]:
    """Mixes as rows: id, parts, weights or nothing, the number of zones that they go on."""
    return [(one.id, parts_of(one.pot), _grams(one), str(one.zones)) for one in pots]


def _grams(pot: PlannedPot) -> str:
    if pot.weighed is None:
        return ""
    return " + ".join(f"{grams:g} g {name}" for name, grams in pot.weighed.grams.items())


def stroke_rows(strokes: Sequence[Stroke]) -> list[tuple[str, ...]]:
    """A pass as rows: tooth, zone, mix and coats, and what is expected where it is the zone's last layer."""
    return [(str(one.zone.tooth), one.zone.zone, coats_words(one.layer), _expected(one)) for one in strokes]


def _expected(stroke: Stroke) -> str:
    """What a zone comes to with its last layer; nothing before."""
    zone = stroke.zone
    return f"ΔE00 {zone.dE00:.1f}, {chance_words(zone.accept)}" if stroke.layer is zone.layers[-1] else "more follows"


def left_alone(plan: PlanResult) -> Iterator[str]:
    """Zones that take no layer, and those that stain does not bring there, in a line each."""
    for word, said in (("leave", "Leave"), ("out of reach", "Out of reach of stain"), ("no firing", "Not fired")):
        names = [f"{zone.tooth} {zone.zone}" for zone in sorted(plan.zones, key=_in_order) if zone.verdict == word]
        if names:
            yield f"{said}: {', '.join(names)}."


def chances(plan: PlanResult) -> str:
    """The chance of the case in a sentence."""
    if plan.within_reach is None:
        return NEAREST if any(zone.layers for zone in plan.zones) else NO_FIRING
    lost = any(zone.verdict == "out of reach" for zone in plan.zones)
    whom = "all zones that stain can bring there" if lost else "all zones"
    mixes = f"{plan.within_reach.mixes} mix{'es' * (plan.within_reach.mixes != 1)}"
    more = f"; {chance_words(plan.unlimited.accept)} with {plan.unlimited.mixes} mixes" if plan.unlimited else ""
    return (
        f"{mixes}: {whom} accepted after this firing {chance_words(plan.within_reach.accept)}, "
        f"within the firings left {chance_words(plan.within_reach.accept_within)}{more}."
    )


def save_html(plan: PlanResult, path: Path) -> None:
    """Write the sheet as a page to print; raises InputError when it cannot be written."""
    write_text(path, sheet_html(plan))


def sheet_html(plan: PlanResult) -> str:
    """The sheet as a page to print, in large type, with a column to tick off."""
    return page_of(sheet_content(plan, title=f"Plan {plan.case}"))


def sheet_content(plan: PlanResult, *, title: str = "") -> SheetContent:
    """What the sheet says: mixes first, then the passes in the order of work, effects, programme, what to mind."""
    tables, layers = [_mixes(plan.pots)] if plan.pots else [], passes(plan)
    tables += [
        PrintedTable(
            ("tooth", "zone", "coats × mix", "then", "done"),
            [(*row, "") for row in stroke_rows(strokes)],
            numbers=("tooth",),
            heading=heading(number, len(layers)),
        )
        for number, strokes in enumerate(layers)
    ]
    if plan.effects:
        tables.append(PrintedTable(("effect", "done"), [(one, "") for one in plan.effects], heading="By eye"))
    programme = f"Programme {plan.programme}, as its sheet has it" if plan.programme else PROGRAMME
    mind = [*plan.warnings, *left_alone(plan), programme, *CAUTIONS]
    tables.append(PrintedTable(("mind",), [(one,) for one in mind]))
    return SheetContent(title or f"Bench sheet {plan.case}", chances(plan), tuple(tables))


def _mixes(pots: Sequence[PlannedPot]) -> PrintedTable:
    weighed = any(one.weighed for one in pots)
    columns = ("mix", "parts", *(("weigh",) if weighed else ()), "zones", "done")
    rows = [(name, parts, *((grams,) if weighed else ()), zones, "") for name, parts, grams, zones in pot_rows(pots)]
    return PrintedTable(columns, rows, numbers=("zones",), heading="Mix first")
