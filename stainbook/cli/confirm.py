"""The command that decides outcomes which the learning holds back: confirm."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.options import Json, lab_of, place_of
from stainbook.cli.show import print_document, print_line
from stainbook.language import joined, say
from stainbook.words.times import moment

if TYPE_CHECKING:
    from stainbook.work.documents.book_schemas import ConfirmResult, DecisionShown

CaseCode = Annotated[
    str | None, typer.Argument(help="Code of a case; by default what is held back is listed.", show_default=False)
]
Zone = Annotated[str | None, typer.Argument(help="Tooth and zone, as in '11 cervical'.", show_default=False)]
Wrong = Annotated[bool, typer.Option("--wrong", help="It was another sample or mix: never learn from it.")]
Open = Annotated[bool, typer.Option("--open", help="Take back what was decided.")]
Why = Annotated[str | None, typer.Option("--because", help="Why; stored with the decision.", show_default=False)]
FiredAt = Annotated[
    str | None,
    typer.Option(help="Which firing; by default the one held back, else the newest.", show_default=False),
]


def confirm(
    context: typer.Context,
    case: CaseCode = None,
    zone: Zone = None,
    wrong: Wrong = False,
    open_: Open = False,
    because: Why = None,
    fired_at: FiredAt = None,
    json: Json = False,
) -> None:
    """Say that an outcome which is held back was really so, or that it was wrong; without a case, list them."""
    if wrong and open_:
        raise typer.BadParameter(say("give --wrong or --open, not both"))
    if case is not None and zone is None:
        raise typer.BadParameter(say("found a case alone, expected tooth and zone too"), param_hint="ZONE")
    verdict = "wrong" if wrong else "open" if open_ else "true"
    stains = lab_of(context).stains
    if case is None or zone is None:
        result = stains.held_now()
    else:
        result = stains.decide(case, place_of(zone), verdict, why=because, fired_at=fired_at)
    if json:
        print_document(result)
    else:
        _show(result)


def _show(result: ConfirmResult) -> None:
    if result.decided is not None:
        print_line(decided_line(result.decided))
        for line in [one.sentence for one in result.learnt] + [one.sentence for one in result.scatter]:
            print_line(line)
    for held in result.held:
        print_line(joined([held.why, held.next_step], ": "))
    if result.decided is None and not result.held:
        print_line(say("nothing is held back"))


def decided_line(one: DecisionShown) -> str:
    """What somebody said of an outcome."""
    told = {"outcome": one.outcome, "author": one.author, "when": moment(one.created_at)}
    if one.verdict == "true":
        said = say("{outcome} was really so, says {author}, {when}", **told)
    elif one.verdict == "wrong":
        said = say("{outcome} was another sample or mix, says {author}, {when}", **told)
    else:
        said = say("{outcome} is open again, says {author}, {when}", **told)
    return joined([said, one.why], ": ") if one.why else said
