"""The state of a piece, worked out from what happened to it: pure, no optics, the same for every order of arrival.

What was stored is never refused here: a book tells what happened.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import reduce
from typing import Any, NamedTuple

from stainbook.book.case_state import CaseState, Chosen, FaceWorked, FiredLayers, LastChange, ReadAt, WayStep, ZoneState
from stainbook.book.events import Event, Key, ZoneFired, in_order, samples_of_zones
from stainbook.kept import Choice, Firing, StepDone
from stainbook.language import say
from stainbook.records import Case, CaseZone, Layer, Layers, tissue_of
from stainbook.stage_words import step_name

COUNTED = frozenset({"stain", "stain+glaze", "correction"})  # firings that each take one of those left
GLAZING = frozenset({"glaze", "stain+glaze"})
STAINING = frozenset({"stain", "stain+glaze", "correction", "glaze", "layering", "foundation"})
BARE = frozenset({"sintered", "blasted"})
FIRED = frozenset({"stained", "glazed"})
NEVER_FIRED = frozenset({"trial", "bonded", "delivered"})
WHOLE = frozenset({"sintered", "blasted", "cleaned"})  # steps that change every zone, whatever they are said of


class Life(NamedTuple):
    """What happened to a piece, and how it is after that."""

    events: tuple[Event, ...]
    state: CaseState


def fold(events: Iterable[Event]) -> CaseState:
    """Give the state of the case that some events tell of; raises ValueError where none of them opens a case.

    >>> state = fold(book.events("W-7"))
    >>> state.stage, state.zones[11, "middle"].readings[0].reading.lab
    ('sintered', (72.9, 0.5, 13.0))
    """
    listed = in_order(events)
    first = next((one for one in listed if one.what in ("opened", "prescribed") and isinstance(one.told, Case)), None)
    if first is None:
        raise ValueError("no event opens a case")
    wishes = [one.told for one in listed if isinstance(one.told, Case)]
    state = CaseState(first.told.case, first.told)
    state = _wished(state, first)
    names = _Names(wishes)
    for event in listed:
        state = _after(replace(state, told=state.told + 1), event, names)
    return replace(state, conflicts=_conflicts(listed))


class _Names:
    """Which zone a sample's reading is of."""

    def __init__(self, wishes: Sequence[Case]) -> None:
        self._zones: dict[str, Key] = {}
        for key, names in samples_of_zones(wishes).items():
            for name in names:
                self._zones.setdefault(name, key)
        self._case = wishes[0].case

    def zone(self, sample: str) -> Key | None:
        return self._zones.get(sample)


# ---------------------------------------------------------------- one event after the other


def _after(state: CaseState, event: Event, names: _Names) -> CaseState:
    what = event.what
    if what in ("prescribed", "opened") and isinstance(event.told, Case):
        found = _wished(state, event)
        return _opened(found, event) if what == "opened" else found
    if what == "chosen":
        chosen: Choice = event.told
        return replace(
            state,
            chosen={**state.chosen, chosen.key: Chosen(chosen, event.number, event.told_at, event.author)},
        )
    if what == "read":
        return _read(state, event, names)
    if what == "painted":
        return _painted(state, event)
    if what == "wiped":
        return _each(state, lambda zone: replace(zone, unfired=()))
    if what == "noted":
        return replace(state, way=(*state.way, _way(event)))  # it changes nothing of the piece
    found = _fired(state, event) if what == "fired" else _stepped(state, event)
    return replace(found, last=event, way=(*state.way, _way(event)))


def _way(event: Event) -> WayStep:
    said = getattr(event.told, "why", None) or getattr(event.told, "by", None) or event.kind or ""
    return WayStep(event.what, event.at or event.told_at, event.author, str(said))


def _wished(state: CaseState, event: Event) -> CaseState:
    """Another wish: zones may come and go, what happened to those that stay is theirs."""
    wish: Case = event.told
    zones = {zone.key: state.zones.get(zone.key) or _new_zone(zone, state) for zone in wish.zones}
    gone = {key: one for key, one in state.zones.items() if key not in zones and (one.fired or one.readings)}
    since = wish.limits.since
    had = state.firings if wish.wish is None else (state.had if since is None else since)
    return replace(state, wish=wish, zones={**zones, **gone}, had=had)


