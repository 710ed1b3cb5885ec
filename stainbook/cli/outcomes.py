"""The commands on what was fired: record, trust."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.options import Adapt, Illuminant, InstrumentName, Json, Observer, asked_of, lab_of
from stainbook.cli.show import percent, print_document, print_line, print_table, print_warnings, tenths
from stainbook.language import joined, say
from stainbook.words import mixes
from stainbook.words import trust as trust_words
from stainbook.words.places import place, zone_name

if TYPE_CHECKING:
    from stainbook.work.documents.book_schemas import BesideShown, PaintedUnread, RecordedOutcome, RecordResult
    from stainbook.work.documents.trust_schemas import TrustPart, TrustResult, TrustShare

Outcomes = Annotated[list[Path], typer.Argument(help="Outcome files.", show_default=False)]
Because = Annotated[
    str | None,
    typer.Option(help="Why outcomes that the book holds otherwise are corrected.", show_default=False),
]
Shadow = Annotated[
    bool | None,
    typer.Option(
        "--shadow/--no-shadow",
        help="Keep what the program would have done beside what the hand did; by default as Settings says.",
        show_default=False,
    ),
]
Since = Annotated[str | None, typer.Option(metavar="DAY", help="First day, such as 2026-03-01.", show_default=False)]
Until = Annotated[str | None, typer.Option(metavar="DAY", help="Last day.", show_default=False)]


def record(
    context: typer.Context,
    outcomes: Outcomes,
    because: Because = None,
    shadow: Shadow = None,
    instrument: InstrumentName = None,
    illuminant: Illuminant = None,
    observer: Observer = None,
    adapt: Adapt = False,
    json: Json = False,
) -> None:
    """Store what was fired and what came out, and learn from it."""
    asked = asked_of(context, illuminant, observer, adapt, instrument)
    result = lab_of(context).recorded(outcomes, asked, because=because, shadow=shadow)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show(result)


def _show(result: RecordResult) -> None:
    numbers = (say("tooth"), "L*", "a*", "b*", say("from expected ΔE00"), say("from target ΔE00"))
    columns = (say("case"), numbers[0], say("zone"), *numbers[1:], "")
    print_table(columns, [_row(one) for one in result.outcomes], numbers=numbers)
    for one in result.painted:
        print_line(_painted(one))
    for held in result.outcomes:
        if held.held:
            print_line(joined([one for one in (held.why, held.next_step) if one], ": "))
    for outcome in result.outcomes:
        if outcome.beside is not None:
            where = joined([outcome.case or "", place(outcome.tooth or 0, outcome.zone)], " ")
            print_line(joined([where, _beside(outcome.beside)], ": "))
    for line in [one.sentence for one in result.learnt] + [one.sentence for one in result.scatter]:
        print_line(line)


def _painted(one: PaintedUnread) -> str:
    """What was painted and fired, and is not read yet."""
    zone = joined([one.case or "", place(one.tooth, one.zone)], " ")
    there = one.expected
    if there is None:
        return say("{zone}: painted, not read; nothing can be expected", zone=zone)
    return say(
        "{zone}: painted, not read; expected L* {L:.1f}, a* {a:.1f}, b* {b:.1f}, 9 in 10 within {radius}",
        zone=zone,
        L=there.L,
        a=there.a,
        b=there.b,
        radius=tenths(one.dE00_p90 or 0.0),
    )


def _row(one: RecordedOutcome) -> tuple[str, ...]:
    return (
        one.case or "",
        str(one.tooth or ""),
        zone_name(one.zone),
        *map(tenths, (one.got.L, one.got.a, one.got.b)),
        "" if one.dE00 is None else tenths(one.dE00),
        "" if one.to_target is None else tenths(one.to_target),
        say("held back") if one.held else "",
    )


def _beside(one: BesideShown) -> str:
    liquid = any(layer.liquid for layer in one.layers)
    step = mixes.layers(one.layers, liquid=liquid) if one.layers else one.kind
    return trust_words.step_beside(step, one.dE00, one.accept, one.painted_accept)


def trust(context: typer.Context, since: Since = None, until: Until = None, json: Json = False) -> None:
    """What chances were worth: claimed before the firing, and what came out of it."""
    result = lab_of(context).numbers.trust(since, until)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_trust(result)


def _show_trust(result: TrustResult) -> None:
    _show_part(result.chosen)
    if result.shadow is not None:
        _show_part(result.shadow)
    if result.beside is not None:
        print_line(result.beside.said)
    left = trust_words.left_out(result.left_out)
    if left:
        print_line(left)


def _show_part(part: TrustPart) -> None:
    print_line(part.said)
    numbers = (
        say("zones"),
        say("expected"),
        say("came out"),
        say("likely"),
        say("inside radius"),
        say("ΔE00 expected"),
        say("ΔE00 got"),
    )
    rows = [
        (say("claimed {least} to {most}", least=percent(one.least), most=percent(one.most)), *_trust_cells(one))
        for one in part.bins
    ]
    rows += [(joined([_BY[one.by], one.name], " "), *_trust_cells(one)) for one in part.groups]
    if rows:
        print_table(("", *numbers), rows, numbers=numbers)


_BY = {
    "month": say("month"),
    "stain": say("stain"),
    "programme": say("programme"),
    "technician": say("technician"),
}


def _trust_cells(one: TrustShare) -> tuple[str, ...]:
    likely = ""
    if one.met_low is not None and one.met_high is not None:
        likely = say("{low} to {high}", low=percent(one.met_low), high=percent(one.met_high))
    shares = (say("unknown") if share is None else percent(share) for share in (one.claimed, one.met))
    far = ("" if value is None else tenths(value) for value in (one.expected, one.got))
    return str(one.zones), *shares, likely, "" if one.inside is None else percent(one.inside), *far
