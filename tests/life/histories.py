"""Random histories of a piece, for the laws: each event is one that may follow, drawn by kind, zone and hour."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from hypothesis import strategies as st

from stainbook.book.events import Event, ZoneFired
from stainbook.book.fold import fold
from stainbook.book.possible import refusal
from stainbook.kept import Choice, Firing, StepDone
from stainbook.records import Case, CaseZone, LabRef, Layer, Layers, Limits, Pot, Reading, Target, Viewing

CODE = "W-1"
KEYS = ((11, "cervical"), (11, "middle"), (21, "middle"), (11, "attached"))
LIKE = {(21, "middle"): (11, "middle")}
LIQUIDS = ("otter", "gorse")
TARGETS = {
    (11, "cervical"): (71.0, 2.4, 18.0),
    (11, "middle"): (74.0, 1.0, 15.5),  # about what is read of it
    (11, "attached"): (55.0, 16.0, 12.5),
}
STAINS = ("husk", "teasel", "claret")
STAGES = ("green", "sintered", "blasted", "stained", "glazed")
FIRINGS = ("stain", "stain+glaze", "glaze", "correction", "layering", "foundation", "after-grinding", "sinter", "resin")
STEPS = (
    "coloured", "dried", "ground", "polished", "blasted", "cleaned", "stripped", "try-in", "back", "accepted",
    "bonded", "delivered", "returned",
)  # fmt: skip
START = datetime(2026, 3, 2, 8, tzinfo=UTC)


def at(minutes: int) -> str:
    """A moment so many minutes after the case was opened."""
    return (START + timedelta(minutes=minutes)).isoformat().replace("+00:00", "Z")


def prescribed(stage: str | None, left: int = 2) -> Case:
    """The case as it is written; 21 middle follows 11 middle."""
    wanted = {key: Target(LabRef(lab, Viewing())) for key, lab in TARGETS.items()}
    tissues = {key: "gingiva" if key[1] == "attached" else "tooth" for key in KEYS}
    zones = tuple(CaseZone(*key, tissues[key], target=wanted.get(key), like=LIKE.get(key)) for key in KEYS)
    return Case(CODE, zones, material="zirconia", stage=stage, limits=Limits(firings_left=left))


def opened(stage: str, left: int = 2) -> Event:
    """The case as it was brought in."""
    case = prescribed(stage, left)
    return Event("opened", at(0), case, 1, "s0001", "ada", at(0), kind=stage)


def layers(names: Sequence[str]) -> st.SearchStrategy[Layers]:
    """One or two layers of some stains or liquids."""
    pots = st.builds(lambda name, share: Pot.of({name: share}), st.sampled_from(names), st.sampled_from((0.125, 0.5)))
    return st.lists(st.builds(Layer, pots, st.integers(1, 3)), min_size=1, max_size=2).map(tuple)


def some_zones() -> st.SearchStrategy[tuple[tuple[int, str], ...]]:
    """One zone or more, each once."""
    return st.lists(st.sampled_from(KEYS), min_size=1, unique=True).map(tuple)


@st.composite
def firings(draw: st.DrawFn, number: int, when: str) -> Event:
    """A firing of any kind; a sintering carries liquids or nothing, a glaze may carry nothing."""
    kind = draw(st.sampled_from(FIRINGS))
    names = LIQUIDS if kind == "sinter" else STAINS
    bare = kind in ("glaze", "sinter", "after-grinding") and draw(st.booleans())
    keys = () if bare else draw(some_zones())
    zones = tuple(ZoneFired(*key, draw(layers(names))) for key in keys)
    return _event("fired", when, Firing(CODE, when, kind=kind), number, zones=zones, kind=kind)


@st.composite
def steps(draw: st.DrawFn, number: int, when: str) -> Event:
    """A step of the way of a piece, of all of it or of some zones."""
    what = draw(st.sampled_from(STEPS))
    keys = draw(some_zones()) if what in ("ground", "polished", "stripped") and draw(st.booleans()) else ()
    zones = tuple(ZoneFired(*key, draw(layers(LIQUIDS))) for key in draw(some_zones())) if what == "coloured" else ()
    more = {"accepted": {"by": "clinic"}, "returned": {"why": "shade"}}.get(what, {})
    return _event(what, when, StepDone(CODE, what, when, keys, **more), number, zones=zones, keys=keys)


@st.composite
def readings(draw: st.DrawFn, number: int, when: str) -> Event:
    """A reading of one zone."""
    tooth, zone = draw(st.sampled_from(KEYS))
    value = draw(st.integers(60, 80))
    read = Reading(f"{CODE}-{tooth}-{zone}", lab=(float(value), 1.0, 15.0), viewing=Viewing(), taken_at=when)
    return _event("read", when, read, number)


@st.composite
def paintings(draw: st.DrawFn, number: int, when: str) -> Event:
    """Stain that lies on some zones, not fired yet."""
    zones = tuple(ZoneFired(*key, draw(layers(STAINS))) for key in draw(some_zones()))
    return _event("painted", when, None, number, zones=zones)


@st.composite
def wishes(draw: st.DrawFn, number: int, when: str) -> Event:
    """A step chosen for a zone: a wish, no fact."""
    key = draw(st.sampled_from(KEYS))
    return _event("chosen", when, Choice(CODE, *key, kind="add", layers=draw(layers(STAINS))), number)


@st.composite
def revisions(draw: st.DrawFn, number: int, when: str) -> Event:
    """Another wish for one zone: a target, a finish of its own, or by hand."""
    key = draw(st.sampled_from(KEYS))
    more = draw(
        st.sampled_from(
            ({"target": Target(LabRef((66.0, 4.0, 21.0), Viewing()))}, {"finish": "polish"}, {"by_hand": True})
        )
    )
    case = prescribed(None)
    zones = tuple(replace(zone, **more) if zone.key == key else zone for zone in case.zones)
    return _event("prescribed", when, replace(case, zones=zones, wish=True), number)


def _event(what: str, when: str, told: object, number: int, **more: object) -> Event:
    return Event(what, when, told, number, f"s{number:04}", "ada", when, **more)


KINDS = (firings, steps, readings, paintings, wishes, revisions)


@st.composite
def one_event(draw: st.DrawFn, number: int, minutes: int) -> Event:
    """An event of any kind, whether or not it may follow."""
    return draw(draw(st.sampled_from(KINDS))(number, at(minutes)))


@st.composite
def histories(draw: st.DrawFn, *, most: int = 14) -> tuple[Event, ...]:
    """A case that was opened, and events each of which may follow those before it."""
    found = [opened(draw(st.sampled_from(STAGES)), draw(st.integers(0, 3)))]
    for number in range(2, 2 + draw(st.integers(0, most))):
        event = draw(one_event(number, 10 * number))
        if refusal(fold(found), event, liquids=LIQUIDS) is None:
            found.append(event)
    return tuple(found)


@st.composite
def read_pieces(draw: st.DrawFn) -> tuple[Event, ...]:
    """A piece of which every zone was read, and wanted near or far from there."""
    case = prescribed(draw(st.sampled_from(("blasted", "stained"))))
    zones, events = [], []
    far = draw(st.sampled_from(((0.0,), (14.0,), (0.0, 2.5, 14.0))))  # L*: all near, none, some
    for number, zone in enumerate(case.zones, start=2):
        L, a, b = (58.0, 12.0, 11.0) if zone.tissue == "gingiva" else (75.0, 1.0, 14.0)
        lift, turn = draw(st.sampled_from(far)), draw(st.sampled_from((0.0, 3.0)))
        target = Target(LabRef((L - turn + lift, a + turn, b + turn), Viewing()))
        zones.append(replace(zone, target=target, like=None))
        read = Reading(f"{CODE}-{zone.tooth}-{zone.zone}", lab=(L, a, b), viewing=Viewing(), taken_at=at(number))
        events.append(_event("read", at(number), read, number))
    told = replace(case, zones=tuple(zones), limits=replace(case.limits, pots=draw(st.sampled_from((1, 3, None)))))
    return (replace(opened(str(case.stage)), told=told, kind=case.stage), *events)


def possible(events: Iterable[Event]) -> bool:
    """Whether each event may follow those before it, as they happened."""
    listed = sorted(events, key=lambda one: one.order)
    return all(refusal(fold(listed[:i]), listed[i], liquids=LIQUIDS) is None for i in range(1, len(listed)))


def told_late(event: Event, number: int) -> Event:
    """The event as the newest row of the journal, whenever it happened."""
    return replace(event, number=number, id=f"s{number:04}")
