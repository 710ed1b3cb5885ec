"""The laws of a case's life on the fold in memory, over random histories."""

from __future__ import annotations

import itertools
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from stainbook.book.case_state import CaseState, ZoneState
from stainbook.book.events import Event, Key
from stainbook.book.fold import fold, kind_of
from stainbook.book.marks import case_mark, zone_mark
from stainbook.book.possible import cannot_go, cannot_stand, refusal
from stainbook.kept import Firing
from tests.life.histories import FIRINGS, KEYS, LIQUIDS, at, histories, one_event, possible, told_late

CASES = settings(max_examples=25, deadline=None)
LATE = 200  # minutes: after every event of a history
HEATS = ("fired",)


def changing(events: tuple[Event, ...]) -> list[Event]:
    """The events that change every zone of the piece."""
    return [one for one in events if one.what in ("fired", "sintered", "blasted", "cleaned")]


@CASES
@given(histories(), st.randoms(use_true_random=False))
def test_law_1_the_state_is_a_function_of_the_events_in_whatever_order_they_came(events, chance) -> None:
    whole, mixed = fold(events), list(events)
    chance.shuffle(mixed)
    assert fold(mixed) == whole
    assert case_mark(fold(mixed)) == case_mark(whole)


@CASES
@given(histories(), st.data())
def test_law_2_a_mark_moves_with_the_standing_of_its_zone(events, data) -> None:
    before = fold(events)
    event = data.draw(one_event(100, LATE))
    if refusal(before, event, liquids=LIQUIDS) is not None:
        return
    after = fold([*events, event])
    for key in KEYS:
        moved = zone_mark(before, key) != zone_mark(after, key)
        if event.what == "fired" and kind_of(before, event) != "after-grinding":
            assert moved, key
        if event.what == "chosen":
            assert not moved, key


def _lived(zone: ZoneState) -> tuple[object, ...]:
    change = (zone.change.what, zone.change.at) if zone.change else None
    lying = zone.layers, zone.soaked, zone.unfired, zone.coloured
    return change, lying, zone.lost, zone.heated, [one.what for one in zone.worked], zone.read


def facts_of(state: CaseState, key: Key) -> tuple[object, ...]:
    """What a zone stands on and what is wished of it, written out without the marks' own words."""
    zone = state.zones[key]
    wish = next(one for one in state.wish.zones if one.key == key)
    other = state.zones[wish.like] if wish.like else None
    own = tuple(_lived(one) for one in (zone, other) if one is not None)
    return own, replace(wish, now=None, fired=0), state.stage, state.dried, state.out, state.cleaned


@settings(max_examples=60, deadline=None)
@given(histories(most=20))
def test_law_2_a_mark_is_another_where_facts_or_wishes_of_its_zone_are_and_the_same_where_not(events) -> None:
    states = [fold(events[:count]) for count in range(1, len(events) + 1)]
    for before, after in itertools.pairwise(states):
        same = [zone_mark(before, key) == zone_mark(after, key) for key in KEYS]
        assert same == [facts_of(before, key) == facts_of(after, key) for key in KEYS]
        if not all(same):
            assert case_mark(before) != case_mark(after)


@CASES
@given(histories())
def test_law_3_every_zone_that_was_painted_is_in_the_record_of_its_firing(events) -> None:
    for count, event in enumerate(events, start=1):
        if event.what != "fired":
            continue
        state = fold(events[:count])
        for zone in event.zones:
            (own,) = [one for one in state.zones[zone.key].fired if one.at == event.at]
            assert own.layers == zone.layers
            assert own.firings == 1


@CASES
@given(histories(), st.sampled_from(FIRINGS))
def test_law_4_no_furnace_after_bonding_or_delivery_and_no_liquid_after_sintering(events, kind) -> None:
    state = fold(events)
    event = Event("fired", at(LATE), Firing("W-1", at(LATE), kind=kind), 100, "s0100", kind=kind)
    why = refusal(state, event, liquids=LIQUIDS)
    if state.stage in ("bonded", "delivered"):
        assert why is not None
        assert state.stage in why
    if kind == "sinter":
        assert (why is None) == (state.stage == "green")
    elif state.stage == "green":
        assert why is not None


@CASES
@given(histories())
def test_no_reading_from_before_the_last_change_stands_for_the_present(events) -> None:
    state = fold(events)
    for zone in state.zones.values():
        for one in zone.readings:
            if one.since and zone.change is not None:
                assert one.at > zone.change.at


@CASES
@given(histories())
def test_a_firing_blasting_or_cleaning_is_a_change_of_every_zone(events) -> None:
    state, last = fold(events), changing(events)[-1:]
    for event in last:
        assert all(zone.change is not None and zone.change.at >= event.at for zone in state.zones.values())


@CASES
@given(histories())
def test_layers_age_by_every_later_firing_painted_or_not(events) -> None:
    state = fold(events)
    heats = [one.at for one in events if one.what == "fired"]
    for zone in state.zones.values():
        for one in zone.fired:
            assert one.firings == sum(when >= one.at for when in heats)


@CASES
@given(histories(), st.data())
def test_law_9_the_last_event_taken_back_leaves_what_was(events, data) -> None:
    before = fold(events)
    event = data.draw(one_event(100, LATE))
    if refusal(before, event, liquids=LIQUIDS) is not None:
        return
    assert cannot_go([*events, event], [event.id], liquids=LIQUIDS) is None
    left = [one for one in (*events, event) if one.id != event.id]
    assert facts(fold(left)) == facts(before)


@CASES
@given(histories(), st.data())
def test_what_may_be_taken_back_leaves_a_history_that_could_have_been(events, data) -> None:
    event = data.draw(st.sampled_from(events[1:])) if len(events) > 1 else None
    if event is None:
        return
    left = [one for one in events if one.id != event.id]
    told = [one for one in left if one.what not in ("read", "chosen")]
    assert (cannot_go(events, [event.id], liquids=LIQUIDS) is None) == possible(told)


@CASES
@given(histories(), st.data(), st.integers(1, 150))
def test_an_event_told_late_is_taken_where_the_whole_history_stays_possible(events, data, minutes) -> None:
    event = told_late(data.draw(one_event(100, minutes)), 100)
    told = [one for one in (*events, event) if one is event or one.what not in ("read", "chosen")]
    why = cannot_stand(events, event, liquids=LIQUIDS)
    assert (why is None) == possible(told)


def facts(state: CaseState) -> CaseState:
    """The state as it is compared."""
    return state
