"""The plan at the bench: mixes to prepare first, then each pass over the piece in the order of work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from stainbook.files.text import write_text
from stainbook.records import CLEAR, GUM_ZONES, TOOTH_ZONES
from stainbook.words import mixes, plans, safety
from stainbook.words.chances import chance, expected_in_tolerance
from stainbook.words.figures import tenths
from stainbook.words.places import place, zone_name
from stainbook.work.documents.plan_schemas import PlannedLayer, PlannedPot, PlannedZone, PlanResult
from stainbook.work.documents.printed import PrintedTable, SheetContent, page_of

ARCH, HOLD_BACK = 12, 2  # zones from which on each counts for itself; those named that are least sure
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


def heading(plan: PlanResult, number: int, count: int) -> str:
    """What stands over one of ``count`` passes, counted from 0."""
    return plans.heading(number, count, liquid=_soaks(plan))


def pot_rows(pots: Sequence[PlannedPot]) -> list[tuple[str, ...]]:
    """Mixes as rows: id, parts, weights or nothing, the number of zones that they go on."""
    return [(one.id, mixes.mix(one.pot, liquid=one.liquid), _grams(one), str(one.zones)) for one in pots]


def _grams(pot: PlannedPot) -> str:
    if pot.weighed is None:
        return ""
    names = {CLEAR: mixes.THINNER} if pot.liquid else {}
    return " + ".join(f"{grams:g} g {names.get(name, name)}" for name, grams in pot.weighed.grams.items())


def stroke_rows(strokes: Sequence[Stroke]) -> list[tuple[str, ...]]:
    """A pass as rows: tooth, zone, mix and coats, and what is expected where it is the zone's last layer."""
    return [
        (str(one.zone.tooth), zone_name(one.zone.zone), mixes.coats_of(one.layer.pot, one.layer.coats), _expected(one))
        for one in strokes
    ]


def _expected(stroke: Stroke) -> str:
    """What a zone comes to with its last layer; nothing before."""
    zone = stroke.zone
    return f"ΔE00 {tenths(zone.dE00)}, {chance(zone.accept)}" if stroke.layer is zone.layers[-1] else "more follows"


def not_painted(plan: PlanResult) -> Iterator[str]:
    """Zones that take no layer, and those that stain does not bring there, in a line each."""
    for word, said in (("leave", "As they are"), ("out of reach", "Stain cannot reach"), ("no firing", "Not fired")):
        names = [place(zone.tooth, zone.zone) for zone in sorted(plan.zones, key=_in_order) if zone.verdict == word]
        if names:
            yield f"{said}: {', '.join(names)}."


def chances(plan: PlanResult) -> str:
    """The chance of the case in a sentence, and of an arch how many of its zones are expected in tolerance."""
    reached = plan.within_reach
    if reached is None:
        return plans.NO_FIRING
    lost = any(zone.verdict == "out of reach" for zone in plan.zones)
    wished = plan.unlimited if plan.unlimited and plan.unlimited.mixes > reached.mixes else None
    more = (wished.accept, wished.mixes) if wished else None
    said = plans.whole(reached.mixes, reached.accept, reached.accept_within, lost=lost, more=more)
    if plan.expected_in_tolerance is None or plan.zones_counted < ARCH:
        return said
    back = sorted(plan.zones, key=lambda zone: zone.accept)[:HOLD_BACK]
    least = " and ".join(f"{place(zone.tooth, zone.zone)} ({chance(zone.accept)})" for zone in back)
    return f"{expected_in_tolerance(plan.expected_in_tolerance, plan.zones_counted)}; least sure: {least}. {said}"


def _soaks(plan: PlanResult) -> bool:
    return any(one.liquid for one in plan.pots)


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
            ("tooth", "zone", "mix and coats", "then", "done"),
            [(*row, "") for row in stroke_rows(strokes)],
            numbers=("tooth",),
            heading=heading(plan, number, len(layers)),
        )
        for number, strokes in enumerate(layers)
    ]
    if plan.effects:
        tables.append(PrintedTable(("effect", "done"), [(one, "") for one in plan.effects], heading="By eye"))
    programme = (
        f"Programme {plan.programme}, as its sheet has it"
        if plan.programme
        else plans.SINTER
        if _soaks(plan)
        else plans.NO_PROGRAMME
    )
    weights = [plans.by_weight(liquid=_soaks(plan))] if plan.pots else []
    mind = [*plan.warnings, *not_painted(plan), *weights, programme, *_cautions(plan)]
    tables.append(PrintedTable(("mind",), [(one,) for one in mind]))
    return SheetContent(title or f"Bench sheet {plan.case}", chances(plan), tuple(tables))


def _cautions(plan: PlanResult) -> list[str]:
    painted = [zone for zone in plan.zones if zone.layers]
    return safety.of_plan(
        liquid=_soaks(plan),
        both=len({zone.tissue for zone in painted}) > 1,
        two_coats=any(one.coats > 1 for zone in painted for one in zone.layers),
    )


def _mixes(pots: Sequence[PlannedPot]) -> PrintedTable:
    weighed = any(one.weighed for one in pots)
    columns = ("mix", "parts", *(("weigh",) if weighed else ()), "zones", "done")
    rows = [(name, parts, *((grams,) if weighed else ()), zones, "") for name, parts, grams, zones in pot_rows(pots)]
    return PrintedTable(columns, rows, numbers=("zones",), heading="Mix first")
