"""The commands of the book on how a case is received: accept, deliver, return."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.options import Json, lab_of
from stainbook.cli.show import print_document, print_line, print_warnings
from stainbook.language import joined, say
from stainbook.stage_words import ACCEPTED, RETURNED, stage_name

if TYPE_CHECKING:
    from stainbook.work.documents.book_schemas import HandoverResult

CaseName = Annotated[str, typer.Argument(metavar="CASE", help="Case file, or code of a case.", show_default=False)]
By = Annotated[str, typer.Option("--by", help="lab, clinic or patient.", show_default=False)]
Reason = Annotated[
    str, typer.Option("--for", help="shade, fit, fracture, design or clinic change.", show_default=False)
]
Undo = Annotated[bool, typer.Option("--undo", help="Undo the newest acceptance, delivery or return.")]
AsIs = Annotated[
    str | None,
    typer.Option("--as-is", help="Why it is delivered without the finish that the case names.", show_default=False),
]


def accept(context: typer.Context, case: CaseName, by: By, json: Json = False) -> None:
    """Note who accepted a case."""
    _show(lab_of(context).case(case).accept(by), json)


def deliver(context: typer.Context, case: CaseName, as_is: AsIs = None, undo: Undo = False, json: Json = False) -> None:
    """Note that a case was delivered; refused with unfired stain on it, or out of tolerance and accepted by nobody."""
    piece = lab_of(context).case(case)
    _show(piece.undo_received() if undo else piece.deliver(as_is=as_is), json)


def return_(context: typer.Context, case: CaseName, reason: Reason, json: Json = False) -> None:
    """Note that a case came back, and why."""
    _show(lab_of(context).case(case).take_return(reason), json)


def _show(result: HandoverResult, json: bool) -> None:
    if json:
        print_document(result)
        return
    print_warnings(result.warnings)
    told = [stage_name(result.stage)] if result.stage else []
    if result.accepted_by:
        told.append(say("accepted by {who}", who=ACCEPTED.get(result.accepted_by, result.accepted_by)))
    if result.returned:
        told.append(say("returned for {reason}", reason=RETURNED.get(result.returned, result.returned)))
    print_line(joined([result.case, joined(told)], ": "))
