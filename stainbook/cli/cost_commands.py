"""The command that tells what cases took, and what that costs."""

from __future__ import annotations

from typing import Annotated

import typer

from stainbook.cli.options import Json, lab_of
from stainbook.cli.show import print_document, print_line, print_table
from stainbook.language import say
from stainbook.words import money_words

CostsSince = Annotated[
    str | None, typer.Option("--since", metavar="DAY", help="Before and since this day.", show_default=False)
]


def costs(context: typer.Context, since: CostsSince = None, json: Json = False) -> None:
    """What a case took before and since a day: firings, strips, try-ins, remakes, and what that costs."""
    result = lab_of(context).numbers.costs(since)
    if json:
        print_document(result)
        return
    columns = (
        say("cases"), say("firings"), say("strips"), say("try-ins"), say("remakes"), say("minutes"), say("cost"),
    )  # fmt: skip
    rows = [(money_words.PERIODS[row.period], *money_words.figures(row, result.currency)) for row in result.rows]
    print_table((say("first fired"), *columns), rows, numbers=columns)
    for note in result.notes:
        print_line(note)
