"""The state of a piece folded from what happened to it."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from stainbook.book.case_state import CaseState
from stainbook.book.events import Event, ZoneFired
from stainbook.book.fold import fold
from stainbook.book.marks import zone_mark
from stainbook.book.possible import cannot_go, cannot_stand, refusal
from stainbook.kept import Firing, StepDone
from stainbook.records import Case, CaseZone, Layer, Limits, Pot, Reading

NECK, BODY, GUM = (11, "cervical"), (11, "middle"), (11, "attached")
HUSK, TIDE = (Layer(Pot.of({"husk": 0.25}), 1),), (Layer(Pot.of({"tide": 0.5}), 2),)


def case(stage: str | None, *, left: int = 2) -> Case:
    zones = (CaseZone(*NECK, "tooth"), CaseZone(*BODY, "tooth"), CaseZone(*GUM, "gingiva"))
    return Case("W-1", zones, material="zirconia", stage=stage, limits=Limits(firings_left=left))


def opened(stage: str | None, **more: int) -> Event:
    return Event("opened", "2026-03-01T08:00:00Z", case(stage, **more), 1, "s1", kind=stage)


def read(key: tuple[int, str], at: str, number: int = 50) -> Event:
    reading = Reading(f"W-1-{key[0]}-{key[1]}", lab=(70.0, 1.0, 12.0), taken_at=at)
    return Event("read", at, reading, number, f"r{number}")


def fired(at: str, number: int, *keys: tuple[int, str], kind: str | None = "stain", layers=HUSK) -> Event:
    zones = tuple(ZoneFired(*key, layers) for key in keys)
    return Event("fired", at, Firing("W-1", at, kind=kind), number, f"f{number}", zones=zones, kind=kind)


def step(what: str, at: str, number: int, *keys: tuple[int, str], **more: str) -> Event:
    return Event(what, at, StepDone("W-1", what, at, tuple(keys), **more), number, f"d{number}", keys=tuple(keys))


def at(hour: int) -> str:
    return f"2026-03-02T{hour:02}:00:00Z"


def test_a_firing_is_the_last_change_of_every_zone() -> None:
    state = fold([opened("blasted"), read(NECK, at(8)), read(GUM, at(8), 51), fired(at(10), 60, NECK)])
    assert state.stage == "stained"
    assert [zone.change.at for zone in state.zones.values()] == [at(10)] * 3
    assert not any(zone.read for zone in state.zones.values())
    assert state.zones[NECK].layers == HUSK
    assert state.zones[GUM].layers == ()
    assert state.zones[GUM].heats == 1


def test_a_reading_after_the_firing_stands_and_one_before_it_does_not_whenever_it_came() -> None:
    events = [opened("blasted"), read(NECK, at(8), 70), fired(at(10), 60, NECK), read(BODY, at(11), 61)]
    state = fold(events)
    assert state.zones[NECK].read == ()
    assert len(state.zones[BODY].read) == 1


def test_layers_age_by_each_firing_painted_or_not() -> None:
    state = fold([opened("blasted"), fired(at(9), 60, NECK), fired(at(10), 61, BODY)])
    assert [layer.firings for layer in state.zones[NECK].layers] == [2]
    assert [layer.firings for layer in state.zones[BODY].layers] == [1]


def test_liquids_are_sintered_and_the_piece_is_not_stained() -> None:
    events = [opened("green"), fired(at(9), 60, NECK, kind="liquids", layers=TIDE)]
    state = fold(events)
    assert state.stage == "sintered"
    assert state.sintered_here
    assert state.firings_left == 2


def test_the_way_of_an_unsintered_piece() -> None:
    coloured = replace(step("coloured", at(8), 60), zones=(ZoneFired(*NECK, TIDE),))
    state = fold([opened("green"), coloured])
    assert state.coloured
    assert state.zones[NECK].soaked == TIDE
    state = fold([opened("green"), coloured, step("dried", at(9), 61), step("sintered", at(18), 62)])
    assert state.stage == "sintered"
    assert state.zones[NECK].layers == TIDE
    assert state.zones[BODY].change.what == "sintered"


def test_each_stain_firing_takes_one_of_those_left_and_the_glaze_none() -> None:
    events = [opened("blasted"), fired(at(9), 60, NECK), fired(at(10), 61, kind="glaze")]
    state = fold(events)
    assert state.firings_left == 1
    assert state.stage == "glazed"
    wish = Event("prescribed", at(11), replace(case(None, left=2), wish=True, limits=Limits(since=1)), 62, "c62")
    assert fold([*events, wish]).firings_left == 2


@pytest.mark.parametrize("finish", ["polish", "none"])
def test_a_glaze_heats_zones_of_another_finish_and_does_not_glaze_them(finish: str) -> None:
    own = {NECK: None, BODY: finish, GUM: "glaze"}
    mixed = replace(case("blasted"), zones=tuple(replace(one, finish=own[one.key]) for one in case(None).zones))
    start = Event("opened", "2026-03-01T08:00:00Z", mixed, 1, "s1", kind="blasted")
    zones = fold([start, fired(at(9), 60, kind="glaze")]).zones
    assert [[one.kind for one in zones[key].fired] for key in (NECK, BODY, GUM)] == [["glaze"], [], ["glaze"]]
    assert [zones[key].heats for key in (NECK, BODY, GUM)] == [1, 1, 1]
    bare = replace(mixed, finish=finish, zones=tuple(replace(one, finish=None) for one in mixed.zones))
    told = fold([replace(start, told=bare), fired(at(9), 60, kind="glaze")])  # glazed against what was wished: a fact
    assert all(one.fired for one in told.zones.values())


def test_stripping_takes_the_stain_and_its_count_of_firings() -> None:
    state = fold([opened("blasted"), fired(at(9), 60, NECK), step("stripped", at(10), 61)])
    assert state.stage == "blasted"
    assert state.zones[NECK].layers == ()
    assert state.zones[NECK].firings == 0


@pytest.mark.parametrize(
    ("stage", "event", "said"),
    [
        ("sintered", fired(at(9), 60, NECK, layers=TIDE), "tide is a liquid"),
        ("delivered", fired(at(9), 60, NECK), "W-1 is delivered"),
        ("green", fired(at(9), 60, NECK), "W-1 is unsintered"),
        ("trial", fired(at(9), 60, NECK), "W-1 is provisional"),
        ("sintered", fired(at(9), 60, NECK, kind="sinter", layers=TIDE), "expected an unsintered piece"),
        ("sintered", step("coloured", at(9), 60), "expected an unsintered piece to be coloured"),
        ("delivered", step("blasted", at(9), 60), "W-1 is delivered"),
        ("green", step("delivered", at(9), 60), "expected a sintered piece to be delivered"),
        ("glazed", step("returned", at(9), 60), "expected one that was delivered"),
        ("green", read(NECK, at(9)), "expected a sintered piece to be read"),
    ],
)
def test_what_cannot_follow_is_one_line_that_says_what_the_piece_is(stage: str, event: Event, said: str) -> None:
    why = refusal(fold([opened(stage)]), event, liquids=["tide"])
    assert why is not None
    assert said in why


@pytest.mark.parametrize(
    ("stage", "event"),
    [
        ("green", fired(at(9), 60, NECK, kind="sinter", layers=TIDE)),
        ("green", step("sintered", at(9), 60)),
        ("blasted", fired(at(9), 60, NECK)),
        ("glazed", fired(at(9), 60, NECK, kind="correction")),
        ("trial", fired(at(9), 60, NECK, kind="resin")),
        ("delivered", step("returned", at(9), 60)),
    ],
)
def test_what_can_follow_is_taken(stage: str, event: Event) -> None:
    assert refusal(fold([opened(stage)]), event, liquids=["tide"]) is None


def test_a_late_event_that_makes_a_later_one_impossible_names_it() -> None:
    events = [opened("blasted"), fired(at(12), 60, NECK)]
    why = cannot_stand(events, step("delivered", at(10), 61))
    assert why is not None
    assert "fired at 2026-03-02T12:00" in why
    assert cannot_stand(events, step("delivered", at(13), 61)) is None


def test_a_step_that_a_later_one_rests_on_is_not_taken_back() -> None:
    events = [opened("green"), step("sintered", at(9), 60), fired(at(12), 61, NECK)]
    why = cannot_go(events, ["d60"])
    assert why is not None
    assert "fired at" in why
    assert cannot_go(events, ["f61"]) is None


def test_the_state_is_the_same_whatever_the_order_of_arrival() -> None:
    events = [
        opened("blasted"),
        read(NECK, at(8)),
        fired(at(9), 60, NECK),
        read(NECK, at(10), 61),
        fired(at(11), 62, BODY, GUM, kind="correction"),
        step("try-in", at(12), 63),
        step("back", at(13), 64),
    ]
    whole = fold(events)
    for seed in range(20):
        mixed = list(events)
        random.Random(seed).shuffle(mixed)
        assert fold(mixed) == whole


def test_a_mark_changes_with_the_standing_and_not_with_what_is_done_elsewhere() -> None:
    events = [opened("blasted"), read(NECK, at(8)), read(BODY, at(8), 51)]
    before = fold(events)
    again: CaseState = fold([*events, read(BODY, at(9), 52)])
    assert zone_mark(before, NECK) == zone_mark(again, NECK)
    assert zone_mark(before, BODY) != zone_mark(again, BODY)
    later = fold([*events, fired(at(9), 60, BODY)])
    assert zone_mark(before, NECK) != zone_mark(later, NECK)


def test_two_that_follow_the_same_event_are_a_conflict() -> None:
    one = replace(step("ground", at(9), 60), after="s1", author="ada")
    other = replace(step("polished", at(9), 61), after="s1", author="ben")
    assert "without one another" in fold([opened("sintered"), one, other]).conflicts[0]
