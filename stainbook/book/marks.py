"""Marks of a standing and of a case: another text whenever its own facts or wishes are, whatever is forecast of it."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from typing import Any

from stainbook.book.case_state import CaseState, Chosen, ZoneState
from stainbook.book.codec import canonical, encode
from stainbook.book.events import Key, moment
from stainbook.book.fold import encode_layers
from stainbook.records import Case, Limits


def zone_mark(state: CaseState, key: Key) -> str:
    """Give a text that changes whenever the standing of a zone or its wish does: its own facts, never a forecast.

    A zone that follows another stands as that one was read, so the other's facts are in it too.

    >>> from stainbook.book.fold import fold
    >>> from stainbook.book.events import opened_from
    >>> lone, read = fold(opened_from(crown)), fold(book.events("W-7"))
    >>> len(zone_mark(read, (11, "middle"))), zone_mark(lone, (11, "middle")) == zone_mark(read, (11, "middle"))
    (16, False)
    """
    return _zone_mark(state, key, _piece(state))


def _zone_mark(state: CaseState, key: Key, piece: list[Any]) -> str:
    wished = next((one for one in state.wish.zones if one.key == key), None)
    said = {
        "piece": piece,
        "zone": _facts(state.zones.get(key)),
        "followed": _facts(state.zones.get(wished.like)) if wished and wished.like else None,
        "wish": encode(replace(wished, now=None, fired=0)) if wished else None,
    }
    return hashlib.sha256(canonical(said).encode()).hexdigest()[:16]


def _piece(state: CaseState) -> list[Any]:
    """What holds for every zone: where the piece is on its way, and what it is made of."""
    wish = replace(_whole(state.wish), effects=(), lots=(), operator=None, programme=None)
    return [state.stage, state.dried, state.out, state.cleaned, encode(wish)]


def _facts(zone: ZoneState | None) -> list[Any]:
    """What happened to a zone and what was read of it since."""
    if zone is None:
        return []
    lying = [encode_layers(one) for one in (zone.layers, zone.soaked, zone.unfired)]
    change = [zone.change.what, zone.change.at] if zone.change else None
    worked = [one.what for one in zone.worked]
    return [change, lying, zone.coloured, zone.lost, zone.heated, worked, [encode(one) for one in zone.read]]


def _whole(wish: Case) -> Case:
    """What is prescribed for the whole piece, without its zones, its limits, and the facts that a file states."""
    bare = replace(wish, zones=(), limits=Limits(), mark=None, wish=None, folder=None, source="")
    return replace(bare, stage=None, accepted_by=None, returned=None)


def choice_holds(state: CaseState, chosen: Chosen) -> bool:
    """Tell whether a choice was made for the zone as it stands; an older one, where nothing changed the zone since.

    >>> from stainbook.book.fold import fold
    >>> from stainbook.kept import Choice
    >>> state = fold(book.events("W-7"))
    >>> choice = Choice("W-7", 11, "middle", "leave", made_for=zone_mark(state, (11, "middle")))
    >>> choice_holds(state, Chosen(choice, "bench-1", "2026-03-01T10:00:00Z"))
    True
    """
    choice = chosen.choice
    if choice.made_for is not None:
        return choice.made_for == zone_mark(state, choice.key)
    zone = state.zones.get(choice.key)
    if zone is None:
        return False
    return zone.change is None or moment(chosen.at) > moment(zone.change.at)


def case_mark(state: CaseState) -> str:
    """Give the mark of a whole case, as a printed sheet carries it: facts and wishes of all zones.

    >>> from stainbook.book.fold import fold
    >>> case_mark(fold(book.events("W-7"))) == case_mark(fold(book.frozen().events("W-7")))
    True
    """
    piece = _piece(state)
    zones = {f"{key[0]} {key[1]}": _zone_mark(state, key, piece) for key in state.zones}
    limits = replace(state.wish.limits, firings_left=state.firings_left, since=None)
    said = {"zones": zones, "limits": _limits(limits), "whole": encode(_whole(state.wish))}
    return hashlib.sha256(canonical(said).encode()).hexdigest()[:12]


def _limits(limits: Limits) -> str:
    said = repr(limits)
    for name in (
        "coats_in_all",
        "dryings",
        "later",
        "liquid_way",
    ):  # keys of later: sheets that were printed before them still hold
        said = said.replace(f", {name}=None", "")
    return said
