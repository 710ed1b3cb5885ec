"""The way of a piece to the clinic and back: what may follow, what is asked for, what is counted."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stainbook.book.events import Event
from stainbook.book.fold import fold
from stainbook.book.possible import refusal
from stainbook.kept import Firing, StepDone
from tests.life.bench import Bench, colour, fired_zone, zone
from tests.life.histories import at, opened

TARGET, NOW = (71.0, 2.4, 18.0), (76.0, 0.9, 14.0)
KEY = (11, "cervical")
STAIN = [{"pot": {"husk": 0.125}, "coats": 1}]


def lived(stage: str, *steps: str) -> list[Event]:
    """A piece that was opened at a stage, and what was done to it since: a step, or ``fired KIND``."""
    events = [opened(stage)]
    for number, word in enumerate(steps, start=2):
        when, (what, _, kind) = at(10 * number), word.partition(" ")
        told = Firing("W-1", when, kind=kind) if what == "fired" else StepDone("W-1", what, when, why="shade", by="lab")
        events.append(Event(what, when, told, number, f"s{number:04}", "ada", when, kind=kind or None))
    return events


def why_not(stage: str, *steps: str) -> str | None:
    """Why the last step cannot follow those before it."""
    *before, last = lived(stage, *steps)
    return refusal(fold(before), last)


@pytest.mark.parametrize("step", ["fired stain", "ground", "polished", "blasted", "cleaned", "stripped", "try-in"])
def test_a_piece_at_the_clinic_is_not_worked_on(step: str) -> None:
    why = why_not("stained", "try-in", step)
    assert why is not None
    assert "at the clinic" in why
    assert why_not("stained", "try-in", "back", step) is None


@pytest.mark.parametrize("steps", [("back",), ("try-in", "back", "back")])
def test_only_a_piece_at_the_clinic_comes_back_from_a_try_in(steps: tuple[str, ...]) -> None:
    assert why_not("stained", *steps) is not None


@pytest.mark.parametrize("step", ["bonded", "delivered", "accepted"])
def test_the_clinic_may_keep_a_piece_that_it_tries_in(step: str) -> None:
    assert why_not("glazed", "try-in", step) is None


def test_an_unsintered_piece_is_accepted_by_nobody() -> None:
    assert why_not("green", "accepted") is not None


@pytest.mark.parametrize(
    ("stage", "steps", "glazed"),
    [
        ("blasted", ("fired stain", "fired glaze"), True),
        ("blasted", ("fired stain", "fired glaze", "stripped"), False),
        ("blasted", ("fired stain", "fired glaze", "stripped", "fired stain"), False),
        ("stained", ("fired stain+glaze", "blasted", "fired stain"), False),
        ("glazed", ("stripped", "fired stain"), False),
        ("glazed", ("delivered", "returned", "fired correction"), True),
        ("stained", ("fired glaze", "delivered", "returned", "cleaned", "fired correction"), True),
        ("stained", ("delivered", "returned", "fired stain"), False),
    ],
)
def test_glaze_lies_on_a_piece_until_it_is_stripped(stage: str, steps: tuple[str, ...], glazed: bool) -> None:
    state = fold(lived(stage, *steps))
    assert (state.glazed_at is not None) == glazed
    if steps[-1].startswith("fired"):
        assert state.stage == ("glazed" if glazed else "stained")


def test_a_piece_that_comes_back_stands_at_no_reading_of_before() -> None:
    state = fold(lived("glazed", "delivered", "returned"))
    assert {one.change.what for one in state.zones.values() if one.change} == {"returned"}


# ---------------------------------------------------------------- at the commands


def test_a_bonded_piece_is_delivered(bench: Bench) -> None:
    bench.open("W-1", [zone(*KEY, now=TARGET, target=TARGET)], stage="glazed")
    bench.json("case", "did", "W-1", "bonded", "--at", bench.at("09:00"))
    assert bench.json("book", "deliver", "W-1")["stage"] == "delivered"
    assert "delivered before" in bench.json("book", "deliver", "W-1")["warnings"][0]


def test_the_glaze_of_a_piece_that_was_stripped_is_asked_for_again(bench: Bench) -> None:
    bench.open("W-1", [zone(*KEY, now=NOW, target=TARGET)], stage="blasted")
    bench.record("W-1", [fired_zone(KEY, STAIN)], hour="09:00", firing="stain+glaze")
    bench.json("case", "did", "W-1", "stripped", "--at", bench.at("10:00"))
    bench.record("W-1", [fired_zone(KEY, STAIN, colour(TARGET))], hour="12:00")
    assert "no glaze firing" in bench.refused("book", "deliver", "W-1")


@pytest.mark.parametrize(("case", "own", "asked"), [("glaze", "polish", False), ("polish", "glaze", True)])
def test_the_finish_of_the_zones_says_whether_a_glaze_is_asked_for(
    bench: Bench, case: str, own: str, asked: bool
) -> None:
    bench.open("W-1", [zone(*KEY, now=NOW, target=TARGET, finish=own)], stage="blasted", finish=case)
    bench.record("W-1", [fired_zone(KEY, STAIN, colour(TARGET))], hour="09:00")
    if asked:
        assert "glaze" in bench.refused("book", "deliver", "W-1")
    else:
        assert bench.json("book", "deliver", "W-1")["warnings"] == []


def test_a_zone_by_hand_bars_no_delivery_and_counts_nowhere(bench: Bench) -> None:
    zones = [zone(*KEY, now=TARGET, target=TARGET), zone(11, "middle", now=NOW, target=TARGET, by_hand=True)]
    bench.open("W-1", zones, stage="glazed")
    assert sum(bench.json("report", "W-1")["counts"].values()) == 1
    assert bench.json("book", "deliver", "W-1")["warnings"] == []


def test_a_returned_piece_is_read_before_anything_is_advised(bench: Bench) -> None:
    bench.open("W-1", [zone(*KEY, now=TARGET, target=TARGET)], stage="glazed")
    bench.json("book", "deliver", "W-1")
    bench.json("book", "return", "W-1", "--for", "shade")
    told = bench.advice("W-1")[KEY]
    assert (told["standing"]["from"], told["moves"]) == ("expected", [])
    assert "read" in told["why"]
    assert told["why"] == bench.bench("W-1")["zones"][0]["step"]
    assert "not read since" in bench.refused("book", "deliver", "W-1")


def test_a_file_counts_the_zones_that_it_reads_as_advice_does(bench: Bench) -> None:
    name = bench.case("W-1", [zone(*KEY, now=NOW, target=TARGET), zone(11, "middle", target=TARGET)])
    assert bench.json("case", "show", name)["read"] == 1
    bench.run("case", "open", name)
    assert bench.json("case", "show", "W-1")["read"] == 1


def test_a_zone_that_the_case_has_not_is_told_of(bench: Bench) -> None:
    bench.open("W-1", [zone(*KEY, now=NOW, target=TARGET)], stage="blasted")
    found = bench.record("W-1", [fired_zone((12, "cervical"), STAIN)], hour="09:00")
    assert any("12 cervical" in one and "no zone of W-1" in one for one in found["warnings"])


def test_what_is_told_late_is_no_conflict(bench: Bench) -> None:
    bench.open("W-1", [zone(*KEY, now=NOW, target=TARGET)], stage="stained")
    for hour in ("10:00", "09:00", "11:00"):
        found = bench.json("case", "did", "W-1", "polished", "--at", bench.at(hour))
        assert found["warnings"] == []


def test_a_zone_taken_back_takes_its_reading_with_it_and_the_last_one_its_firing(bench: Bench) -> None:
    keys = [KEY, (11, "middle")]
    bench.open("W-1", [zone(*key, now=NOW, target=TARGET) for key in keys], stage="blasted")
    bench.record("W-1", [fired_zone(key, STAIN, colour((73.0, 1.8, 16.5))) for key in keys], hour="10:00")
    names = [f"outcome/W-1 {tooth} {name} {bench.at('10:00')}" for tooth, name in keys]
    bench.json("book", "withdraw", names[0], "--because", "another zone")
    standing = bench.advice("W-1")[KEY]["standing"]
    assert (standing["from"], round(standing["L"], 1)) == ("expected", NOW[0])
    bench.json("book", "withdraw", names[1], "--because", "another piece")
    found = bench.json("case", "show", "W-1")
    assert (found["stage"], found["read"], found["firings_left"]) == ("blasted", 2, 2)


def test_one_reading_that_two_firings_tell_of_stands_after_each(bench: Bench) -> None:
    bench.open("W-1", [zone(*KEY, now=NOW, target=TARGET)], stage="blasted")
    for hour in ("12:00", "10:00"):  # the first one is told late
        bench.record("W-1", [fired_zone(KEY, STAIN, colour(TARGET))], hour=hour)
    assert bench.json("case", "show", "W-1")["read"] == 1


def test_two_who_fire_without_one_another_are_told_of() -> None:
    events = lived("blasted", "fired stain", "fired stain")
    both = [events[0], *(replace(one, after="s0001") for one in events[1:])]
    (line,) = fold(both).conflicts
    assert "without one another" in line