def _new_zone(zone: CaseZone, state: CaseState) -> ZoneState:
    """A zone that is named later: it went through all that the whole piece did."""
    last = next((one.change for one in state.zones.values() if one.change), None)
    other = next(iter(state.zones.values()), ZoneState(zone.key, zone.tissue))
    worked = tuple(one for one in other.worked if one.whole)
    return ZoneState(zone.key, zone.tissue, change=last, heated=other.heated, worked=worked)


def _opened(state: CaseState, event: Event) -> CaseState:
    """The state that a file or a book of before starts from."""
    case: Case = event.told
    had = {zone.key: zone.fired for zone in case.zones}
    zones = {key: replace(one, firings=had.get(key, 0)) for key, one in state.zones.items()}
    return replace(
        state,
        stage=case.stage,
        zones=zones,
        opened=event,
        glazed_at=_glazed_when(case.stage, event, state),
        accepted_by=case.accepted_by,
        returned=case.returned,
        last=event,
        way=(*state.way, WayStep("opened", event.at or event.told_at, event.author, case.stage or "")),
    )


def _glazed_when(stage: str | None, event: Event, state: CaseState) -> str | None:
    """Since when a piece that is told to be at a stage is glazed; one that came back from there still is."""
    return (event.at or event.told_at) if stage == "glazed" else state.glazed_at


def _read(state: CaseState, event: Event, names: _Names) -> CaseState:
    key = event.keys[0] if event.keys else names.zone(event.told.sample)
    if key is None or key not in state.zones:
        return state
    zone = state.zones[key]
    stands = not zone.unfired and state.stage != "green"
    read = ReadAt(event.told, event.at, stands, zone.change.at if zone.change else "", zone.heated, state.told)
    found = replace(zone, readings=(*zone.readings, read))
    if stands:
        found = replace(found, before_reading=zone.fired, heats=0, lost=False)
    return replace(state, zones={**state.zones, key: found})


def _painted(state: CaseState, event: Event) -> CaseState:
    lying = {one.key: one.layers for one in event.zones}
    return _each(state, lambda zone: replace(zone, unfired=lying.get(zone.key, ())))


def _each(state: CaseState, made: Any) -> CaseState:
    return replace(state, zones={key: made(zone) for key, zone in state.zones.items()})


def _changed(zone: ZoneState, event: Event) -> ZoneState:
    """A zone after its last change: no reading of before stands for it any more."""
    old = tuple(replace(one, since=False) for one in zone.readings)
    return replace(zone, change=LastChange(event.what, event.at or event.told_at, event.id), readings=old)


# ---------------------------------------------------------------- firings


def kind_of(state: CaseState, event: Event) -> str:
    """Give what a firing was; one of an older book, or one without a word, by what the piece was.

    >>> kind_of(fold(book.events("W-7")), Event("fired", "2026-03-01T14:05:00Z"))
    'stain'
    """
    if event.kind in (None, "liquids"):
        return "sinter" if state.stage == "green" and event.kind == "liquids" else "stain"
    return str(event.kind)


def _fired(state: CaseState, event: Event) -> CaseState:
    firing: Firing = event.told
    kind = kind_of(state, event)
    put = {one.key: one for one in event.zones}
    missing = [one for one in event.zones if one.key not in state.zones]
    zones = {**state.zones, **{one.key: ZoneState(one.key, tissue_of(one.zone) or "tooth") for one in missing}}
    bare = _not_glazed(state.wish) if kind in GLAZING else frozenset()
    fired = {key: _fired_zone(zone, event, put.get(key), kind, firing, key in bare) for key, zone in zones.items()}
    if kind == "layering":
        fired = {
            key: replace(one, lost=True, worked=(*one.worked, FaceWorked(kind, state.told)))
            for key, one in fired.items()
        }
    glazed = event.at or event.told_at
    return replace(
        state,
        zones=fired,
        stage=_stage_after(state, kind),
        firings=state.firings + (kind in COUNTED),
        glazed_at=glazed if kind in GLAZING or (kind == "stain" and _clear_alone(event.zones)) else state.glazed_at,
        dried=False,
        coloured=state.coloured,
        sintered_here=state.sintered_here or kind == "sinter",
        accepted_by=firing.accepted_by,
        returned=firing.returned,
        heats=(*state.heats, (kind, firing.programme or "")),
        known_firings=state.known_firings and firing.kind is not None,
    )


