"""Which event may follow a state, and whether one can be told late or taken back: each a line, or None where it may.

The line names what the piece is and what was expected.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stainbook.book.case_state import CaseState
from stainbook.book.event_words import stage_words
from stainbook.book.events import Event, in_order
from stainbook.book.fold import BARE, FIRED, NEVER_FIRED, fold, kind_of
from stainbook.language import say
from stainbook.records import Case
from stainbook.stage_words import firing_name, step_name


def refusal(state: CaseState, event: Event, *, liquids: Iterable[str] = ()) -> str | None:
    """Give why an event cannot follow a state: what the piece is, and what was expected; None where it can.

    liquids : names of the stains that soak in

    >>> refusal(fold(book.events("W-7")), Event("dried", "2026-03-01T10:00:00Z"))
    'W-7 is sintered, expected an unsintered or a returned piece to be dried'
    """
    check = _REFUSALS.get(event.what)
    piece = say("{case} is {stage}", case=state.case, stage=stage_words(state))
    if state.out and event.what in _IN_THE_LAB:
        if event.what == "try-in":
            return say(
                "{piece} and at the clinic for a try-in, expected that it came back before it is sent there",
                piece=piece,
            )
        return say(
            "{piece} and at the clinic for a try-in, expected that it came back before it is {step}",
            piece=piece,
            step=step_name(event.what),
        )
    if event.what == "fired":
        return _no_firing(state, event, frozenset(liquids), piece)
    if check is None:
        return None
    allowed, expected = check
    if event.what == "back":
        return None if state.out else say("{piece}, expected {expected}", piece=piece, expected=expected)
    if state.stage is None and event.what not in ("delivered", "returned"):
        return None
    if event.what == "coloured" and state.stage == "green" and state.dried:
        return say("{piece} and dried for sintering, expected liquids before that; sinter it", piece=piece)
    return None if state.stage in allowed else say("{piece}, expected {expected}", piece=piece, expected=expected)


_IN_THE_LAB = frozenset({"fired", "painted", "ground", "polished", "blasted", "cleaned", "stripped", "try-in"})
_ON = frozenset({"sintered", "blasted", "stained", "glazed", "returned"})
_REFUSALS: dict[str, tuple[frozenset[str], str]] = {
    "coloured": (frozenset({"green"}), say("an unsintered piece to be coloured")),
    "dried": (frozenset({"green", "returned"}), say("an unsintered or a returned piece to be dried")),
    "sintered": (frozenset({"green"}), say("an unsintered piece to be sintered")),
    "milled": (frozenset({"green"}), say("an unsintered piece to be milled")),
    "ground": (_ON | {"trial"}, say("a sintered piece that is not delivered to be ground")),
    "polished": (_ON | {"trial"}, say("a sintered piece that is not delivered to be polished")),
    "blasted": (_ON, say("a sintered piece that is not delivered to be blasted")),
    "cleaned": (_ON | {"trial"}, say("a sintered piece that is not delivered to be cleaned")),
    "stripped": (frozenset({"stained", "glazed", "returned"}), say("a stained or glazed piece to be stripped")),
    "painted": (_ON | {"trial"}, say("a sintered piece that is not delivered to be painted")),
    "read": (_ON | {"trial", "bonded", "delivered"}, say("a sintered piece to be read")),
    "try-in": (_ON | {"trial"}, say("a sintered piece that is not delivered for a try-in")),
    "back": (_ON | {"trial"}, say("a piece at the clinic to come back")),
    "accepted": (_ON | {"trial", "bonded", "delivered"}, say("a sintered piece to be accepted")),
    "bonded": (FIRED | BARE | {"trial"}, say("a finished piece to be bonded")),
    "delivered": (_ON | {"trial", "bonded"}, say("a sintered piece to be delivered")),
    "returned": (frozenset({"bonded", "delivered", "returned"}), say("one that was delivered to be returned")),
}


def _no_firing(state: CaseState, event: Event, liquids: frozenset[str], piece: str) -> str | None:
    used = {name for zone in event.zones for layer in zone.layers for name in layer.pot.stains}
    soaking, kind = sorted(used & liquids), kind_of(state, event)
    if kind == "sinter":
        if state.stage not in ("green", None):
            return say("{piece}, expected an unsintered piece for a sintering", piece=piece)
        if used - liquids:
            return say(
                "{stain} is no liquid that soaks in, expected surface stain after sintering",
                stain=sorted(used - liquids)[0],
            )
        return None
    if soaking and state.stage is not None:
        if state.stage == "green":
            return say(
                "{stain} is a liquid that soaks into an unsintered piece, and {piece}; liquids are sintered, surface "
                "stain is fired afterwards: two firings",
                stain=soaking[0],
                piece=piece,
            )
        return say(
            "{stain} is a liquid that soaks into an unsintered piece, and {piece}, expected stain that goes on its "
            "surface",
            stain=soaking[0],
            piece=piece,
        )
    if kind == "resin":
        return (
            None
            if state.stage in ("trial", None)
            else say("{piece}, expected a provisional for resin stain", piece=piece)
        )
    if state.stage == "green":
        return say(
            "{piece}, expected a sintered piece for a {firing} firing; record its sintering first",
            piece=piece,
            firing=firing_name(kind),
        )
    if state.stage in NEVER_FIRED:
        return say(
            "{piece}, expected a piece that may be fired; a {stage} piece is never fired",
            piece=piece,
            stage=stage_words(state),
        )
    return None


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
            return say(
                "then what was told later could not have been: {step} at {at} ({why})",
                step=step_name(later.what),
                at=later.at[:16],
                why=now,
            )
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
            return say(
                "then what came later could not have been: {step} at {at} ({why})",
                step=step_name(later.what),
                at=later.at[:16],
                why=now,
            )
    return None


def _opens(events: Sequence[Event]) -> bool:
    return any(isinstance(one.told, Case) for one in events)
