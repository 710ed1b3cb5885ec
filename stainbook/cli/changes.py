"""The commands of the book that change what holds: keep, withdraw, share."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.options import Json, lab_of
from stainbook.cli.show import print_document, print_line
from stainbook.language import say, say_n
from stainbook.stage_words import recipe_state
from stainbook.words.times import moment

if TYPE_CHECKING:
    from stainbook.work.documents.book_schemas import StateResult

Thing = Annotated[str, typer.Argument(metavar="KIND/NAME", help="Such as reading/W-1042-11.", show_default=False)]
OutcomeName = Annotated[str, typer.Argument(help="As `book list outcome` shows it.", show_default=False)]
NewRecipe = Annotated[str, typer.Argument(metavar="RECIPE", help="Name of the new recipe.", show_default=False)]
Because = Annotated[str, typer.Option("--because", help="Why; stored with the change.", show_default=False)]
By = Annotated[
    Path | None,
    typer.Option(metavar="READINGS", help="The sample as it should have been read, in a file.", show_default=False),
]
Stop = Annotated[bool, typer.Option("--stop", help="Show it to the other labs no longer.")]


def withdraw(context: typer.Context, thing: Thing, because: Because, by: By = None, json: Json = False) -> None:
    """Take back a reading, outcome or firing (with its outcomes) that was wrong: it is kept, and counts no longer."""
    result = lab_of(context).shelf.withdraw(thing, why=because, by=by)
    if json:
        print_document(result)
    else:
        thing, when = f"{result.kind} {result.name}", moment(result.created_at)
        if result.outcomes:
            said = say_n(
                "{thing} of {when} is undone, with {n} outcome: {why}",
                "{thing} of {when} is undone, with {n} outcomes: {why}",
                result.outcomes,
                thing=thing,
                when=when,
                why=because,
            )
        else:
            said = say("{thing} of {when} is undone: {why}", thing=thing, when=when, why=because)
        print_line(said)


def keep(context: typer.Context, outcome: OutcomeName, recipe: NewRecipe, json: Json = False) -> None:
    """Keep what was painted in an outcome as a recipe, with what it held on and what was drawn upon it."""
    result = lab_of(context).recipes.keep(outcome, recipe)
    if json:
        print_document(result)
    else:
        print_line(state_line(result))


def share(context: typer.Context, thing: Thing, stop: Stop = False, json: Json = False) -> None:
    """Show a stain, guide tab, recipe or outcome to the other labs of this database."""
    result = lab_of(context).shelf.share(thing, shared=not stop)
    if json:
        print_document(result)
    else:
        thing = f"{result.kind} {result.name}"
        said = (
            say("{thing} is shared", thing=thing)
            if result.shared
            else say("{thing} is the own lab’s alone", thing=thing)
        )
        print_line(said)


def state_line(result: StateResult) -> str:
    """What state a recipe is in now."""
    return say(
        "{recipe} is {state} (revision {revision})",
        recipe=result.recipe,
        state=recipe_state(result.state),
        revision=result.revision,
    )
