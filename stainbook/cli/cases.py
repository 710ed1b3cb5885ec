"""The command on cases: advise."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.confirm import decided_line
from stainbook.cli.options import (
    Adapt,
    Illuminant,
    Json,
    Lots,
    Observer,
    Operator,
    Thresholds,
    asked_of,
    lab_of,
    lots_of,
    place_of,
)
from stainbook.cli.show import percent, print_document, print_line, print_table, print_warnings, tenths
from stainbook.language import joined, say
from stainbook.words.chances import chance
from stainbook.words.grounds import place_of as place_in_words
from stainbook.words.grounds import rests_on
from stainbook.words.places import place, zone_name
from stainbook.words.sentences import step
from stainbook.words.states import BY_EYE, TOLERANCE, VERDICTS

if TYPE_CHECKING:
    from stainbook.work.documents.schemas import AdvisedCase, AdvisedZone, AdviseResult, Move

Cases = Annotated[list[str], typer.Argument(help="Case files, or codes of cases.", show_default=False)]
Bodies = Annotated[
    bool, typer.Option("--bodies", help="Rank the blanks too: which one to start from, before anything is milled.")
]
BodiesFile = Annotated[
    Path | None,
    typer.Option(help="The blanks to rank, as bodies.csv; by default those of the book.", show_default=False),
]
Stains = Annotated[
    Path | None, typer.Option(help="The lab's stains; by default those of the book.", show_default=False)
]
Guide = Annotated[
    Path | None,
    typer.Option(help="The lab's guide; by default guide.csv beside the case, or the book's.", show_default=False),
]
Readings = Annotated[
    list[Path] | None,
    typer.Option(help="More readings, of guide tabs and blanks; may be repeated.", show_default=False),
]


def advise(
    context: typer.Context,
    cases: Cases,
    bodies: Bodies = False,
    bodies_file: BodiesFile = None,
    operator: Operator = None,
    lot: Lots = None,
    stains: Stains = None,
    guide: Guide = None,
    readings: Readings = None,
    thresholds: Thresholds = None,
    illuminant: Illuminant = None,
    observer: Observer = None,
    adapt: Adapt = False,
    json: Json = False,
) -> None:
    """Where each zone is, how far from its target, and the next steps in order, with their chances."""
    from stainbook.faces.case_types import AdviceAsked

    wish = AdviceAsked(
        asked=asked_of(context, illuminant, observer, adapt),
        operator=operator,
        lots=lots_of(lot),
        threshold_names=thresholds or (),
        stains=stains,
        guide=guide,
        readings=readings or (),
        bodies=bodies_file or bodies,
    )
    result = lab_of(context).advised(cases, wish)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show(result)


def _show(result: AdviseResult) -> None:
    from stainbook.faces import plan_words

    for case in result.cases:
        held = any(move.accept is None for zone in case.zones for move in zone.moves)
        whole = say("not known") if case.accept is None and not held else chance(case.accept)
        print_line(say("{case}: all in tolerance after the next firing: {chance}", case=case.case, chance=whole))
        tooth, then, gap = say("tooth"), say("then ΔE00"), ("ΔE00", "ΔL′", "ΔC′", "ΔH′")
        last = (say("tolerance"), say("verdict"), say("next step"), then, say("chance"))
        rows = [_zone_row(zone) for zone in case.zones]
        print_table((tooth, say("zone"), *gap, *last), rows, numbers=(tooth, *gap, then))
        for zone in case.zones:
            _show_moves(zone)
        lights = {(zone.tooth, zone.zone): zone.moves[0].lights for zone in case.zones if zone.moves}
        if rows := plan_words.light_rows(lights):
            print_table(plan_words.LIGHT_HEADS, rows, numbers=plan_words.LIGHT_NUMBERS)
        _show_blanks(case)


def _zone_row(zone: AdvisedZone) -> tuple[str, ...]:
    gap = map(tenths, (zone.gap.dE00, zone.gap.dL, zone.gap.dC, zone.gap.dH)) if zone.gap else ("",) * 4
    first = zone.moves[0] if zone.moves else None
    said = (_step(first), tenths(first.dE00), chance(first.accept)) if first else ("", "", "")
    tolerance = TOLERANCE[zone.gap.grade] if zone.gap and zone.counted else BY_EYE.word if zone.gap else ""
    return (str(zone.tooth), zone_name(zone.zone), *gap, tolerance, VERDICTS[zone.verdict], *said)


def _step(move: Move) -> str:
    return step(move.kind, move.layers, liquid=any(one.liquid for one in move.layers))


def _show_moves(zone: AdvisedZone) -> None:
    where = place(zone.tooth, zone.zone)
    if zone.standing is not None and zone.standing.from_ not in ("read", "unknown"):
        print_line(joined([where, rests_on(zone.standing)], ": "))
    if zone.why:
        print_line(joined([where, zone.why], ": "))
    if not zone.moves:
        return
    print_line(joined([where, ":"], ""))
    for move in zone.moves:
        said = say(
            "ΔE00 {apart} ({low} to {high}), in tolerance {chance}: {why}",
            apart=tenths(move.dE00),
            low=tenths(move.dE00_p05),
            high=tenths(move.dE00_p95),
            chance=chance(move.accept),
            why=move.why,
        )
        print_line(joined([f"  {move.rank}.", said], " "))


def _show_blanks(case: AdvisedCase) -> None:
    if case.remake is not None:
        said = say(
            "{case}: remade on the blank {blank}, all in tolerance {chance}",
            case=case.case,
            blank=case.remake.body,
            chance=chance(case.remake.accept),
        )
        print_line(said)
    if not case.blanks:
        return
    print_table(
        (
            say("blank"),
            say("all in tolerance"),
            say("within the firings that remain"),
            "ΔE00",
            say("stain cannot reach"),
        ),
        [
            (
                blank.body,
                chance(blank.accept),
                chance(blank.accept_within),
                "" if blank.dE00 is None else tenths(blank.dE00),
                joined(map(place_in_words, blank.out_of_reach)),
            )
            for blank in case.blanks
        ],
        numbers=("ΔE00",),
    )


Case = Annotated[str, typer.Argument(help="Case file, or code of a case.", show_default=False)]
Zone = Annotated[str, typer.Argument(help="Tooth and zone, as in '11 cervical'.", show_default=False)]


def explain(
    context: typer.Context,
    case: Case,
    zone: Zone,
    operator: Operator = None,
    lot: Lots = None,
    json: Json = False,
) -> None:
    """Why a zone's chance is what it is: its doubt by causes, and what outcomes taught of hand and jars."""
    from stainbook.faces.case_types import AdviceAsked

    wish = AdviceAsked(operator=operator, lots=lots_of(lot))
    result = lab_of(context).case(case).explain(place_of(zone), wish)
    if json:
        print_document(result)
        return
    print_warnings(result.warnings)
    if result.step:
        print_line(joined([place(result.tooth, result.zone), result.step], ": "))
    for held in result.held:
        print_line(joined([held.why, held.next_step], ": "))
    for one in result.decided:
        print_line(decided_line(one))
    if result.sigma is None:
        print_line(say("not read yet, or no target: nothing to explain"))
        return
    print_line(say("The colour may end {apart} ΔE00 off (one standard deviation):", apart=tenths(result.sigma)))
    rows = [(percent(one.share), tenths(one.sigma), one.cause) for one in result.causes]
    numbers = (say("share"), say("alone ΔE00"))
    print_table((*numbers, say("cause")), rows, numbers=numbers)
    for line in result.learnt:
        print_line(line)
