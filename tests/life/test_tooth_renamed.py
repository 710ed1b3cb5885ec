"""A wrong tooth noticed late: all that was told of it moves to the right number, and who told it when stays."""

from __future__ import annotations

from pathlib import Path

import pytest

from stainbook.book import open_book
from stainbook.book.case_state import CaseState
from stainbook.book.fold import fold
from stainbook.errors import InputError
from stainbook.records import Layer, Pot, Reading, Viewing
from stainbook.work.case.case_change import undo, undoable
from stainbook.work.case.case_desk import Step
from stainbook.work.case.chosen import choose
from stainbook.work.case.tooth_renamed import rename_teeth, teeth_called
from stainbook.work.firing.case_timeline import timeline
from tests.life.bench import Bench, colour, fired_zone, zone

KEYS = ((12, "cervical"), (12, "middle"), (21, "cervical"))
NOW, AFTER = (75.5, 0.8, 13.5), (72.0, 1.5, 16.0)
TARGETS = {KEYS[0]: (70.6, 1.9, 17.2), KEYS[1]: (72.6, 1.2, 15.2), KEYS[2]: (70.0, 2.2, 17.8)}
LAYERS = [{"pot": {"husk": 0.25}, "coats": 1}]
THIN = (Layer(Pot.of({"husk": 0.125}), 1),)


def opened(bench: Bench, **head: object) -> None:
    zones = [zone(*key, now=NOW, target=TARGETS[key]) for key in KEYS]
    bench.open("W-1", zones, effects=[{"tooth": 12, "effect": "halo"}], **{"stage": "blasted", **head})


def state_of(bench: Bench) -> CaseState:
    with open_book(bench.url) as book:
        return fold(book.events("W-1"))


def said(state: CaseState, teeth: dict[int, int] | None = None) -> dict:
    """What is told of a case, its teeth as they should be called."""
    called = teeth or {}
    zones = {
        (called.get(key[0], key[0]), key[1]): (
            one.layers, one.unfired, one.firings, [each.lab for each in one.read], one.change and one.change.at,
        )
        for key, one in state.zones.items()
    }  # fmt: skip
    targets = {(called.get(one.tooth, one.tooth), one.zone): one.target for one in state.wish.zones}
    drawn = [(called.get(one.tooth, one.tooth), one.effect) for one in state.wish.effects]
    return {"zones": zones, "targets": targets, "drawn": drawn, "stage": state.stage, "left": state.firings_left}


def read(bench: Bench, lab: tuple[float, float, float], at: str | None = None) -> None:
    with open_book(bench.url) as book:
        book.add_readings([Reading("W-1-12-cervical", lab=lab, viewing=Viewing("D65", 10), taken_at=at)])


def worked_on(bench: Bench) -> None:
    """Read, fired, read again of one zone, painted, and with a next step for another."""
    opened(bench)
    read(bench, (75.1, 0.9, 13.8), bench.at("08:00"))
    bench.record("W-1", [fired_zone(KEYS[0], LAYERS, colour(AFTER)), fired_zone(KEYS[1], LAYERS)])
    with open_book(bench.url, author="bench-9") as book:
        choose(book, "W-1", {KEYS[0]: Step("add", THIN), KEYS[2]: Step("add", THIN)})


def test_all_that_was_told_of_a_tooth_moves_to_the_right_number(bench: Bench) -> None:
    worked_on(bench)
    before = state_of(bench)
    found = bench.json("case", "tooth", "W-1", "12=11")
    assert (found["zones"], found["read"]) == (3, 1)  # what was not read after the firing is expected
    after = state_of(bench)
    assert said(after) == said(before, {12: 11})
    assert {key for key, one in after.chosen.items() if one.choice.kind} == {(11, "cervical"), (21, "cervical")}
    assert {zone["tooth"] for zone in bench.json("advise", "W-1")["cases"][0]["zones"]} == {11, 21}
    rows = bench.json("book", "search", "--case", "W-1", "--stain", "husk")["found"]
    assert {one["name"].split()[1] for one in rows} == {"11"}
    bench.json("book", "verify")


def test_who_told_it_and_when_stays(bench: Bench) -> None:
    worked_on(bench)
    with open_book(bench.url) as book:
        before = [(one.what, one.at, one.author, one.told_at, one.number) for one in book.events("W-1")]
    with open_book(bench.url, author="bench-7") as book:
        rename_teeth(book, "W-1", {12: 11})
        events = book.events("W-1")
        facts = [(one.what, one.at, one.author, one.told_at, one.number) for one in events]
        assert set(before) - {one for one in before if one[0] == "chosen"} <= set(facts)
        notes = [one for one in timeline(book, "W-1") if one.kind == "noted"]
        assert [(one.note, one.who) for one in notes] == [("tooth 12 is 11", "bench-7")]
        assert not fold(events).conflicts


