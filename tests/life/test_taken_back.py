"""What was told by mistake is taken back whole; what two sessions tell alike is stored once, and told so."""

from __future__ import annotations

import json

import pytest

from tests.life.bench import Bench, Doc, Key, by_key, colour, fired_zone, zone
from tests.photo.shots import scene_yaml, table, write_jpeg
from tests.worlds.photo_scenes import render

NOW, AFTER, TARGET = (76.0, 0.9, 14.0), (73.6, 1.5, 16.4), (73.4, 1.6, 16.6)
KEYS: tuple[Key, ...] = ((11, "cervical"), (11, "middle"), (21, "cervical"))
LAYERS: list[Doc] = [{"pot": {"husk": 0.0625, "teasel": 0.125}, "coats": 1}]


def opened(bench: Bench, **head: object) -> None:
    bench.open("W-1", [zone(*key, now=NOW, target=TARGET) for key in KEYS], **{"stage": "blasted", **head})


def painted() -> list[Doc]:
    """Three zones painted, one of them read."""
    return [fired_zone(key, LAYERS, colour(AFTER) if key == KEYS[0] else None) for key in KEYS]


def told(bench: Bench) -> tuple[Doc, dict[Key, Doc]]:
    """What is said of the case, all of it that rests on what happened."""
    sheet = bench.bench("W-1")
    return {key: sheet[key] for key in ("stage", "finish", "material")}, {
        key: {name: one[name] for name in ("standing", "gap", "verdict", "moves")}
        for key, one in bench.advice("W-1").items()
    }


def test_a_firing_is_taken_back_whole(bench: Bench) -> None:
    opened(bench)
    before = told(bench)
    bench.record("W-1", painted())
    assert told(bench) != before
    taken = bench.json("book", "withdraw", f"firing/W-1 {bench.at('10:00')}", "--because", "pressed by mistake")
    assert taken["why"] == "pressed by mistake"
    assert told(bench) == before
    assert bench.json("book", "search", "--case", "W-1", "--stain", "husk")["found"] == []
    rows = bench.json("book", "numbers")["rows"]
    assert [one for one in rows if one["zones"]] == []


def test_a_sintering_is_taken_back_and_the_piece_is_unsintered_again(bench: Bench) -> None:
    zones = [zone(*key, target=TARGET) | {"now": {"body": "reed"}} for key in KEYS]
    bench.open("W-1", zones, stage="green")
    before = told(bench)
    liquid = [{"pot": {"otter": 0.25}, "coats": 1}]
    bench.record("W-1", [fired_zone(KEYS[0], liquid)], firing="sinter")
    assert bench.bench("W-1")["stage"] == "sintered"
    bench.json("book", "withdraw", f"firing/W-1 {bench.at('10:00')}", "--because", "another crown")
    assert told(bench) == before


@pytest.mark.parametrize(
    ("stage", "how", "then"),
    [
        ("green", "coloured", "green"),
        ("green", "dried", "green"),
        ("sintered", "ground", "sintered"),
        ("sintered", "polished", "sintered"),
        ("sintered", "blasted", "blasted"),
        ("stained", "cleaned", "stained"),
        ("stained", "stripped", "blasted"),
        ("glazed", "try-in", "glazed"),
        ("glazed", "bonded", "bonded"),
    ],
)
def test_a_step_is_taken_and_undone(bench: Bench, stage: str, how: str, then: str) -> None:
    if stage == "green":
        zones = [zone(*key, target=TARGET) | {"now": {"body": "reed"}} for key in KEYS]
        bench.open("W-1", zones, stage="green")
    else:
        opened(bench, stage=stage)
    before = told(bench)
    bench.json("case", "did", "W-1", how, "--at", bench.at("09:00"))
    assert bench.bench("W-1")["stage"] == then
    bench.json("case", "did", "W-1", how, "--undo")
    assert told(bench) == before


def test_what_is_done_to_a_zone_changes_where_that_zone_stands(bench: Bench) -> None:
    opened(bench)
    bench.json("case", "did", "W-1", "ground", "--zones", "11 cervical", "--at", bench.at("09:00"))
    zones = bench.advice("W-1")
    assert zones[11, "cervical"]["standing"]["since"] == bench.at("09:00")
    assert zones[11, "cervical"]["standing"]["from"] != "read"
    assert zones[11, "middle"]["standing"]["from"] == "read"


def test_blasting_changes_every_zone(bench: Bench) -> None:
    opened(bench, stage="sintered")
    bench.json("case", "did", "W-1", "blasted", "--at", bench.at("09:00"))
    since = {one["standing"]["since"] for one in bench.advice("W-1").values()}
    assert since == {bench.at("09:00")}


