"""The plan at the bench: mixes to prepare first, then each pass over the piece in the order of work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from stainbook.files.text import write_text
from stainbook.language import capitalised, joined, say
from stainbook.records import CLEAR, GUM_ZONES, TOOTH_ZONES
from stainbook.words import apprentice, control_words, mixes, plans, safety
from stainbook.words.chances import chance
from stainbook.words.figures import tenths
from stainbook.words.places import place, zone_name
from stainbook.work.documents.plan_schemas import PlannedLayer, PlannedPot, PlannedZone, PlanResult
from stainbook.work.documents.printed import PrintedTable, SheetContent, page_of
from stainbook.work.sheets.plan_drawing import drawn_pass

BOXES, ABREAST = 8, 4  # for readings, and how many of them stand in a row
ZONES_HEAD = say("zones, a dot a coat ({dot})", dot=mixes.DOT)
_NO_LAYER = ("leave", "out of reach", "no firing")
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
    return plans.heading(number, count, liquid=_green(plan))


def pot_rows(pots: Sequence[PlannedPot]) -> list[tuple[str, ...]]:
    """Mixes as rows: id, parts and how to make them, weights or nothing, the number of zones that they go on."""
    return [(one.id, _made(one), _grams(one), str(one.zones)) for one in pots]


def _made(pot: PlannedPot) -> str:
    """The parts of a mix; of one that stands ready so much, of a fresh one the dilution that spares weighing."""
    parts = mixes.mix(pot.pot, liquid=pot.liquid)
    if pot.stock:
        return joined([parts, plans.READY])
    return say("{mix} ({dilution})", mix=parts, dilution=pot.dilution) if pot.dilution else parts


def _grams(pot: PlannedPot) -> str:
    if pot.weighed is None:
        return ""
    rest = mixes.THINNER if pot.liquid else mixes.CLEAR_GLAZE
    weighed = [(rest if name == CLEAR else name, grams) for name, grams in pot.weighed.grams.items()]
    return joined((say("{grams:g} g {stain}", grams=grams, stain=stain) for stain, grams in weighed), " + ")


def stroke_rows(strokes: Sequence[Stroke]) -> list[tuple[str, ...]]:
    """A pass as rows: tooth, zone, mix and coats, and what is expected where it is the zone's last layer."""
    return [
        (str(one.zone.tooth), zone_name(one.zone.zone), mixes.coats_of(one.layer.pot, one.layer.coats), _expected(one))
        for one in strokes
    ]


def _expected(stroke: Stroke) -> str:
    """What a zone comes to with its last layer, and the stain expected to follow on liquids; nothing before."""
    zone = stroke.zone
    if stroke.layer is not zone.layers[-1]:
        return say("more follows")
    if zone.then is None or not zone.then.layers:
        return say("ΔE00 {apart}, {chance}", apart=tenths(zone.dE00), chance=chance(zone.accept))
    return say(
        "ΔE00 {apart}, {chance}, then {layers}",
        apart=tenths(zone.dE00),
        chance=chance(zone.accept_within),
        layers=mixes.layers(zone.then.layers),
    )


def not_painted(plan: PlanResult) -> Iterator[str]:
    """Zones that take no layer, and those that stain does not bring there, in a line each reason."""
    found: dict[str, list[str]] = {_not_painted(verdict): [] for verdict in _NO_LAYER}
    for zone in sorted(plan.zones, key=_in_order):
        if zone.verdict in _NO_LAYER:
            found.setdefault(_why_no_layer(plan, zone), []).append(place(zone.tooth, zone.zone))
    yield from (say("{why}: {zones}.", why=why, zones=joined(names)) for why, names in found.items() if names)


def _why_no_layer(plan: PlanResult, zone: PlannedZone) -> str:
    """Why a zone takes no layer; of gum that no liquid brings there what may follow, as its own reason has it."""
    if zone.verdict == "out of reach" and zone.layers:
        return plans.NO_NEARER
    no_liquid = _green(plan) and zone.tissue == "gingiva" and zone.verdict == "out of reach"
    return capitalised(zone.why) if no_liquid and zone.why else _not_painted(zone.verdict)


def _not_painted(verdict: str) -> str:
    if verdict == "leave":
        return say("Nothing to paint")
    return say("Stain cannot reach") if verdict == "out of reach" else say("Not fired")


def chances(plan: PlanResult) -> str:
    """The chance of the case in a sentence."""
    reached = plan.within_reach
    if any(zone.accept is None for zone in plan.zones):
        return control_words.ALL_HELD_BACK
    if reached is None:
        return plans.NEAREST if any(zone.layers for zone in plan.zones) else plans.NO_FIRING
    lost = any(zone.counted and zone.verdict == "out of reach" for zone in plan.zones)
    wished = plan.unlimited if plan.unlimited and plan.unlimited.mixes > reached.mixes else None
    surest = (wished.accept_within if _green(plan) else wished.accept) if wished else 0.0
    more = (surest, wished.mixes) if wished else None
    return plans.whole(reached.mixes, reached.accept, reached.accept_within, lost=lost, more=more, liquid=_green(plan))


def save_html(plan: PlanResult, path: Path) -> None:
    """Write the sheet as a page to print; raises InputError when it cannot be written."""
    write_text(path, sheet_html(plan))


def sheet_html(plan: PlanResult) -> str:
    """The sheet as a page to print, in large type, with a column to tick off."""
    return page_of(sheet_content(plan, title=say("Plan {case}", case=plan.case)))


