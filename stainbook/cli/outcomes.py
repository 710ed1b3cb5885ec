"""The command on what was fired: record."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.options import Adapt, Illuminant, InstrumentName, Json, Observer, asked_of, lab_of
from stainbook.cli.show import print_document, print_line, print_table, print_warnings, tenths
from stainbook.language import joined, say
from stainbook.words.places import place, zone_name

if TYPE_CHECKING:
    from stainbook.work.documents.book_schemas import PaintedUnread, RecordedOutcome, RecordResult

Outcomes = Annotated[list[Path], typer.Argument(help="Outcome files.", show_default=False)]
Because = Annotated[
    str | None,
    typer.Option(help="Why outcomes that the book holds otherwise are corrected.", show_default=False),
]


def record(
    context: typer.Context,
    outcomes: Outcomes,
    because: Because = None,
    instrument: InstrumentName = None,
    illuminant: Illuminant = None,
    observer: Observer = None,
    adapt: Adapt = False,
    json: Json = False,
) -> None:
    """Store what was fired and what came out, and learn from it."""
    asked = asked_of(context, illuminant, observer, adapt, instrument)
    result = lab_of(context).recorded(outcomes, asked, because=because)
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
