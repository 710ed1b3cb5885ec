"""What cannot follow is one line that says what the piece is and what was expected; nothing is stored of it."""

from __future__ import annotations

import pytest

from stainbook.records import LabValues
from tests.life.bench import Bench, Doc, colour, fired_zone, zone
from tests.life.worlds import bare, reading
from tests.worlds.write import write_readings

TARGET, NOW = (71.0, 2.4, 18.0), (76.0, 0.9, 14.0)
KEY = (11, "cervical")
STAIN: list[Doc] = [{"pot": {"husk": 0.125}, "coats": 1}]
LIQUID: list[Doc] = [{"pot": {"otter": 0.5}, "coats": 2}]
NECK = [zone(*KEY, now=NOW, target=TARGET)]
GREEN = [zone(*KEY, target=TARGET) | {"now": {"body": "reed"}}]


def says(line: str, *words: str) -> None:
    for word in words:
        assert word in line, line


@pytest.mark.parametrize("stage", ["sintered", "blasted", "stained", "glazed"])
def test_a_liquid_on_a_sintered_piece(bench: Bench, stage: str) -> None:
    bench.open("W-1", NECK, stage=stage)
    line = bench.refused("record", bench.outcome("W-1", [fired_zone(KEY, LIQUID, colour(NOW))]))
    says(line, "W-1", stage, "otter", "expected")


def test_colouring_a_sintered_piece(bench: Bench) -> None:
    bench.open("W-1", NECK, stage="sintered")
    says(bench.refused("case", "did", "W-1", "coloured", "--at", bench.at("10:00")), "W-1", "sintered", "expected")


@pytest.mark.parametrize("firing", ["stain", "stain+glaze", "glaze", "correction", "sinter"])
def test_a_firing_of_a_delivered_piece(bench: Bench, firing: str) -> None:
    bench.open("W-1", NECK, stage="delivered")
    zones = [fired_zone(KEY, STAIN, colour(NOW))] if firing not in ("glaze", "sinter") else []
    says(bench.refused("record", bench.outcome("W-1", zones, firing=firing)), "W-1", "delivered", "expected")


def test_a_firing_of_a_bonded_piece(bench: Bench) -> None:
    bench.open("W-1", NECK, stage="glazed")
    bench.json("case", "did", "W-1", "bonded", "--at", bench.at("09:00"))
    says(bench.refused("record", bench.outcome("W-1", [fired_zone(KEY, STAIN, colour(NOW))])), "bonded", "expected")


def test_a_surface_stain_on_an_unsintered_piece(bench: Bench) -> None:
    bench.open("W-1", GREEN, stage="green")
    line = bench.refused("record", bench.outcome("W-1", [fired_zone(KEY, STAIN, colour(NOW))]))
    says(line, "W-1", "expected")
    assert "unsintered" in line or "green" in line


def test_a_second_sintering(bench: Bench) -> None:
    bench.open("W-1", NECK, stage="blasted")
    says(bench.refused("record", bench.outcome("W-1", firing="sinter")), "W-1", "blasted", "expected")


@pytest.mark.parametrize("coloured", [False, True])
def test_a_reading_of_an_unsintered_piece(bench: Bench, coloured: bool) -> None:
    bench.open("W-1", GREEN, stage="green")
    if coloured:
        bench.json("case", "did", "W-1", "coloured", "--at", bench.at("09:00"))
    read = reading("W-1-11-cervical", bare("reed"), bench.at("10:00"), stage="green")
    write_readings(bench.folder / "wet.csv", [read])
    line = bench.refused("read", "wet.csv")
    says(line, "W-1")
    assert "unsintered" in line or "green" in line


@pytest.mark.parametrize("how", ["coloured", "dried"])
def test_colouring_and_drying_come_before_sintering(bench: Bench, how: str) -> None:
    """Told late, for an hour after the piece was sintered."""
    bench.open("W-1", GREEN, stage="green")
    bench.record("W-1", [fired_zone(KEY, LIQUID)], hour="10:00", firing="sinter")
    says(bench.refused("case", "did", "W-1", how, "--at", bench.at("11:00")), "sintered", "expected")


def test_an_event_told_late_names_the_later_one_that_it_makes_impossible(bench: Bench) -> None:
    bench.open("W-1", NECK, stage="blasted")
    bench.record("W-1", [fired_zone(KEY, STAIN, colour((74.0, 1.4, 16.0)))], hour="12:00")
    line = bench.refused("case", "did", "W-1", "bonded", "--at", bench.at("09:00"))
    says(line, "bonded", "12:00")


