"""The state of a piece, worked out from what happened to it: pure, no optics, the same for every order of arrival.

``fold`` takes the events of a case; ``refusal`` says why one cannot follow a state, in a line that names what the
piece is and what was expected. What was stored is never refused here: a book tells what happened.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from stainbook.book.codec import canonical, encode
from stainbook.book.events import Event, Key, ZoneFired, in_order, moment, samples_of_zone
from stainbook.kept import Choice, Firing, PaintedZone, StepDone
from stainbook.records import Case, CaseZone, Layer, Layers, Limits, Reading, tissue_of

COUNTED = frozenset({"stain", "stain+glaze", "correction"})  # firings that each take one of those left
GLAZING = frozenset({"glaze", "stain+glaze"})
STAINING = frozenset({"stain", "stain+glaze", "correction", "glaze", "layering", "foundation"})
SINTERS = frozenset({"sinter", "liquids"})  # liquids: of a book of before, a firing of liquids alone
BARE = frozenset({"sintered", "blasted"})
FIRED = frozenset({"stained", "glazed"})
NEVER_FIRED = frozenset({"trial", "bonded", "delivered"})
WHOLE = frozenset({"sintered", "blasted", "cleaned"})  # steps that change every zone, whatever they are said of


@dataclass(frozen=True, slots=True)
class FiredLayers:
    """What one firing put on or into a zone; ``firings`` is what these layers have gone through by now."""

    at: str
    kind: str
    layers: Layers
    firings: int = 1
    operator: str | None = None
    programme: str | None = None
    lots: tuple[tuple[str, str], ...] = ()
    before: Reading | None = None
    outcome: str = ""

    @property
    def aged(self) -> Layers:
        """The layers with what they went through."""
        return tuple(replace(layer, firings=self.firings) for layer in self.layers)


@dataclass(frozen=True, slots=True)
class Change:
    """What changed a zone last: the step, when, and the event's name in the journal."""

    what: str
    at: str
    id: str = ""


@dataclass(frozen=True, slots=True)
class ReadAt:
    """A reading of a zone and whether it was taken since the last change."""

    reading: Reading
    at: str
    since: bool = True
    stored: bool = True  # False: only named by the file that opened the case


@dataclass(frozen=True, slots=True)
class ZoneState:
    """One zone: what lies on it and in it, what changed it last, and what was read of it."""

    key: Key
    tissue: str
    fired: tuple[FiredLayers, ...] = ()  # on it and in it, bottom first
    soaked: Layers = ()  # liquids, not sintered yet
    unfired: Layers = ()  # painted, not fired yet
    change: Change | None = None
    firings: int = 0  # of stain, glaze and correction that the zone went through, those before it was opened too
    readings: tuple[ReadAt, ...] = ()
    lost: bool = False  # its colour cannot be forecast: ground, polished, or layered since it was read
    before_reading: tuple[FiredLayers, ...] = ()  # what lay there already when it was last read
    heats: int = 0  # firings that it went through since it was last read, painted or not

    @property
    def layers(self) -> Layers:
        """All fired layers, bottom first."""
        return tuple(layer for one in self.fired for layer in one.aged)

    @property
    def read(self) -> tuple[Reading, ...]:
        """The readings that may stand for the zone as it is."""
        return tuple(one.reading for one in self.readings if one.since)

    @property
    def since_read(self) -> tuple[FiredLayers, ...]:
        """What was fired on or into it since it was last read."""
        return self.fired[len(self.before_reading) :]


@dataclass(frozen=True, slots=True)
class Chosen:
    """A next step that was chosen, and the mark of the standing that it was made for."""

    choice: Choice
    number: int
    at: str
    author: str = ""


@dataclass(frozen=True, slots=True)
class WayStep:
    """One step of the way of a piece with its moment."""

    what: str
    at: str
    who: str = ""
    said: str = ""


