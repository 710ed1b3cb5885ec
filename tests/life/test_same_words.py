"""What two commands say of one zone is the same, in the same words: advice, sheet, report, delivery."""

from __future__ import annotations

import pytest

from tests.life.bench import CHANCE, NEVER_SAID, Bench, Doc, Key, by_key, fired_zone, lab_of, zone

TARGET = (72.0, 1.6, 17.0)
NOWS: dict[Key, tuple[float, float, float]] = {
    (11, "cervical"): (72.2, 1.6, 17.1),  # on its target
    (11, "middle"): (74.1, 1.5, 16.9),  # about the threshold: its reading's doubt leaves it open
    (11, "incisal"): (77.5, 0.8, 12.5),  # far off
    (21, "middle"): (74.3, 1.7, 17.3),
}
GRADES = ("within", "cannot tell", "beyond")


def zones() -> list[Doc]:
    return [zone(*key, now=lab, target=TARGET) for key, lab in NOWS.items()] + [zone(21, "incisal", target=TARGET)]


def grades(found: list[Doc]) -> dict[Key, str | None]:
    """The grade of each zone, wherever a document holds it."""
    told = {(one["tooth"], one["zone"]): one for one in found}
    return {key: one["gap"] and one["gap"]["grade"] if "gap" in one else one["grade"] for key, one in told.items()}


def test_wrong_09_advice_sheet_and_report_give_a_zone_one_grade(bench: Bench) -> None:
    bench.open("W-1", zones(), stage="glazed")
    advised = grades(list(bench.advice("W-1").values()))
    assert set(advised.values()) >= set(GRADES)  # all three are tried here
    assert grades(bench.bench("W-1")["zones"]) == advised
    reported = bench.json("report", "W-1")
    assert grades(reported["zones"]) == advised
    for grade in GRADES:
        assert reported["counts"][grade] == sum(one == grade for one in advised.values())


def test_wrong_09_delivery_counts_the_zones_as_advice_does(bench: Bench) -> None:
    bench.open("W-1", zones(), stage="glazed")
    advised = grades(list(bench.advice("W-1").values()))
    line = bench.refused("book", "deliver", "W-1")
    beyond = [f"{tooth} {name}" for (tooth, name), grade in advised.items() if grade == "beyond"]
    assert beyond
    assert all(name in line for name in beyond)
    others = [f"{tooth} {name}" for (tooth, name), grade in advised.items() if grade != "beyond"]
    assert not [name for name in others if name in line]


def test_wrong_09_result_accepts_no_zone_that_delivery_cannot_tell(bench: Bench) -> None:
    """Recorded and read about the threshold: the result said "accepted", delivery "cannot tell"."""
    bench.open("W-1", zones(), stage="glazed")
    after = {"L": 73.9, "a": 1.5, "b": 16.9, "illuminant": "D65", "observer": 10}
    painted = [fired_zone(key, [{"pot": {"teasel": 0.0625}, "coats": 1}], after) for key in NOWS]
    found = bench.record("W-1", painted, operator="bench-1")
    advised = grades(list(bench.advice("W-1").values()))
    assert set(advised.values()) >= {"cannot tell"}
    for one in found["outcomes"]:
        grade = advised[one["tooth"], one["zone"]]
        assert one["accepted"] is {"within": True, "beyond": False, "cannot tell": None}[grade]
    assert grades(bench.json("report", "W-1")["zones"]) == advised


def test_wrong_09_all_say_that_a_zone_was_not_read(bench: Bench) -> None:
    """Painted and not read: every document stands at the same expected colour and says that it was not read."""
    bench.open("W-1", zones(), stage="stained")
    key = (11, "incisal")
    layers = bench.advice("W-1")[key]["moves"][0]["layers"]
    bench.record("W-1", [fired_zone(key, layers)])
    advised, sheet = bench.advice("W-1")[key], by_key(bench.bench("W-1")["zones"])[key]
    reported = by_key(bench.json("report", "W-1")["zones"])[key]
    assert advised["standing"]["from"] == "expected"
    assert lab_of(sheet["now"]) == lab_of(advised["standing"])
    assert reported["result"] is None or lab_of(reported["result"]) == lab_of(advised["standing"])
    assert advised["gap"]["grade"] == sheet["gap"]["grade"]
    for command in ("bench", "report", "advise"):
        assert "expected, not read" in bench.run(command, "W-1").out, command


def words_of(bench: Bench, *arguments: object) -> set[str]:
    """Every wording of a chance that a command prints; none of those that mean nothing or two things."""
    said = bench.run(*arguments).out
    assert not NEVER_SAID.search(said), said
    return set(CHANCE.findall(said))


@pytest.mark.parametrize("target", [(76.9, 0.9, 13.0), (73.0, 2.2, 18.0), (84.0, 0.0, 4.0)])
def test_wrong_09_a_chance_has_one_wording(bench: Bench, target: tuple[float, float, float]) -> None:
    name = bench.case("W-2", [zone(11, "middle", now=(77.5, 0.8, 12.5), target=target)], stage="blasted")
    (move, *_) = bench.advice(name)[11, "middle"]["moves"]
    advised = words_of(bench, "advise", name)
    assert advised
    assert in_words(move["accept"]) in advised
    planned = by_key(bench.json("plan", name)["zones"])[11, "middle"]
    said = words_of(bench, "plan", name, "--html", "plan.html")
    assert said <= {in_words(planned[key]) for key in ("accept", "accept_within")} | advised
    html = (bench.folder / "plan.html").read_text(encoding="utf-8")
    assert not NEVER_SAID.search(html)
    assert set(CHANCE.findall(html)) == said


def in_words(chance: float) -> str:
    """The wording of words.md: about 1 to 9 in 10, and beyond them what it is more or less than."""
    if chance > 0.95:
        return "more than 19 in 20"
    if chance < 0.05:
        return "less than 1 in 20"
    return f"about {min(max(round(10 * chance), 1), 9)} in 10"