def test_an_event_told_late_is_taken_where_all_that_came_after_stays_possible(bench: Bench) -> None:
    bench.open("W-1", NECK, stage="sintered")
    bench.record("W-1", [fired_zone(KEY, STAIN, colour((74.0, 1.4, 16.0)))], hour="12:00")
    bench.json("case", "did", "W-1", "blasted", "--at", bench.at("09:00"))
    assert bench.bench("W-1")["stage"] == "stained"


def test_a_correction_that_makes_a_later_event_impossible_names_it(bench: Bench) -> None:
    """Without its sintering, the piece could not have had its stain firing."""
    bench.open("W-1", GREEN, stage="green")
    bench.record("W-1", [fired_zone(KEY, LIQUID)], hour="10:00", firing="sinter")
    bench.read(reading("W-1-11-cervical", bare("reed"), bench.at("11:00")))
    bench.record("W-1", [fired_zone(KEY, STAIN, colour((74.0, 1.4, 16.0)))], hour="12:00")
    line = bench.refused("book", "withdraw", f"firing/W-1 {bench.at('10:00')}", "--because", "another piece")
    says(line, "12:00")


def test_a_zone_that_the_case_does_not_have(bench: Bench) -> None:
    bench.open("W-1", NECK)
    says(bench.refused("case", "did", "W-1", "ground", "--zones", "11 palatal"), "11 palatal", "11 cervical")


def test_a_step_that_nobody_knows(bench: Bench) -> None:
    bench.open("W-1", NECK)
    says(bench.refused("case", "did", "W-1", "varnished"), "varnished", "blasted")


def test_a_code_that_the_book_does_not_hold(bench: Bench) -> None:
    bench.open("W-1", NECK)
    for command in ("advise", "plan", "bench", "sheet", "report"):
        says(bench.refused(command, "W-2"), "W-2", "W-1")
    says(bench.refused("explain", "W-2", "11 cervical"), "W-2", "W-1")


# ---------------------------------------------------------------- a file that contradicts what happened


@pytest.mark.parametrize(
    "changed",
    [
        pytest.param({"stage": "green", "zones": GREEN}, id="stage"),
        pytest.param({"zones": [zone(*KEY, now=(60.0, 5.0, 20.0), target=TARGET)]}, id="colour"),
    ],
)
def test_a_file_that_contradicts_what_happened_is_refused(bench: Bench, changed: Doc) -> None:
    bench.open("W-1", NECK, stage="blasted")
    bench.record("W-1", [fired_zone(KEY, STAIN, colour((74.0, 1.4, 16.0)))], hour="12:00")
    name = bench.case("W-1", **({"zones": NECK, "stage": "stained"} | changed))
    says(bench.refused("case", "open", name), "W-1")


def test_a_file_of_a_known_case_brings_new_wishes(bench: Bench) -> None:
    bench.open("W-1", NECK, stage="blasted")
    bench.open("W-1", [zone(*KEY, now=NOW, target=(68.0, 4.0, 21.0))], stage="blasted")
    told = bench.advice("W-1")[KEY]
    assert told["target"]["L"] == 68.0
    assert told["standing"]["L"] == NOW[0]


def test_a_file_stores_nothing_and_warns_where_the_book_knows_the_code(bench: Bench) -> None:
    bench.open("W-1", NECK, stage="blasted")
    wished: LabValues = (68.0, 4.0, 21.0)
    name = bench.case("W-1", [zone(*KEY, now=NOW, target=wished)], stage="blasted")
    before = bench.records()
    for command in (("advise",), ("plan",), ("bench",), ("sheet",), ("explain", "11 cervical")):
        warnings = bench.json(command[0], name, *command[1:])["warnings"]
        assert any("W-1" in one and "target" in one for one in warnings), command
    assert bench.records() == before


def test_a_written_file_shows_no_reading_of_before_the_last_firing(bench: Bench) -> None:
    """Painted and not read: the book expects a colour, the file names none, the older reading stands for neither."""
    bench.open("W-1", NECK, stage="blasted")
    bench.record("W-1", [fired_zone(KEY, STAIN)], hour="12:00")
    bench.run("case", "write", "W-1", "written.yaml")
    assert bench.advice("W-1")[KEY]["standing"]["from"] == "expected"
    found = bench.advice("written.yaml")[KEY]
    assert (found["standing"]["from"], found["moves"]) == ("unknown", [])
    assert found["why"] == "fired since it was read: read it"


def test_a_case_written_and_opened_again_says_the_same(bench: Bench) -> None:
    bench.open("W-1", NECK, stage="blasted")
    bench.run("case", "write", "W-1", "written.yaml")
    assert bench.advice("written.yaml")[KEY]["gap"] == bench.advice("W-1")[KEY]["gap"]
    before = bench.records()
    bench.run("case", "open", "written.yaml")
    assert bench.records() == before  # nothing new in it
