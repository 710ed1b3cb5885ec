"""What a lead alone may store: recipes approved or retired, who leads and what they see, prices.

It is looked at where rows are appended, so that undoing, importing and revising are no way round.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection

from stainbook.book import journal
from stainbook.book.journal import Entry, Scope

_DECIDED = ("approved", "retired")
_RECIPE, _SETTINGS = "recipe", "settings"
_LED = ("leads", "lead_sees_all", "prices")


def needs_lead(connection: Connection, entries: Iterable[Entry], scope: Scope) -> bool:
    """Whether one of the entries says what a lead alone may say.

    >>> from stainbook.book.access import entry_of
    >>> from stainbook.kept import Settings
    >>> with book._reading() as connection:
    ...     needs_lead(connection, [entry_of(Settings(lead_sees_all=True))], book.scope)
    True
    """
    for entry in entries:
        if entry.kind not in (_RECIPE, _SETTINGS):
            continue
        row = journal.last_revision(connection, entry.kind, scope, name=entry.name)
        before = {} if row is None else json.loads(row.content)
        if _decides(entry.kind, before, json.loads(entry.content)):
            return True
    return False


def _decides(kind: str, before: dict[str, Any], after: dict[str, Any]) -> bool:
    if kind == _SETTINGS:
        return any(before.get(name) != after.get(name) for name in _LED)
    was, becomes = before.get("state"), after.get("state")
    if was == becomes or not {was, becomes} & {*_DECIDED}:
        return False
    # other layers are another recipe, which nobody has approved yet
    return becomes in _DECIDED or before.get("layers") == after.get("layers")
