"""The bench sheet of the chosen steps: mixes to prepare first, then each pass over the piece, then what to mind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stainbook.book import Book
from stainbook.errors import InputError
from stainbook.language import joined, say
from stainbook.records import Pot
from stainbook.words import sentences
from stainbook.words.grounds import eye_decides
from stainbook.words.places import place
from stainbook.work.case.case_desk import CaseDesk, Key
from stainbook.work.case.case_plan import effect_words, forms_of, mix_shown, named
from stainbook.work.case.chosen import DoneNext
from stainbook.work.case.current_case import What
from stainbook.work.documents.plan_schemas import Palette, PlannedLayer, PlannedZone, PlanResult
from stainbook.work.documents.printed import body, page_of
from stainbook.work.documents.schemas import AdvisedZone, Move
from stainbook.work.sheets.bench import bench, bench_content
from stainbook.work.sheets.plan_sheet import sheet_content
from stainbook.work.stains.mix_weights import too_coarse, weigh


@dataclass(frozen=True, slots=True)
class MixAmount:
    """How much of each mix is made, and the step of the scale, both in grams."""

    grams: float
    step: float


def batch_of(grams: str, step: str) -> MixAmount | None:
    """A batch as it was typed, decimal comma or point; None where no grams were. Raises InputError for no number."""
    return MixAmount(_number(grams), _number(step)) if grams.strip() else None


def _number(text: str) -> float:
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        raise InputError(
            say("found {typed}, expected grams such as 2 or 0,5", typed=text.strip() or say("nothing"))
        ) from None


def bench_sheet(
    book: Book, what: What, desk: CaseDesk, done: DoneNext, batch: MixAmount | None = None
) -> tuple[str, str]:
    """The sheet as it stands on a page, and as a page of its own to print.

    Before a stain was calibrated it tells each zone's gap alone.

    Raises InputError for a batch that cannot be weighed, BookError for a book that cannot be opened.
    """
    found = sheet_of(desk, done, batch)
    content = bench_content(bench(book, what)) if found is None else sheet_content(found)
    return body(content), page_of(content)


def plan_sheet(plan: PlanResult) -> tuple[str, str]:
    """The sheet of a plan whose layers are chosen: as it stands on a page, and to print."""
    content = sheet_content(plan)
    return body(content), page_of(content)


def weighed_plan(plan: PlanResult, batch: MixAmount | None) -> PlanResult:
    """A plan with what goes into each mix on the scale; raises InputError for what cannot be weighed."""
    if batch is None:
        return plan
    pots = [one.model_copy(update={"weighed": weigh(one.pot, batch.grams, batch.step)}) for one in plan.pots]
    return plan.model_copy(update={"pots": pots, "warnings": [*plan.warnings, *too_coarse(pots, batch.step)]})


def sheet_of(desk: CaseDesk, done: DoneNext, batch: MixAmount | None = None) -> PlanResult | None:
    """What is to be done on all zones, each mix by its own name or a letter; None where nothing is to be done."""
    if not done.moves:
        return None
    case, moves, reached = desk.view.case, done.moves, done.reached
    used = Counter(pot for move in moves.values() for pot in dict.fromkeys(_pots(move)))
    pots = sorted(used, key=lambda pot: (-used[pot], pot.shares))
    stock = desk.detail.prepared.bench.stock if desk.detail is not None else {}
    ids = named({pot: _tissue(pot, desk, moves) for pot in pots}, stock)
    liquid = case.stage == "green"
    grams, step = (batch.grams, batch.step) if batch else (None, 0.0)
    made = [mix_shown(pot, ids[pot], used[pot], stock, liquid=liquid, grams=grams, scale_step=step) for pot in pots]
    zones = [
        _zone(zone, moves[key], ids) for zone in desk.view.advised.zones if (key := (zone.tooth, zone.zone)) in moves
    ]
    by_eye = [(zone.tooth, zone.zone) for zone in zones if not zone.counted]
    return PlanResult(
        case=case.case,
        pots=made,
        accept=done.chance[0] if done.chance else None,
        zones=zones,
        within_reach=Palette(mixes=len(pots), accept=reached[0], accept_within=reached[1]) if reached else None,
        effects=[effect_words(one) for one in case.effects],
        programme=case.programme,
        stage=case.stage,
        forms=forms_of(pots, desk.detail.prepared.lab.stains) if desk.detail else [],
        apprentice=desk.detail.prepared.apprentice if desk.detail else None,
        warnings=[
            *too_coarse(made, step),
            *(desk.detail.prepared.jars if desk.detail else ()),
            *_first(moves),
            *done.moved,
            *([eye_decides(by_eye)] if by_eye else []),
        ],
    )


def _pots(move: Move) -> Iterator[Pot]:
    for layer in move.layers if move.kind != "remake" else ():
        yield Pot.of(layer.pot)


def _tissue(pot: Pot, desk: CaseDesk, moves: Mapping[Key, Move]) -> str:
    """The tissue of most zones that a mix goes on."""
    zones = {(zone.tooth, zone.zone): zone.tissue for zone in desk.view.advised.zones}
    return Counter(zones[key] for key, move in moves.items() if pot in _pots(move)).most_common(1)[0][0]


def _zone(zone: AdvisedZone, move: Move, ids: Mapping[Pot, str]) -> PlannedZone:
    layers = [] if move.kind == "remake" else move.layers
    return PlannedZone(
        tooth=zone.tooth,
        zone=zone.zone,
        tissue=zone.tissue,
        layers=[PlannedLayer(pot=ids[Pot.of(one.pot)], coats=one.coats) for one in layers],
        verdict="out of reach" if zone.verdict == "out of reach" else "stain" if layers else "leave",
        colour=move.colour,
        dE00=move.dE00,
        dE00_p05=move.dE00_p05,
        dE00_p95=move.dE00_p95,
        accept=move.accept,
        accept_within=move.accept_within,
        why=zone.why if zone.why and zone.verdict == "out of reach" and not layers else move.why,
        painted=layers,
        radius=move.radius,
        counted=zone.counted,
    )


def _first(moves: Mapping[Key, Move]) -> Iterator[str]:
    """What comes before any stain."""
    stripped = [place(tooth, zone) for (tooth, zone), move in moves.items() if move.kind == "strip and restain"]
    if stripped:
        yield say("Strip to the bare piece first: {zones}.", zones=joined(stripped))
    remade = {key: move.body for key, move in moves.items() if move.kind == "remake"}
    if remade:
        some = len(remade) < len(moves)
        yield sentences.remade_on(remade.values(), (place(*key) for key in remade) if some else ())
