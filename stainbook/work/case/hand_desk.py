"""How a case stands before it leaves and what happened to it so far, for a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stainbook.book import Book
from stainbook.book.events import Event, ZoneFired
from stainbook.kept import Firing
from stainbook.work.case.current_case import What
from stainbook.work.case.delivery import DeliveryState, listed, standing

_TOLD = frozenset({"accepted", "delivered", "returned", "bonded"})


@dataclass(frozen=True, slots=True)
class HistoryEntry:
    """Something that happened to a case: when, in words, and who noted it; ``id`` names it in the journal."""

    at: str
    what: str
    who: str
    id: str = ""


@dataclass(frozen=True, slots=True)
class DeliveryView:
    """A case about to leave: how it stands, and its story."""

    state: DeliveryState
    story: tuple[HistoryEntry, ...]
    undoable: str | None = None  # the last step, where it was an acceptance, a delivery or a return


def desk_of(book: Book, what: What) -> DeliveryView:
    """How a case stands, by its code or file; raises InputError for a case that cannot be used."""
    state = standing(book, what)
    story = tuple(_told(one) for one in book.events(state.case.case) if one.what in _STORY)
    last = story[-1] if story else None
    undoable = last.what if last is not None and any(last.what.startswith(word) for word in _TOLD) else None
    return DeliveryView(state, story, undoable)


def received_of(book: Book, case: str) -> Iterator[HistoryEntry]:
    """How a case was received, the first first: accepted, bonded, delivered, returned."""
    return (_told(one) for one in book.events(case) if one.what in _TOLD)


def _told(event: Event) -> HistoryEntry:
    who = getattr(event.told, "operator", None) or event.author
    return HistoryEntry(event.at or event.told_at, _words(event), who, event.id)


def _words(event: Event) -> str:
    told = event.told
    if isinstance(told, Firing):
        minutes = f"{told.minutes:g} minutes" if told.minutes else None
        kind = "sintered" if event.kind in ("sinter", "liquids") else f"fired ({event.kind})" if event.kind else "fired"
        fired = ", ".join([kind, *(one for one in (told.programme, told.furnace, minutes) if one)])
        return "; ".join([fired, *_painted(event.zones)])
    if event.what == "accepted":
        return f"accepted by {told.by}"
    if event.what == "returned":
        return f"returned: {told.why}"
    zones = f" ({', '.join(f'{tooth} {zone}' for tooth, zone in event.keys)})" if event.keys else ""
    return f"{_STORY[event.what]}{zones}{f': {told.why}' if getattr(told, 'why', None) else ''}"


def _painted(zones: Sequence[ZoneFired]) -> Iterator[str]:
    """The zones that were painted for a firing, those that were read after it apart from those that were not."""
    for word, was_read in (("read", True), ("not read", False)):
        names = [f"{one.tooth} {one.zone}" for one in zones if one.layers and (one.after is not None) == was_read]
        if names:
            yield f"painted and {word}: {listed(names)}"


_STORY = {
    "fired": "fired",
    "milled": "milled",
    "coloured": "coloured",
    "dried": "dried for sintering",
    "sintered": "sintered",
    "ground": "ground",
    "polished": "polished",
    "blasted": "blasted",
    "cleaned": "cleaned",
    "stripped": "stripped",
    "try-in": "sent to try-in",
    "back": "back from try-in",
    "accepted": "accepted",
    "bonded": "bonded",
    "delivered": "delivered",
    "returned": "returned",
    "stated": "stage set",
    "noted": "noted",
}