def _not_glazed(wish: Case) -> frozenset[Key]:
    """Zones that a glaze leaves out, since they are finished otherwise; none where no zone was to be glazed."""
    finish = {zone.key: zone.finish or wish.finish for zone in wish.zones}
    return frozenset(key for key, one in finish.items() if one != "glaze" and "glaze" in finish.values())


def _clear_alone(zones: Sequence[ZoneFired]) -> bool:
    return bool(zones) and all(not layer.pot.shares for zone in zones for layer in zone.layers)


def _stage_after(state: CaseState, kind: str) -> str | None:
    stage = state.stage
    if kind == "sinter":
        return "sintered"
    if kind in GLAZING:
        return "glazed"
    if kind in ("after-grinding", "resin"):
        return stage
    if kind in ("layering", "foundation"):
        return stage if stage in FIRED else stage or "sintered"
    return "glazed" if stage in ("glazed", "returned") and state.glazed_at is not None else "stained"


def _fired_zone(
    zone: ZoneState, event: Event, put: ZoneFired | None, kind: str, firing: Firing, bare: bool
) -> ZoneState:
    """A zone after a firing, which heats each; ``bare``: it is left out of the glaze."""
    layers: Layers = put.layers if put is not None else ()
    if kind == "sinter" and not layers:
        layers = zone.soaked
    if not layers and kind != "sinter" and put is None and firing.kind is not None:
        layers = zone.unfired  # painted and not told apart: it was in the furnace too
    older = tuple(replace(one, firings=one.firings + 1) for one in zone.fired)
    new = () if bare and not layers else _laid(event, put, layers, kind, firing)
    counted = kind in STAINING and (bool(layers) or firing.kind is not None)
    return replace(
        _changed(zone, event),
        fired=(*older, *new),
        soaked=(),
        coloured=False,
        unfired=(),
        firings=zone.firings + counted,
        heats=zone.heats + (kind != "sinter"),
        heated=zone.heated + (kind != "sinter"),
    )


def _laid(event: Event, put: ZoneFired | None, layers: Layers, kind: str, firing: Firing) -> tuple[FiredLayers, ...]:
    if not layers and kind not in GLAZING:
        return ()
    lots = tuple(sorted({pair for layer in layers for pair in layer.lots}))
    at, who = event.at or event.told_at, firing.operator
    before, name = (put.before, put.outcome) if put is not None else (None, "")
    return (FiredLayers(at, kind, layers, 1, who, firing.programme, lots, before, name),)


# ---------------------------------------------------------------- the other steps of the way


def _stepped(state: CaseState, event: Event) -> CaseState:
    step: StepDone = event.told
    what = event.what
    keys = state.zones.keys() if not event.keys or what in WHOLE else event.keys
    if what in ("opened", "stated", "milled"):
        return _stated(state, event, step)
    if what == "coloured":
        lying = {one.key: one.layers for one in event.zones}
        found = _each(
            state,
            lambda zone: (
                replace(zone, soaked=(*zone.soaked, *lying[zone.key]), coloured=True) if zone.key in lying else zone
            ),
        )
        return replace(found, coloured=True, dried=False, stage="green")
    if what == "dried":
        return replace(state, dried=True, cleaned=state.cleaned or state.stage == "returned")
    if what == "sintered":
        found = _each(state, lambda zone: _sintered(zone, event, step))
        return replace(found, stage="sintered", dried=False, sintered_here=True, heats=(*state.heats, ("sinter", "")))
    if what in ("ground", "polished", "stripped", "blasted", "cleaned"):
        found = _worked(state, event, set(keys))
        whole = not event.keys or what in WHOLE
        stage = _stage_worked(state.stage, what, whole=whole)
        glazed = None if what in ("stripped", "blasted") else state.glazed_at
        return replace(found, stage=stage, glazed_at=glazed, accepted_by=None)
    if what in ("try-in", "back"):
        return replace(state, out=what == "try-in")
    return _received(state, event, step)


