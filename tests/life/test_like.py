"""The short set: a zone that was not read follows one that may stand for it, and never spoils what is told of it."""

from __future__ import annotations

import pytest

from tests.life.bench import Bench, Doc, by_key, colour, fired_zone, zone

FRONT = (13, 12, 11, 21, 22, 23)
READ = {  # eight readings of the arch, as the short set takes them, and more on the molar where a test says so
    (11, "cervical"): (70.6, 2.4, 18.0),
    (11, "middle"): (73.6, 1.2, 15.2),
    (11, "incisal"): (72.0, 0.4, 10.2),
    (13, "cervical"): (67.2, 4.4, 22.0),
    (13, "middle"): (70.4, 3.0, 19.0),
    (16, "cervical"): (64.0, 5.6, 24.0),
    (15, "cervical"): (66.0, 5.0, 23.0),
    (14, "cervical"): (66.4, 4.8, 22.6),
}
PALE = (73.6, 1.2, 15.2)


def arch(read: dict, **more: tuple) -> list[Doc]:
    """Front and back teeth of an upper arch; ``read`` of them have a colour."""
    back = [(tooth, name) for tooth in (16, 15, 14) for name in ("cervical", "middle", "occlusal")]
    front = [(tooth, name) for tooth in FRONT for name in ("cervical", "middle", "incisal")]
    targets = {"occlusal": PALE, "middle": PALE, "cervical": (69.0, 3.0, 19.5), "incisal": (72.0, 0.4, 10.2)}
    return [zone(*key, target=targets[key[1]], now=read.get(key)) for key in (*front, *back)]


def follows(bench: Bench, read: dict) -> dict[str, str | None]:
    """Which zone each occlusal zone follows."""
    name = bench.case("W-9", arch(read), stage="stained", readings="short")
    found = by_key(bench.bench(name)["zones"])
    return {f"{tooth} {where}": one["like"] for (tooth, where), one in found.items() if where == "occlusal"}


MOLAR_MIDDLE, PREMOLAR_OCCLUSAL = {(16, "middle"): (71.0, 2.0, 17.0)}, {(15, "occlusal"): (72.0, 1.6, 16.0)}


@pytest.mark.parametrize(
    ("more", "kind"),
    [
        pytest.param({}, "middle", id="a middle third, however far"),
        pytest.param(MOLAR_MIDDLE, "middle", id="the nearest middle third"),
        pytest.param(PREMOLAR_OCCLUSAL, "occlusal", id="another occlusal"),
        pytest.param(MOLAR_MIDDLE | PREMOLAR_OCCLUSAL, "occlusal", id="an occlusal before a middle third"),
    ],
)
def test_wrong_07_an_occlusal_zone_follows_an_occlusal_then_a_middle_third(bench: Bench, more: dict, kind: str) -> None:
    found = follows(bench, READ | more)
    for name, like in found.items():
        if (16, "occlusal") in more or (name == "15 occlusal" and more.get((15, "occlusal"))):
            continue
        assert like is not None
        assert like.split()[1] == kind, (name, like)


def test_wrong_07_an_incisal_third_is_the_last_and_a_cervical_one_never(bench: Bench) -> None:
    necks = {key: lab for key, lab in READ.items() if key[1] == "cervical"}
    with_edge = follows(bench, necks | {(11, "incisal"): READ[11, "incisal"], (12, "cervical"): (70, 2.6, 18.4)})
    assert all(like is None or like.split()[1] != "cervical" for like in with_edge.values())
    filled = {(tooth, "cervical"): (70, 2.6, 18.4) for tooth in (12, 21, 22, 23)}
    alone = follows(bench, necks | filled)
    assert set(alone.values()) == {None}  # nothing that may stand for it: it is read itself


def test_wrong_07_a_zone_that_follows_no_neck_is_not_told_out_of_reach(bench: Bench) -> None:
    """The neck of a molar is far darker than its biting face: from there no stain would lift it."""
    name = bench.case("W-9", arch(READ), stage="stained", readings="short")
    for (_, where), told in bench.advice(name).items():
        if where == "occlusal":
            assert told["verdict"] != "out of reach"
            assert told["gap"]["grade"] != "beyond"


def test_wrong_07_it_does_not_block_delivery(bench: Bench) -> None:
    read = READ | {key: (69.0, 3.0, 19.5) for key in READ if key[1] == "cervical"}
    read |= {(13, "middle"): PALE, (11, "middle"): PALE}
    neck = {(16, "cervical"): (69.0, 3.0, 19.5)}
    bench.open("W-9", arch(read | neck), stage="glazed", readings="short")
    assert bench.json("book", "deliver", "W-9")["stage"] == "delivered"


def test_wrong_07_standing_says_which_zone_it_is_like(bench: Bench) -> None:
    bench.open("W-9", arch(READ | PREMOLAR_OCCLUSAL), stage="stained", readings="short")
    standing = bench.advice("W-9")[16, "occlusal"]["standing"]
    assert (standing["from"], standing["of"]) == ("like", "15 occlusal")