def test_a_delivery_that_was_pressed_by_mistake_is_undone(bench: Bench) -> None:
    zones = [zone(*key, now=TARGET, target=TARGET) for key in KEYS]
    bench.open("W-1", zones, stage="glazed")
    before = told(bench)
    assert bench.json("book", "deliver", "W-1")["stage"] == "delivered"
    assert bench.json("book", "deliver", "W-1", "--undo")["stage"] == "glazed"
    assert told(bench) == before


def test_a_piece_is_delivered_as_it_is_with_a_reason_alone(bench: Bench) -> None:
    """Fired by this version and never glazed, though its finish is glaze."""
    zones = [zone(*key, now=TARGET, target=TARGET) for key in KEYS]
    bench.open("W-1", zones, stage="blasted")
    bench.record("W-1", [fired_zone(key, LAYERS, colour(TARGET)) for key in KEYS])
    assert "glaze" in bench.refused("book", "deliver", "W-1")
    bench.refused("book", "deliver", "W-1", "--as-is", "")
    found = bench.json("book", "deliver", "W-1", "--as-is", "the clinic polishes it")
    assert found["stage"] == "delivered"
    assert "the clinic polishes it" in json.dumps(bench.json("case", "show", "W-1"))


# ---------------------------------------------------------------- two sessions tell one firing


def test_the_same_firing_told_twice_is_stored_once_and_told(bench: Bench) -> None:
    opened(bench)
    first = bench.record("W-1", painted())
    assert first.get("stored", True) is True
    stored = bench.json("book", "list", "firing")["things"]
    before = bench.records()
    bench.environment = {"LOGNAME": "bench-2", "USER": "bench-2"}
    again = bench.record("W-1", painted())
    assert again["stored"] is False
    assert bench.records() == before
    assert bench.json("book", "list", "firing")["things"] == stored
    said = json.dumps(again, ensure_ascii=False)
    assert stored[0]["author"] in said  # by whom, and when
    assert stored[0]["created_at"][:16] in said


def test_the_same_firing_without_a_time_is_the_same(bench: Bench) -> None:
    opened(bench)
    bench.record("W-1", painted())
    before = bench.records()
    told = {"case": "W-1", "operator": "bench-1", "programme": "glaze-770", "zones": painted()}
    assert bench.json("record", bench.write("again.yaml", told).name)["stored"] is False
    assert bench.records() == before


def test_another_firing_of_the_same_layers_at_another_time_is_another(bench: Bench) -> None:
    opened(bench)
    bench.record("W-1", painted())
    assert bench.record("W-1", painted(), hour="14:00").get("stored", True) is True
    assert len(bench.json("book", "list", "firing")["things"]) == 2


def test_the_same_sintering_told_twice_is_stored_once(bench: Bench) -> None:
    zones = [zone(*key, target=TARGET) | {"now": {"body": "reed"}} for key in KEYS]
    bench.open("W-1", zones, stage="green")
    liquid = [fired_zone(KEYS[0], [{"pot": {"otter": 0.25}, "coats": 1}])]
    bench.record("W-1", liquid, firing="sinter")
    before = bench.records()
    assert bench.record("W-1", liquid, firing="sinter")["stored"] is False
    assert bench.records() == before


# ---------------------------------------------------------------- a command that stores stores


def test_photo_store_puts_its_zones_into_the_book(bench: Bench) -> None:
    scene = render(4, "test")
    table(bench.folder / "target.txt", scene)
    write_jpeg(bench.folder / "p.jpg", scene)
    scene_yaml(bench.folder / "scene.yaml", scene, subject="piece")
    keys = list(by_key(bench.json("photo", "p.jpg", "scene.yaml")["zones"]))
    name = bench.case("W-9", [zone(*key, target=TARGET) for key in keys], stage="glazed")
    before = bench.json("book", "list")["counts"].get("reading", 0)
    found = bench.json("photo", "p.jpg", "scene.yaml", "--case", name, "--store")
    assert len(found["stored"]) == len(keys)
    assert bench.json("book", "list")["counts"]["reading"] == before + len(keys)


@pytest.mark.parametrize("as_a_code", [False, True])
def test_photo_without_store_stores_nothing(bench: Bench, as_a_code: bool) -> None:
    scene = render(4, "test")
    table(bench.folder / "target.txt", scene)
    write_jpeg(bench.folder / "p.jpg", scene)
    scene_yaml(bench.folder / "scene.yaml", scene, subject="piece")
    keys = by_key(bench.json("photo", "p.jpg", "scene.yaml")["zones"])
    zones = [zone(*key, target=TARGET) for key in keys]
    name = bench.case("W-9", zones, stage="glazed")
    if as_a_code:
        bench.run("case", "open", name)
    before = bench.records()
    bench.json("photo", "p.jpg", "scene.yaml", "--case", "W-9" if as_a_code else name)
    assert bench.records() == before
