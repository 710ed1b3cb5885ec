"""In what a thing of another book differs from the book's own of that name, and what came approved from elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from stainbook.book import Book, Entered
from stainbook.book.access import KINDS
from stainbook.errors import some_of
from stainbook.kept import LabRecipe
from stainbook.language import say
from stainbook.work.case.current_case import known_case
from stainbook.work.case.open_case import as_opened
from stainbook.work.documents.book_schemas import ImportItem
from stainbook.work.lab.folder import ExchangeContent
from stainbook.work.lab.recipe_life import points_of
from stainbook.work.lab.things import changed, plain

APPROVED_ELSEWHERE = say("approved in another lab, nobody here has approved it yet")
_NAMED = 4  # points that are named


def with_differences(book: Book, content: ExchangeContent, items: Iterable[ImportItem]) -> list[ImportItem]:
    """The things with what differs in those of which the book has another one."""
    there = _records(content)
    return [
        one.model_copy(update={"in_what": _in_what(book, one, there.get((one.kind, one.name)))})
        if one.status == "differs"
        else one
        for one in items
    ]


def as_arrived(revisions: Sequence[LabRecipe]) -> tuple[LabRecipe, ...]:
    """A recipe as another lab hands it on: who approved it there decides nothing here, so it counts as tried."""
    last = revisions[-1]
    if last.state != "approved":
        return tuple(revisions)
    return (*revisions, replace(last, state="tried", why=APPROVED_ELSEWHERE, based_on=len(revisions)))


def arrived_as(own: LabRecipe, there: LabRecipe) -> bool:
    """Whether the book has a recipe as it arrived, so that the same exchange brings nothing."""
    if own.why != APPROVED_ELSEWHERE:
        return False
    return replace(own, state=there.state, why=there.why, based_on=there.based_on) == there


def _records(content: ExchangeContent) -> dict[tuple[str, str], Any]:
    found: dict[tuple[str, str], Any] = {("recipe", one[-1].recipe): one[-1] for one in content.recipes}
    for name in ("stains", "bodies", "chips", "guide", "operators", "programmes", "instruments", "jars", "cases"):
        found |= _named(getattr(content, name))
    return found | _named(content.firings) | _named(content.outcomes) | _named(content.decisions)


def _named(records: Iterable[Any]) -> dict[tuple[str, str], Any]:
    return {(kind.kind, getattr(one, kind.name)): one for one in records for kind in [KINDS[type(one)]]}


def _in_what(book: Book, item: ImportItem, there: Any) -> str | None:
    """The points in which two records differ, in words; None where nothing more can be said."""
    own = _own(book, item)
    if own is None or there is None:
        return None
    if isinstance(there, LabRecipe):
        one, other = dict(points_of(own)), dict(points_of(replace(own, record=there)))
        points = [
            say("{point} (here {own}, there {other})", point=name, own=one[name] or "–", other=other[name] or "–")
            for name in one
            if one[name] != other[name]
        ]
    else:
        here = as_opened(known_case(book, item.name)) if item.kind == "case" else own.record
        places = [one.where.split(".")[0].split(" ")[0] for one in changed(_bare(here), _bare(there))]
        points = list(dict.fromkeys(places))
    if not points:
        return None
    return some_of(points, most=_NAMED)


def _bare(record: Any) -> Any:
    return plain(replace(record, source="") if hasattr(record, "source") else record)


def _own(book: Book, item: ImportItem) -> Entered | None:
    entered = book.entered(item.kind, item.name)
    return entered[-1] if entered else None