# ---------------------------------------------------------------- what was done to one and not to the other

NECK, OTHER = (11, "cervical"), (21, "cervical")
NOW, TARGET, CAME_OUT = (76.0, 0.9, 14.0), (71.0, 2.4, 18.0), (73.0, 1.6, 16.0)
HUSK: list[Doc] = [{"pot": {"husk": 0.125}, "coats": 1}]
FLOUR: list[Doc] = [{"pot": {"flour": 0.5}, "coats": 2}]


def pair(bench: Bench, **more: object) -> None:
    """Two necks of which one was read, and the other follows it."""
    other = zone(*OTHER, target=TARGET, like={"tooth": NECK[0], "zone": NECK[1]})
    bench.open("W-1", [zone(*NECK, now=NOW, target=TARGET), other], **{"stage": "stained", **more})


def standing(bench: Bench) -> Doc:
    return dict(bench.advice("W-1")[OTHER]["standing"])


def typed(bench: Bench, key: tuple[int, str], lab: tuple[float, float, float], hour: str) -> None:
    head = "sample,L,a,b,illuminant,observer,surface,taken_at"
    row = f"W-1-{key[0]}-{key[1]},{lab[0]},{lab[1]},{lab[2]},D65,10,glazed,{bench.at(hour)}"
    (bench.folder / "typed.csv").write_text(f"{head}\n{row}\n", encoding="utf-8")
    bench.json("read", "typed.csv")


def test_a_zone_is_like_another_that_was_ground_as_it_was_and_read_since(bench: Bench) -> None:
    pair(bench)
    bench.json("case", "did", "W-1", "ground", "--at", bench.at("09:00"))
    assert standing(bench)["from"] == "unknown"
    typed(bench, NECK, CAME_OUT, "10:00")
    found = standing(bench)
    assert (found["from"], found["of"], found["L"]) == ("like", "11 cervical", CAME_OUT[0])


def test_a_zone_that_was_ground_alone_is_like_none_after_a_firing_either(bench: Bench) -> None:
    pair(bench)
    bench.json("case", "did", "W-1", "ground", "--zones", "21 cervical", "--at", bench.at("08:00"))
    typed(bench, OTHER, (79.0, 0.6, 11.0), "09:00")
    bench.record("W-1", [fired_zone(NECK, HUSK, colour(CAME_OUT)), fired_zone(OTHER, HUSK)], hour="10:00")
    found = standing(bench)
    assert (found["from"], found["of"]) == ("expected", "W-1-21-cervical")
    assert found["L"] > CAME_OUT[0] + 1.0


def test_a_zone_in_another_layer_of_the_blank_is_not_like_one(bench: Bench) -> None:
    zones = [zone(*NECK, target=TARGET, height_mm=2)]
    zones += [zone(*OTHER, target=TARGET, height_mm=9, like={"tooth": NECK[0], "zone": NECK[1]})]
    layers = [{"height_mm": 0, "sample": "sedge"}, {"height_mm": 6, "sample": "reed"}]
    bench.open("W-1", zones, stage="green", blank={"name": "reed", "layers": layers})
    bench.record("W-1", firing="sinter", hour="08:00")
    typed(bench, NECK, (66.0, 3.0, 19.0), "09:00")
    found = standing(bench)
    assert (found["from"], found["of"]) == ("expected", "reed")


def test_a_zone_painted_otherwise_than_the_one_it_follows_is_expected_from_there(bench: Bench) -> None:
    """Painted and not read, with layers of its own: it starts where the other was, with the doubt of not being read."""
    pair(bench)
    before = standing(bench)
    assert before["from"] == "like"
    told = bench.record("W-1", [fired_zone(NECK, HUSK, colour(CAME_OUT)), fired_zone(OTHER, FLOUR)], hour="10:00")
    found = standing(bench)
    assert (found["from"], found["of"], found["since"]) == ("expected", "11 cervical", bench.at("10:00"))
    assert found["L"] > CAME_OUT[0] + 1.0  # white on it, brown on the other
    assert found["u"] > before["u"]
    assert told["painted"][0]["expected"]["L"] == found["L"]


def test_neither_was_read_since_and_both_are_expected_of_the_same_start(bench: Bench) -> None:
    pair(bench)
    bench.record("W-1", [fired_zone(key, HUSK) for key in (NECK, OTHER)], hour="10:00")
    zones = bench.advice("W-1")
    assert {one["standing"]["from"] for one in zones.values()} == {"expected"}
    assert zones[OTHER]["standing"]["L"] == pytest.approx(zones[NECK]["standing"]["L"], abs=0.05)
    assert zones[OTHER]["standing"]["u"] > zones[NECK]["standing"]["u"]
