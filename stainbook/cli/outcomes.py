"""The command on what was fired: record."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.options import Adapt, Illuminant, InstrumentName, Json, Observer, asked_of, lab_of
from stainbook.cli.show import print_document, print_line, print_table, print_warnings, tenths
from stainbook.words.places import place

if TYPE_CHECKING:
    from stainbook.work.documents.book_schemas import RecordedOutcome, RecordResult

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
    numbers = ("tooth", "L*", "a*", "b*", "from expected ΔE00", "from target ΔE00")
    columns = ("case", "tooth", "zone", *numbers[1:], "")
    print_table(columns, [_row(one) for one in result.outcomes], numbers=numbers)
    for one in result.painted:
        there = one.expected
        colour = f"expected L* {there.L:.1f}, a* {there.a:.1f}, b* {there.b:.1f}" if there else ""
        said = f"{colour}, 9 in 10 within {tenths(one.dE00_p90 or 0.0)}" if there else "nothing can be expected"
        print_line(f"{one.case} {place(one.tooth, one.zone)}: painted, not read; {said}")
    for held in result.outcomes:
        if held.held:
            print_line(f"{held.why}: {held.next_step}")
    for line in [one.sentence for one in result.learnt] + [one.sentence for one in result.scatter]:
        print_line(line)


def _row(one: RecordedOutcome) -> tuple[str, ...]:
    return (
        one.case or "",
        str(one.tooth or ""),
        one.zone,
        *map(tenths, (one.got.L, one.got.a, one.got.b)),
        "" if one.dE00 is None else tenths(one.dE00),
        "" if one.to_target is None else tenths(one.to_target),
        "held back" if one.held else "",
    )