def sheet_content(plan: PlanResult, *, title: str = "") -> SheetContent:
    """What the sheet says, on one page: the passes as drawings, mixes in brush order, effects, what to mind, boxes."""
    layers, drawings = passes(plan), drawings_of(plan)
    tables = [mixes_table(plan.pots)] if plan.pots else []
    tables += [_pass(strokes, heading(plan, n, len(layers))) for n, strokes in enumerate(layers)]
    if plan.effects:
        tables.append(effects_table(plan.effects))
    tables.append(boxes_for_readings())
    programme = plans.programme(plan.programme) if not _green(plan) else plans.CLOCK
    weights = [plans.by_weight(plan.forms, liquid=_green(plan))] if plan.pots else []
    signed = [apprentice.line_to_sign(plan.apprentice)] if plan.apprentice else []
    mind = [*signed, *plan.warnings, *not_painted(plan), *weights, programme, *_cautions(plan)]
    mark = plans.case_mark(plan.mark) if plan.mark else ""
    lead = joined([one for one in (chances(plan), expected(plan), mark) if one], " ")
    title = title or say("Bench sheet {case}", case=plan.case)
    return SheetContent(title, lead, tuple(tables), mind, drawings, small=True)


def drawings_of(plan: PlanResult) -> list[str]:
    """A drawing of each pass."""
    layers, found = passes(plan), []
    for number, strokes in enumerate(layers):
        tissues = {one.zone.tissue for one in strokes}  # gum is drawn where this pass paints any
        zones = [(one.tooth, one.zone, one.tissue) for one in plan.zones if one.tissue in {"tooth", *tissues}]
        marks = {(one.zone.tooth, one.zone.zone): (one.layer.pot, one.layer.coats) for one in strokes}
        found.append(drawn_pass(zones, marks, heading(plan, number, len(layers))))
    return found


def _green(plan: PlanResult) -> bool:
    return plan.stage == "green"


def _pass(strokes: Sequence[Stroke], said: str) -> PrintedTable:
    """One pass, mix by mix."""
    return PrintedTable((say("mix"), ZONES_HEAD, say("done")), pass_rows(strokes), heading=said)


def pass_rows(strokes: Sequence[Stroke]) -> list[tuple[str, ...]]:
    """A pass mix by mix; the last cell is to tick."""
    return [(pot, pass_row(own), "") for pot, own in grouped(strokes)]


def grouped(strokes: Sequence[Stroke]) -> list[tuple[str, list[Stroke]]]:
    """The strokes of a pass mix by mix, so that the brush changes as seldom as can be, teeth before gum."""
    found: dict[tuple[str, str], list[Stroke]] = {}
    for one in strokes:
        found.setdefault((one.zone.tissue, one.layer.pot), []).append(one)
    ordered = sorted(found.items(), key=lambda row: row[0][0] != "tooth")
    return [(pot, own) for (_, pot), own in ordered]


def pass_row(strokes: Sequence[Stroke]) -> str:
    """Where one mix goes in a pass, zone by zone with its teeth."""
    where: dict[str, list[str]] = {}
    for one in strokes:
        zone = joined([zone_name(one.zone.zone), mixes.mark("", one.layer.coats)], " ")
        where.setdefault(zone, []).append(str(one.zone.tooth))
    return joined((joined([zone, *teeth], " ") for zone, teeth in where.items()), "; ")


def effects_table(effects: Sequence[str]) -> PrintedTable:
    """The effects that are drawn by eye, with a column to tick off."""
    return PrintedTable((say("effect"), say("done")), [(one, "") for one in effects], heading=say("By eye"))


def boxes_for_readings() -> PrintedTable:
    """Boxes for the readings after the firing, so that anyone can type them later."""
    columns = (say("zone"), "L*", "a*", "b*") * ABREAST
    rows = [("",) * len(columns) for _ in range(BOXES // ABREAST)]
    return PrintedTable(columns, rows, heading=say("Readings after the firing"))


def expected(plan: PlanResult) -> str:
    """How many zones are expected in tolerance, what one more mix brings, what holds the case back, and the minutes."""
    if plan.expected_in_tolerance is None or not plan.zones_counted:
        return ""
    more = plan.one_more.expected if plan.one_more is not None and plan.one_more.expected is not None else 0.0
    back = [(place(one.tooth, one.zone), one.helps) for one in plan.holding_back]
    said = plans.expected(plan.expected_in_tolerance, plan.zones_counted, one_more=more, back=back, liquid=_green(plan))
    return joined([one for one in (said, _effort(plan)) if one], " ")


def _effort(plan: PlanResult) -> str:
    asked, ready = plan.within_reach, plan.at_hand
    if asked is None or asked.minutes is None or _green(plan):
        return ""
    other = (ready.expected, plan.zones_counted) if ready is not None and ready.expected is not None else None
    return plans.effort(asked.fresh or 0, asked.dryings or 0, asked.minutes, zones=plan.zones_counted, at_hand=other)


def _cautions(plan: PlanResult) -> list[str]:
    painted = [zone for zone in plan.zones if zone.layers]
    return safety.of_plan(
        liquid=_green(plan),
        both=len({zone.tissue for zone in painted}) > 1,
        two_coats=any(one.coats > 1 for zone in painted for one in zone.layers),
    )


def mixes_table(pots: Sequence[PlannedPot]) -> PrintedTable:
    """The mixes to prepare first."""
    weighed = any(one.weighed for one in pots)
    zones = say("zones")
    columns = (say("mix"), say("parts"), *((say("weigh"),) if weighed else ()), zones, say("done"))
    rows = [(name, parts, *((grams,) if weighed else ()), count, "") for name, parts, grams, count in pot_rows(pots)]
    return PrintedTable(columns, rows, numbers=(zones,), heading=say("Mix first"))
