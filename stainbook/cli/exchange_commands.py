"""The commands that hand the book on and take another in: book export, book import."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import typer

from stainbook.cli.options import Json, lab_of
from stainbook.cli.show import print_document, print_line, print_table, print_warnings
from stainbook.language import joined, say, say_n

Target = Annotated[
    Path, typer.Argument(help="Folder, or a file that ends in .zip (bundle) or .xlsx (workbook).", show_default=False)
]
History = Annotated[
    bool,
    typer.Option(
        "--history/--no-history", help="With all that was ever stored, by whom and when; without for another lab."
    ),
]
Source = Annotated[Path, typer.Argument(help="Folder, bundle (.zip) or case file.", show_default=False)]
Preview = Annotated[bool, typer.Option("--preview", help="Only say what there is and what would be done.")]
Take = Annotated[
    list[str] | None,
    typer.Option(
        metavar="KIND/NAME", help="Import it although the book's own differs; all imports all.", show_default=False
    ),
]
Skip = Annotated[
    list[str] | None, typer.Option(metavar="KIND/NAME", help="Do not import it; may be repeated.", show_default=False)
]
Rename = Annotated[
    list[str] | None,
    typer.Option(metavar="KIND/NAME=NEW", help="Import it under another name; may be repeated.", show_default=False),
]


def export(context: typer.Context, path: Target, history: History = True, json: Json = False) -> None:
    """Recipes, stains, cases, guides and all else as readable files, a bundle or a workbook."""
    result = lab_of(context).exchange.export(path, history=history)
    if json:
        print_document(result)
        return
    told = [f"{number} {name}" for name, number in result.counts.items()]
    if result.history:
        told.append(say_n("{n} line of history", "{n} lines of history", result.history))
    print_line(joined([result.path, joined(told)], ": "))


def import_(
    context: typer.Context,
    path: Source,
    preview: Preview = False,
    take: Take = None,
    skip: Skip = None,
    rename: Rename = None,
    json: Json = False,
) -> None:
    """Import what another book exported, or a case; what differs from the book's own is skipped without --take."""
    from stainbook.faces.exchange_types import ImportChoices

    choices = ImportChoices(
        take=frozenset(_keys(one for one in take or () if one != "all")),
        skip=frozenset(_keys(skip or ())),
        rename=dict(map(_rename, rename or ())),
        take_all="all" in (take or ()),
    )
    result = lab_of(context).exchange.import_(path, choices, preview=preview)
    if json:
        print_document(result)
        return
    print_warnings(result.warnings)
    if result.history:
        if result.stored:
            said = say_n("{n} line of history came along", "{n} lines of history came along", result.history)
        else:
            said = say_n(
                "{n} line of history would come along", "{n} lines of history would come along", result.history
            )
        print_line(said)
    done = say("done") if result.stored else say("would be done")
    new = Counter(one.kind for one in result.items if (one.status, one.action) == ("new", "take"))
    if new:
        counts = joined(joined([kind, str(number)], " ") for kind, number in new.items())
        print_line(joined([say("imported as new") if result.stored else say("new"), counts], ": "))
    rows = [
        (one.kind, one.name, one.status, one.in_what or "", one.renamed or one.action)
        for one in result.items
        if one.status != "same" and (one.status, one.action) != ("new", "take")
    ]
    if rows or not new:
        print_table((say("kind"), say("name"), say("here"), say("differs in"), done), rows, numbers=())


def _keys(texts: Iterable[str]) -> Iterable[tuple[str, str]]:
    return [_key(text) for text in texts]


def _key(text: str) -> tuple[str, str]:
    kind, slash, name = text.partition("/")
    if not (slash and kind and name):
        raise typer.BadParameter(say("found {text!r}, expected KIND/NAME such as recipe/warm neck", text=text))
    return kind, name


def _rename(text: str) -> tuple[tuple[str, str], str]:
    key, equals, new = text.rpartition("=")
    if not (equals and new.strip()):
        raise typer.BadParameter(
            say("found {text!r}, expected KIND/NAME=NEW such as stain/husk=husk of north", text=text)
        )
    return _key(key), new.strip()