@dataclass(frozen=True, slots=True)
class CaseState:
    """A case as it is now: the newest wish, and the facts of its piece."""

    case: str
    wish: Case
    stage: str | None = None
    zones: Mapping[Key, ZoneState] = field(default_factory=dict)
    chosen: Mapping[Key, Chosen] = field(default_factory=dict)
    firings: int = 0  # that count against those left
    had: int = 0  # firings that had been counted when the number left was set
    coloured: bool = False
    dried: bool = False
    out: bool = False  # at the clinic for a try-in
    cleaned: bool = False  # since it came back
    sintered_here: bool = False  # by an event, not as it was opened
    accepted_by: str | None = None
    returned: str | None = None
    last: Event | None = None  # the newest fact
    glazed_at: str | None = None
    heats: tuple[tuple[str, str], ...] = ()  # kind and programme of its firings
    way: tuple[WayStep, ...] = ()
    conflicts: tuple[str, ...] = ()
    opened: Event | None = None
    known_firings: bool = True  # False: a firing of a book of before, which did not say its kind

    @property
    def firings_left(self) -> int:
        """Stain firings that are still allowed, by the number that was last set."""
        return max(0, self.wish.limits.firings_left - (self.firings - self.had))

    @property
    def unfired(self) -> tuple[PaintedZone, ...]:
        """What lies on it, dried and not fired yet."""
        return tuple(PaintedZone(*one.key, one.unfired) for one in self.zones.values() if one.unfired)


def fold(events: Iterable[Event]) -> CaseState:
    """The state of the case that some events tell of; raises ValueError where none of them opens a case."""
    listed = in_order(events)
    first = next((one for one in listed if one.what in ("opened", "prescribed") and isinstance(one.told, Case)), None)
    if first is None:
        raise ValueError("no event opens a case")
    wishes = [one.told for one in listed if isinstance(one.told, Case)]
    state = CaseState(first.told.case, first.told)
    state = _wished(state, first)
    names = _Names(wishes)
    for event in listed:
        state = _after(state, event, names)
    return replace(state, conflicts=_conflicts(listed))


class _Names:
    """Which zone a sample's reading is of."""

    def __init__(self, wishes: Sequence[Case]) -> None:
        self._zones: dict[str, Key] = {}
        keys = dict.fromkeys(zone.key for wish in wishes for zone in wish.zones)
        for key in keys:
            for name in samples_of_zone(wishes[0].case, key, wishes):
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
    last = next((one.change for one in state.zones.values() if one.change), None)
    return ZoneState(zone.key, zone.tissue, change=last)


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
        accepted_by=case.accepted_by,
        returned=case.returned,
        last=event,
        way=(*state.way, WayStep("opened", event.at or event.told_at, event.author, case.stage or "")),
    )


def _read(state: CaseState, event: Event, names: _Names) -> CaseState:
    key = names.zone(event.told.sample)
    if key is None or key not in state.zones:
        return state
    zone = state.zones[key]
    stands = not zone.unfired and state.stage != "green"
    found = replace(zone, readings=(*zone.readings, ReadAt(event.told, event.at, stands)))
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
    return replace(zone, change=Change(event.what, event.at or event.told_at, event.id), readings=old)


# ---------------------------------------------------------------- firings


def kind_of(state: CaseState, event: Event) -> str:
    """What a firing was; one of a book of before, or told without a word, by what the piece was."""
    if event.kind in (None, "liquids"):
        return "sinter" if state.stage == "green" and event.kind == "liquids" else "stain"
    return str(event.kind)


