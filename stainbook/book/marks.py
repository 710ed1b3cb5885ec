"""Marks of a standing and of a case: another text whenever its own facts or wishes are, whatever is forecast of it."""

from __future__ import annotations

import hashlib
from dataclasses import replace

from stainbook.book.case_state import CaseState, Chosen
from stainbook.book.codec import canonical, encode
from stainbook.book.events import Key, moment
from stainbook.book.fold import encode_layers
from stainbook.records import Limits


def zone_mark(state: CaseState, key: Key) -> str:
    """A text that is another one whenever the standing of a zone or its wish is: its own facts, never a forecast."""
    zone = state.zones.get(key)
    wished = next((one for one in state.wish.zones if one.key == key), None)
    said = {
        "stage": state.stage,
        "dried": state.dried,
        "blank": state.wish.blank.name if state.wish.blank else None,
        "finish": state.wish.finish,
        "change": [zone.change.what, zone.change.at] if zone and zone.change else None,
        "read": [encode(one) for one in zone.read] if zone else [],
        "layers": encode_layers(zone.layers) if zone else "",
        "unfired": encode_layers(zone.unfired) if zone else "",
        "target": repr(wished.target) if wished else None,
        "like": list(wished.like) if wished and wished.like else None,
    }
    return hashlib.sha256(canonical(said).encode()).hexdigest()[:16]


def choice_holds(state: CaseState, chosen: Chosen) -> bool:
    """Whether a choice was made for the zone as it stands; one of before, where nothing changed the zone since."""
    choice = chosen.choice
    if choice.made_for is not None:
        return choice.made_for == zone_mark(state, choice.key)
    zone = state.zones.get(choice.key)
    if zone is None:
        return False
    return zone.change is None or moment(chosen.at) > moment(zone.change.at)


def case_mark(state: CaseState) -> str:
    """The mark of a whole case, as a printed sheet carries it: facts and wishes of all zones."""
    zones = {f"{key[0]} {key[1]}": zone_mark(state, key) for key in state.zones}
    said = {"zones": zones, "limits": _limits(state.wish.limits), "effects": repr(state.wish.effects)}
    said["left"] = str(state.firings_left)
    if state.wish.lights:
        said["lights"] = list(state.wish.lights)
    return hashlib.sha256(canonical(said).encode()).hexdigest()[:12]


def _limits(limits: Limits) -> str:
    said = repr(replace(limits, since=None))
    for name in ("coats_in_all", "dryings", "later"):  # keys of later: sheets that were printed before them still hold
        said = said.replace(f", {name}=None", "")
    return said
