"""The commands that check the program itself and what it runs on: selfcheck, doctor."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stainbook.cli.options import Json, lab_of
from stainbook.cli.show import print_document, print_json, print_line, print_table
from stainbook.language import filled, say

Bundle = Annotated[Path, typer.Option("--out", help="Where the bundle is written.")]
LogFile = Annotated[
    Path | None, typer.Option("--log", help="File of the program's messages; its last lines go in.", show_default=False)
]


def selfcheck(context: typer.Context, json: Json = False) -> None:
    """The program against published values, on this machine; exit status 1 where one is missed."""
    found = lab_of(context).app.selfcheck()
    if json:
        print_document(found)
    else:
        columns = (say("values"), say("largest difference"), say("allowed"))
        rows = [
            (
                one.check,
                str(one.values),
                filled("{largest:.2g}", largest=one.largest),
                filled("{allowed:.2g}", allowed=one.allowed),
                _result(one.ok),
                one.source,
            )
            for one in found.checks
        ]
        print_table((say("check"), *columns, say("result"), say("published by")), rows, numbers=columns)
        said = say(
            "stainbook {version}: all checks hold, {seconds:.1f} s", version=found.version, seconds=found.seconds
        )
        print_line(said if found.ok else say("stainbook {version}: not all checks hold", version=found.version))
    if not found.ok:
        raise typer.Exit(1)


def doctor(
    context: typer.Context, out: Bundle = Path("stainbook-support.zip"), log: LogFile = None, json: Json = False
) -> None:
    """A bundle for support, without codes, names, notes or photos; prints what it holds, then writes it."""
    lines = log.read_text(encoding="utf-8", errors="replace").splitlines() if log is not None else []
    app = lab_of(context).app
    found = app.doctor(log=lines)
    if not json:
        print_line(say("The bundle holds this and nothing else:"))
        print_json(found.model_dump_json(indent=2, exclude={"bundle", "warnings"}))
    found = app.save_doctor(found, out)
    if json:
        print_document(found)
    else:
        print_line(say("Written to {path}.", path=out))


def _result(ok: bool) -> str:
    return say("holds") if ok else say("missed")