def _stated(state: CaseState, event: Event, step: StepDone) -> CaseState:
    """Where a case stood when it was opened, or what a page of before set."""
    stage = event.kind or ("green" if event.what == "milled" else None)
    had = {(tooth, zone): count for tooth, zone, count in step.fired}
    zones = {key: replace(one, firings=had.get(key, one.firings)) for key, one in state.zones.items()}
    opened = event if event.what == "opened" else state.opened
    returned = state.returned if stage == "returned" else None
    glazed = _glazed_when(stage, event, state)
    return replace(state, stage=stage or state.stage, zones=zones, opened=opened, glazed_at=glazed, returned=returned)


def _sintered(zone: ZoneState, event: Event, step: StepDone) -> ZoneState:
    new = (FiredLayers(event.at, "sinter", zone.soaked, operator=step.operator),) if zone.soaked else ()
    return replace(_changed(zone, event), fired=(*zone.fired, *new), soaked=(), coloured=False, unfired=())


def _worked(state: CaseState, event: Event, keys: set[Key]) -> CaseState:
    """Zones that were ground, polished, blasted, cleaned or stripped."""
    what, stage = event.what, state.stage

    def one(zone: ZoneState) -> ZoneState:
        if zone.key not in keys:
            return zone
        found = _changed(zone, event)
        lost = replace(
            found, lost=True, worked=(*zone.worked, FaceWorked(what, state.told, len(keys) == len(state.zones)))
        )
        if what in ("ground", "polished"):
            return lost
        if what == "stripped" or (what == "blasted" and stage in FIRED):
            soaked = tuple(each for each in zone.fired if each.kind == "sinter")
            return replace(lost, fired=soaked, before_reading=(), firings=0, unfired=())
        return found

    return _each(state, one)


def _stage_worked(stage: str | None, what: str, *, whole: bool) -> str | None:
    if what == "blasted" or (what == "stripped" and whole):
        return "blasted"
    return stage


def _received(state: CaseState, event: Event, step: StepDone) -> CaseState:
    what = event.what
    if what == "accepted":
        return replace(state, accepted_by=step.by, returned=None)
    if what in ("bonded", "delivered"):
        return replace(state, stage=what, out=False)
    if what == "returned":
        found = _each(state, lambda zone: _changed(zone, event))  # what it looks like after wear nobody knows
        return replace(found, stage="returned", returned=step.why, accepted_by=None, cleaned=False)
    return state


# ---------------------------------------------------------------- two tellers


def _conflicts(events: Sequence[Event]) -> tuple[str, ...]:
    """Facts of which two follow the same one: two benches told what came next without seeing each other."""
    after: dict[str, list[Event]] = {}
    for one in events:
        if one.after:
            after.setdefault(one.after, []).append(one)
    return tuple(
        say(
            "{facts} were told without one another",
            facts=reduce(lambda before, one: say("{before} and {one}", before=before, one=one), map(_teller, both)),
        )
        for both in after.values()
        if len(both) > 1
    )


def _teller(one: Event) -> str:
    return say("{step} by {name}, {at}", step=step_name(one.what), name=one.author, at=(one.at or one.told_at)[:16])


def encode_layers(layers: Iterable[Layer]) -> str:
    """Give layers as one text: equal texts, equal layers.

    >>> encode_layers([Layer(Pot.of({"barley": 1 / 4}), 2)])
    "2x[('barley', 0.25)]@1"
    """
    return " / ".join(
        f"{one.coats}x{[(name, round(share, 9)) for name, share in one.pot.shares]}@{one.firings}" for one in layers
    )