def _fired(state: CaseState, event: Event) -> CaseState:
    firing: Firing = event.told
    kind = kind_of(state, event)
    put = {one.key: one for one in event.zones}
    missing = [one for one in event.zones if one.key not in state.zones]
    zones = {**state.zones, **{one.key: ZoneState(one.key, tissue_of(one.zone) or "tooth") for one in missing}}
    fired = {key: _fired_zone(zone, event, put.get(key), kind, firing) for key, zone in zones.items()}
    glazed = event.at or event.told_at
    return replace(
        state,
        zones=fired,
        stage=_stage_after(state.stage, kind),
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


def _clear_alone(zones: Sequence[ZoneFired]) -> bool:
    return bool(zones) and all(not layer.pot.shares for zone in zones for layer in zone.layers)


def _stage_after(stage: str | None, kind: str) -> str | None:
    if kind == "sinter":
        return "sintered"
    if kind in GLAZING:
        return "glazed"
    if kind in ("after-grinding", "resin"):
        return stage
    if kind in ("layering", "foundation"):
        return stage if stage in FIRED else stage or "sintered"
    return "glazed" if stage == "glazed" else "stained"


def _fired_zone(zone: ZoneState, event: Event, put: ZoneFired | None, kind: str, firing: Firing) -> ZoneState:
    layers: Layers = put.layers if put is not None else ()
    if kind == "sinter" and not layers:
        layers = zone.soaked
    if not layers and kind != "sinter" and put is None and firing.kind is not None:
        layers = zone.unfired  # painted and not told apart: it was in the furnace too
    older = tuple(replace(one, firings=one.firings + 1) for one in zone.fired)
    new = _laid(event, put, layers, kind, firing)
    counted = kind in STAINING and (bool(layers) or firing.kind is not None)
    return replace(
        _changed(zone, event),
        fired=(*older, *new),
        soaked=(),
        unfired=(),
        firings=zone.firings + counted,
        heats=zone.heats + (kind != "sinter"),
        lost=zone.lost or kind == "layering",
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
        found = _each(state, lambda zone: replace(zone, soaked=(*zone.soaked, *lying.get(zone.key, ()))))
        return replace(found, coloured=True, dried=False, stage="green")
    if what == "dried":
        return replace(state, dried=True, cleaned=state.cleaned or state.stage == "returned")
    if what == "sintered":
        found = _each(state, lambda zone: _sintered(zone, event, step))
        return replace(found, stage="sintered", dried=False, sintered_here=True, heats=(*state.heats, ("sinter", "")))
    if what in ("ground", "polished", "stripped", "blasted", "cleaned"):
        found = _worked(state, event, set(keys))
        whole = not event.keys or what in WHOLE
        return replace(found, stage=_stage_worked(state.stage, what, whole=whole), accepted_by=None)
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
    return replace(state, stage=stage or state.stage, zones=zones, opened=opened, returned=returned)


def _sintered(zone: ZoneState, event: Event, step: StepDone) -> ZoneState:
    new = (FiredLayers(event.at, "sinter", zone.soaked, operator=step.operator),) if zone.soaked else ()
    return replace(_changed(zone, event), fired=(*zone.fired, *new), soaked=(), unfired=())


def _worked(state: CaseState, event: Event, keys: set[Key]) -> CaseState:
    """Zones that were ground, polished, blasted, cleaned or stripped."""
    what, stage = event.what, state.stage

    def one(zone: ZoneState) -> ZoneState:
        if zone.key not in keys:
            return zone
        found = _changed(zone, event)
        if what in ("ground", "polished"):
            return replace(found, lost=True)
        if what == "stripped" or (what == "blasted" and stage in FIRED):
            soaked = tuple(each for each in zone.fired if each.kind == "sinter")
            return replace(found, fired=soaked, before_reading=(), firings=0, lost=True, unfired=())
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
        return replace(state, stage="returned", returned=step.why, accepted_by=None, cleaned=False)
    return state


# ---------------------------------------------------------------- two tellers


def _conflicts(events: Sequence[Event]) -> tuple[str, ...]:
    """Facts of which two follow the same one: two benches told what came next without seeing each other."""
    after: dict[str, list[Event]] = {}
    for one in events:
        if one.after:
            after.setdefault(one.after, []).append(one)
    return tuple(
        f"{' and '.join(f'{one.what} by {one.author}, {(one.at or one.told_at)[:16]}' for one in both)} were told "
        "without one another"
        for both in after.values()
        if len(both) > 1
    )


# ---------------------------------------------------------------- what cannot follow


def refusal(state: CaseState, event: Event, *, liquids: Iterable[str] = ()) -> str | None:
    """Why an event cannot follow a state: what the piece is, and what was expected; None where it can."""
    check = _REFUSALS.get(event.what)
    is_ = f"{state.case} is {stage_words(state)}"
    if event.what == "fired":
        return _no_firing(state, event, frozenset(liquids), is_)
    if check is None:
        return None
    allowed, expected = check
    if state.stage is None and event.what not in ("delivered", "returned"):
        return None
    if event.what == "coloured" and state.stage == "green" and state.dried:
        return f"{is_} and dried for sintering, expected liquids before that; sinter it"
    return None if state.stage in allowed else f"{is_}, expected {expected} to be {event.what}"


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


def stage_words(state: CaseState) -> str:
    """The stage as screens have it: unsintered, coloured, dried …"""
    if state.stage == "green":
        words = "coloured" if state.coloured else "unsintered"
        return f"{words} and dried" if state.dried else words
    return state.stage or "at no stage yet"


def cannot_stand(events: Sequence[Event], new: Event, *, liquids: Iterable[str] = ()) -> str | None:
    """Why a new event cannot be taken: the state at its moment, or a later event that it would make impossible."""
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
    """Why events cannot be taken back: a later one that would be impossible without them."""
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


# ---------------------------------------------------------------- marks


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
    return hashlib.sha256(canonical(said).encode()).hexdigest()[:12]


def _limits(limits: Limits) -> str:
    return repr(replace(limits, since=None))


def encode_layers(layers: Iterable[Layer]) -> str:
    """Layers as one text: equal texts, equal layers."""
    return " / ".join(
        f"{one.coats}x{[(name, round(share, 9)) for name, share in one.pot.shares]}@{one.firings}" for one in layers
    )
