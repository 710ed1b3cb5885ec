"""How a case stands before it leaves and what happened to it so far, for a page."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from stainbook.book import Book
from stainbook.book.events import Event, ZoneFired
from stainbook.kept import Firing
from stainbook.language import joined, say, say_n
from stainbook.stage_words import ACCEPTED, RETURNED, STEPS, firing_name
from stainbook.words.places import place
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
    story = tuple(_story(one for one in book.events(state.case.case) if one.what in STEPS))
    last = story[-1] if story else None
    undoable = last.what if last is not None and any(last.what.startswith(word) for word in _TOLD) else None
    return DeliveryView(state, story, undoable)


def _story(events: Iterable[Event]) -> Iterator[HistoryEntry]:
    """Events in words; wishes and readings of one hand that follow each other are one line, as the last was told."""
    for (what, _), some in groupby(events, key=lambda one: (one.what, one.author)):
        told = list(some)
        if what == "read":
            zones = len({one.told.sample for one in told})
            yield replace(told_event(told[-1]), what=say_n("read: {n} zone", "read: {n} zones", zones))
        elif what == "prescribed":
            yield told_event(told[-1])
        else:
            yield from map(told_event, told)


def received_of(book: Book, case: str) -> Iterator[HistoryEntry]:
    """How a case was received, the first first: accepted, bonded, delivered, returned."""
    return (told_event(one) for one in book.events(case) if one.what in _TOLD)


def told_event(event: Event) -> HistoryEntry:
    """An event in words."""
    who = getattr(event.told, "operator", None) or event.author
    return HistoryEntry(event.at or event.told_at, _words(event), who, event.id)


def _words(event: Event) -> str:
    told = event.told
    if isinstance(told, Firing):
        minutes = say("{minutes:g} minutes", minutes=told.minutes) if told.minutes else None
        checked = say("checked by {who}", who=told.checked_by) if told.checked_by else None
        facts = (told.programme, told.furnace, minutes, checked)
        fired = joined([_fired(event.kind), *(one for one in facts if one)])
        return joined([fired, *_painted(event.zones)], "; ")
    if event.what == "accepted":
        return say("accepted by {by}", by=ACCEPTED.get(told.by, told.by))
    if event.what == "returned":
        return say("returned: {reason}", reason=RETURNED.get(told.why, told.why))
    step = STEPS[event.what]
    if event.keys:
        step = say("{step} ({zones})", step=step, zones=joined(place(*key) for key in event.keys))
    why = getattr(told, "why", None)
    return joined([step, why], ": ") if why else step


def _fired(kind: str | None) -> str:
    if kind in ("sinter", "liquids"):
        return STEPS["sintered"]
    return say("fired ({kind})", kind=firing_name(kind)) if kind else STEPS["fired"]


def _painted(zones: Sequence[ZoneFired]) -> Iterator[str]:
    """The zones that were painted for a firing, those that were read after it apart from those that were not."""
    read = [place(one.tooth, one.zone) for one in zones if one.layers and one.after is not None]
    unread = [place(one.tooth, one.zone) for one in zones if one.layers and one.after is None]
    if read:
        yield say("painted and read: {zones}", zones=listed(read))
    if unread:
        yield say("painted and not read: {zones}", zones=listed(unread))
