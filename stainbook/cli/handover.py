"""The commands of the book on how a case is received: accept, deliver, return."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.options import Json, session
from stainbook.cli.show import print_document, print_line, print_warnings

if TYPE_CHECKING:
    from stainbook.work.documents.book_schemas import HandoverResult

CaseName = Annotated[str, typer.Argument(metavar="CASE", help="Case file, or code of a case.", show_default=False)]
By = Annotated[str, typer.Option("--by", help="lab, clinic or patient.", show_default=False)]
Reason = Annotated[
    str, typer.Option("--for", help="shade, fit, fracture, design or clinic change.", show_default=False)
]
AsIs = Annotated[
    str | None,
    typer.Option("--as-is", help="Why it leaves without the finish that the case names.", show_default=False),
]


def accept(context: typer.Context, case: CaseName, by: By, json: Json = False) -> None:
    """Note who accepted a case."""
    from stainbook.book import open_book
    from stainbook.work.case.delivery import accept as run

    with open_book(session(context).book) as book:
        result = run(book, case, by)
    _show(result, json)


def deliver(context: typer.Context, case: CaseName, as_is: AsIs = None, json: Json = False) -> None:
    """Note that a case left; refused while stain lies on it unfired, or a zone is beyond and nobody accepted it."""
    from stainbook.book import open_book
    from stainbook.work.case.delivery import deliver as run

    with open_book(session(context).book) as book:
        result = run(book, case, as_is=as_is)
    _show(result, json)


def return_(context: typer.Context, case: CaseName, reason: Reason, json: Json = False) -> None:
    """Note that a case came back, and why."""
    from stainbook.book import open_book
    from stainbook.work.case.delivery import take_return

    with open_book(session(context).book) as book:
        result = take_return(book, case, reason)
    _show(result, json)


def _show(result: HandoverResult, json: bool) -> None:
    if json:
        print_document(result)
        return
    print_warnings(result.warnings)
    said = [
        result.stage,
        result.accepted_by and f"accepted by {result.accepted_by}",
        result.returned and f"returned for {result.returned}",
    ]
    print_line(f"{result.case}: {', '.join(one for one in said if one)}")
