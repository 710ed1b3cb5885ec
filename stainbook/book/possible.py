"""Which event may follow a state, and whether one can be told late or taken back: each a line, or None where it may.

The line names what the piece is and what was expected.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stainbook.book.case_state import CaseState
from stainbook.book.events import Event, in_order
from stainbook.book.fold import BARE, FIRED, NEVER_FIRED, fold, kind_of
from stainbook.records import Case


def refusal(state: CaseState, event: Event, *, liquids: Iterable[str] = ()) -> str | None:
    """Give why an event cannot follow a state: what the piece is, and what was expected; None where it can.

    liquids : names of the stains that soak in

    >>> refusal(fold(book.events("W-7")), Event("dried", "2026-03-01T10:00:00Z"))
    'W-7 is sintered, expected an unsintered or a returned piece to be dried'
    """
    check = _REFUSALS.get(event.what)
    is_ = f"{state.case} is {stage_words(state)}"
    if state.out and event.what in _IN_THE_LAB:
        return f"{is_} and at the clinic for a try-in, expected that it came back before it is {_said(event.what)}"
    if event.what == "fired":
        return _no_firing(state, event, frozenset(liquids), is_)
    if check is None:
        return None
    allowed, expected = check
    if event.what == "back":
        return None if state.out else f"{is_}, expected {expected} to come back"
    if state.stage is None and event.what not in ("delivered", "returned"):
        return None
    if event.what == "coloured" and state.stage == "green" and state.dried:
        return f"{is_} and dried for sintering, expected liquids before that; sinter it"
    return None if state.stage in allowed else f"{is_}, expected {expected} to be {event.what}"


_IN_THE_LAB = frozenset({"fired", "painted", "ground", "polished", "blasted", "cleaned", "stripped", "try-in"})
_ON = frozenset({"sintered", "blasted", "stained", "glazed", "returned"})
_REFUSALS: dict[str, tuple[frozenset[str], str]] = {
    "coloured": (frozenset({"green"}), "an unsintered piece"),
    "dried": (frozenset({"green", "returned"}), "an unsintered or a returned piece"),
    "sintered": (frozenset({"green"}), "an unsintered piece"),
    "milled": (frozenset({"green"}), "an unsintered piece"),
    "ground": (_ON | {"trial"}, "a sintered piece that is not delivered"),
    "polished": (_ON | {"trial"}, "a sintered piece that is not delivered"),
    "blasted": (_ON, "a sintered piece that is not delivered"),
    "cleaned": (_ON | {"trial"}, "a sintered piece that is not delivered"),
    "stripped": (frozenset({"stained", "glazed", "returned"}), "a stained or glazed piece"),
    "painted": (_ON | {"trial"}, "a sintered piece that is not delivered"),
    "read": (_ON | {"trial", "bonded", "delivered"}, "a sintered piece"),
    "try-in": (_ON | {"trial"}, "a sintered piece that is not delivered"),
    "back": (_ON | {"trial"}, "a piece at the clinic"),
    "accepted": (_ON | {"trial", "bonded", "delivered"}, "a sintered piece"),
    "bonded": (FIRED | BARE | {"trial"}, "a finished piece"),
    "delivered": (_ON | {"trial", "bonded"}, "a sintered piece"),
    "returned": (frozenset({"bonded", "delivered", "returned"}), "one that was delivered"),
}


def _no_firing(state: CaseState, event: Event, liquids: frozenset[str], is_: str) -> str | None:
    used = {name for zone in event.zones for layer in zone.layers for name in layer.pot.stains}
    soaking, kind = sorted(used & liquids), kind_of(state, event)
    if kind == "sinter":
        if state.stage not in ("green", None):
            return f"{is_}, expected an unsintered piece for a sintering"
        if used - liquids:
            return f"{sorted(used - liquids)[0]} is no liquid that soaks in, expected surface stain after sintering"
        return None
    if soaking and state.stage is not None:
        rest = "" if state.stage == "green" else ", expected stain that goes on its surface"
        mixed = "; liquids are sintered, surface stain is fired afterwards: two firings" if not rest else ""
        return f"{soaking[0]} is a liquid that soaks into an unsintered piece, and {is_}{rest}{mixed}"
    if kind == "resin":
        return None if state.stage in ("trial", None) else f"{is_}, expected a trial piece for resin stain"
    if state.stage == "green":
        return f"{is_}, expected a sintered piece for a {kind} firing; record its sintering first"
    if state.stage in NEVER_FIRED:
        return f"{is_}, expected a piece that may be fired; a {state.stage} piece is never fired"
    return None


def _said(what: str) -> str:
    return "sent there" if what == "try-in" else what


def stage_words(state: CaseState) -> str:
    """Give the stage as screens have it: unsintered, coloured, dried …

    >>> stage_words(fold(book.events("W-7")))
    'sintered'
    """
    if state.stage == "green":
        words = "coloured, unsintered" if state.coloured else "unsintered"
        return f"{words} and dried" if state.dried else words
    return state.stage or "at no stage yet"


def cannot_stand(events: Sequence[Event], new: Event, *, liquids: Iterable[str] = ()) -> str | None:
    """Give why a new event cannot be taken: the state at its moment, or a later event that it would make impossible.

    None where it can be taken.

    >>> cannot_stand(book.events("W-7"), Event("dried", "2099-01-01T10:00:00Z"))
    'W-7 is sintered, expected an unsintered or a returned piece to be dried'
    """
    known = frozenset(liquids)
    facts = in_order([*events, new])
    place = next(i for i, one in enumerate(facts) if one is new)
    why = refusal(fold(facts[:place]), new, liquids=known) if _opens(facts[:place]) else None
    if why is not None:
        return why
    for i in range(place + 1, len(facts)):
        later = facts[i]
        if later.what in ("read", "prescribed", "chosen", "opened", "stated"):
            continue
        without = [one for one in facts[:i] if one is not new]
        was = refusal(fold(without), later, liquids=known) if _opens(without) else None
        now = refusal(fold(facts[:i]), later, liquids=known)
        if now is not None and was is None:
            return f"then what was told later could not have been: {later.what} at {later.at[:16]} ({now})"
    return None


def cannot_go(events: Sequence[Event], gone: Iterable[str], *, liquids: Iterable[str] = ()) -> str | None:
    """Give why events cannot be taken back: a later one that would be impossible without them; None where they can.

    gone : ids of the events

    >>> events = book.events("W-7")
    >>> cannot_go(events, [events[-1].id]) is None
    True
    """
    known, names = frozenset(liquids), set(gone)
    facts = in_order(events)
    left = [one for one in facts if one.id not in names]
    for i, later in enumerate(left):
        if later.what in ("read", "prescribed", "chosen", "opened", "stated") or not _opens(left[:i]):
            continue
        now = refusal(fold(left[:i]), later, liquids=known)
        before = facts[: facts.index(later)]
        if now is not None and refusal(fold(before), later, liquids=known) is None:
            return f"then what came later could not have been: {later.what} at {later.at[:16]} ({now})"
    return None


def _opens(events: Sequence[Event]) -> bool:
    return any(isinstance(one.told, Case) for one in events)