def test_it_is_undone_in_one_step_and_named(bench: Bench) -> None:
    worked_on(bench)
    worked = state_of(bench)
    with open_book(bench.url) as book:
        rename_teeth(book, "W-1", {12: 11})
        last = undoable(book, "W-1")
        assert last is not None
        assert last.what == "tooth 12 is 11"
        assert undo(book, "W-1") == last
        assert undoable(book, "W-1") != last
    assert said(state_of(bench)) == said(worked)
    with open_book(bench.url) as book:  # it can be said again
        rename_teeth(book, "W-1", {12: 11})
    assert said(state_of(bench)) == said(worked, {12: 11})


def test_two_teeth_that_were_exchanged_change_places(bench: Bench) -> None:
    worked_on(bench)
    before = state_of(bench)
    both = {12: 21, 21: 12}
    bench.json("case", "tooth", "W-1", "12=21", "21=12")
    assert said(state_of(bench)) == said(before, both)
    bench.json("case", "tooth", "W-1", "12=21", "21=12")
    assert said(state_of(bench)) == said(before)


def test_what_lies_painted_moves_and_a_wiped_piece_stays_bare(bench: Bench) -> None:
    opened(bench)
    with open_book(bench.url) as book:
        from stainbook.kept import Painted, PaintedZone

        book.add_painted(Painted("W-1", bench.at("09:00"), (PaintedZone(*KEYS[0], THIN),)))
        rename_teeth(book, "W-1", {12: 11})
        lying = book.painted("W-1")
        assert lying is not None
        assert [(one.tooth, one.zone) for one in lying.zones] == [(11, "cervical")]
        assert fold(book.events("W-1")).zones[11, "cervical"].unfired == THIN
        book.add_painted(Painted("W-1", bench.at("09:10")))
        rename_teeth(book, "W-1", {11: 13})
        assert book.painted("W-1") is None
        assert not fold(book.events("W-1")).unfired


def test_the_old_number_is_free_for_what_comes_later(bench: Bench) -> None:
    worked_on(bench)
    bench.json("case", "tooth", "W-1", "12=11")
    bench.open("W-1", [zone(*key, target=TARGETS[KEYS[0]]) for key in ((11, "cervical"), (12, "cervical"))])
    state = state_of(bench)
    assert not state.zones[12, "cervical"].readings
    assert not state.zones[12, "cervical"].layers
    read(bench, (74.0, 1.0, 14.0))
    assert [one.lab for one in state_of(bench).zones[12, "cervical"].read] == [(74.0, 1.0, 14.0)]
    assert [one.lab for one in state_of(bench).zones[11, "cervical"].read] == [AFTER]


@pytest.mark.parametrize("history", [True, False])
def test_it_is_the_same_case_after_export_and_import(bench: Bench, tmp_path: Path, history: bool) -> None:
    worked_on(bench)
    bench.json("case", "tooth", "W-1", "12=21", "21=12")
    bench.run("book", "export", "out", *([] if history else ["--no-history"]))
    other = Bench(bench.folder, f"sqlite:///{tmp_path / 'other.db'}")
    other.run("book", "import", "out")
    assert said(state_of(other)) == said(state_of(bench))
    other.json("book", "verify")


@pytest.mark.parametrize(
    ("teeth", "why"),
    [
        (["13=11"], "has no tooth 13, expected one of 12, 21"),
        (["12=12"], "no other number"),
        (["12"], "found 12, expected the wrong and the right tooth"),
        (["12=21"], "21 cervical is or was in the case already"),
        (["12=11", "21=11"], "one number for two teeth"),
        (["12=99"], "99"),
        (["12=11", "12=13"], "12 a second time"),
    ],
)
def test_what_would_lose_something_is_refused(bench: Bench, teeth: list[str], why: str) -> None:
    opened(bench)
    assert why in bench.refused("case", "tooth", "W-1", *teeth)


def test_a_fired_and_delivered_piece_is_called_by_its_right_tooth_too(bench: Bench) -> None:
    worked_on(bench)
    bench.record("W-1", hour="12:00", firing="glaze")
    bench.json("book", "accept", "W-1", "--by", "lab")
    bench.json("book", "deliver", "W-1")
    before = state_of(bench)
    bench.json("case", "tooth", "W-1", "12=11")
    assert said(state_of(bench)) == said(before, {12: 11})
    with open_book(bench.url) as book, pytest.raises(InputError, match="has no tooth 12"):
        rename_teeth(book, "W-1", teeth_called(["12=13"]))
