"""The command schema: what the JSON of a command looks like."""

from __future__ import annotations

from typing import Annotated

import typer

from stainbook.cli.options import Json
from stainbook.cli.show import print_json

Command = Annotated[
    list[str], typer.Argument(help="convert, compare, advise, record, book list, ...", show_default=False)
]


def schema(command: Command, json: Json = False) -> None:
    """JSON schema of what COMMAND --json prints."""
    from stainbook.work.documents.json_schemas import schema_of

    print_json(schema_of(" ".join(command)))
