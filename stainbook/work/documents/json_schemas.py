"""JSON schemas of what the commands print."""

from __future__ import annotations

import json

from stainbook.errors import UnknownNameError
from stainbook.language import say
from stainbook.work.documents.schemas import COMMANDS


def schema_of(command: str) -> str:
    """The JSON schema of a command's document, as text; raises UnknownNameError for a command without one."""
    if command not in COMMANDS:
        raise UnknownNameError(say("command with JSON"), command, COMMANDS)
    dialect = {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    return json.dumps(dialect | COMMANDS[command].model_json_schema(), indent=2, ensure_ascii=False)
