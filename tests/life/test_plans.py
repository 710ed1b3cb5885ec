"""A plan of the whole piece: it says nothing of zones that are not there, harms none, and treats like alike."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
import yaml

from stainbook.book import open_book
from stainbook.work.lab.settings import keep_mixing
from tests.life.bench import Bench, Doc, Key, by_key, zone
from tests.life.worlds import LIQUIDS

HOPEFUL = re.compile(r"nearly always|more than \d+ in \d+|about [2-9] in 10")
LOST = {"cervical": ((66.0, 5.0, 22.0), (88.0, -0.3, 5.0)), "middle": ((68.0, 4.0, 20.0), (89.0, -0.4, 4.0))}
WORSE_BY, CHANCE_LOWER = 0.15, 0.02  # ΔE00 and chance within the firings: law 5 of a plan


def lost(bench: Bench) -> str:
    """A piece far too dark everywhere: neither stain nor another blank of the lab helps."""
    zones = [zone(tooth, name, now=now, target=to) for tooth in (11, 21) for name, (now, to) in LOST.items()]
    return bench.case("W-3", zones, stage="stained")


def remade(bench: Bench) -> str:
    """A piece far too dark everywhere, for which another blank of the lab is the first thing to think of."""
    zones = [
        zone(tooth, name, now=now, target=(80.0, 0.2, 9.0)) for tooth in (11, 21) for name, (now, _) in LOST.items()
    ]
    return bench.case("W-3", zones, stage="stained")


def met(bench: Bench) -> str:
    """A piece of which every zone is on its target."""
    there = {"cervical": (71.0, 2.5, 18.0), "middle": (74.0, 1.2, 15.0)}
    return bench.case("W-4", [zone(11, name, now=lab, target=lab) for name, lab in there.items()], stage="glazed")


# ---------------------------------------------------------------- nothing is said of no zone


def test_wrong_04_of_zones_within_reach_nothing_is_said_where_there_is_none(bench: Bench) -> None:
    found = bench.json("plan", lost(bench))
    assert [told["verdict"] for told in found["zones"]] == ["out of reach"] * 4
    assert found["within_reach"] is None
    assert found["unlimited"] is None
    assert not HOPEFUL.search(bench.run("plan", "W-3.yaml").out)


def test_wrong_04_what_is_painted_is_not_headed_as_no_firing(bench: Bench) -> None:
    """Wanted far too strong: liquids come nearer and not there; the sheet said "No firing" above the layers."""
    zones = [zone(11, name, target=(60, 4, 52)) | {"now": {"body": "reed"}} for name in ("cervical", "middle")]
    found = bench.json("plan", bench.case("W-3", zones, stage="green"))
    assert any(told["layers"] for told in found["zones"])
    assert found["within_reach"] is None
    said = bench.run("plan", "W-3.yaml").out
    assert "No firing" not in said
    assert not HOPEFUL.search(said)


def test_wrong_04_the_whole_case_is_no_surer_than_its_least_sure_zone(bench: Bench) -> None:
    name = lost(bench)
    (case,) = bench.json("advise", name)["cases"]
    least = min(told["moves"][0]["accept"] for told in case["zones"])
    assert least < 0.05
    for key in ("accept", "accept_within"):
        assert case[key] is None or case[key] <= min(told["moves"][0][key] for told in case["zones"]) + 0.01
    assert not HOPEFUL.search(bench.run("advise", name).out.splitlines()[0])


def test_wrong_04_a_case_without_readings_has_no_chance_at_all(bench: Bench) -> None:
    name = bench.case("W-5", [zone(11, "middle", target=(74, 1, 15)), zone(21, "middle", target=(74, 1, 15))])
    (case,) = bench.json("advise", name)["cases"]
    assert (case["accept"], case["accept_within"]) == (None, None)
    found = bench.json("plan", name)
    assert (found["accept"], found["within_reach"], found["unlimited"]) == (None, None, None)
    assert not HOPEFUL.search(bench.run("plan", name).out)


@pytest.mark.parametrize("case", [met, lost])
def test_wrong_04_nothing_is_fired_where_nothing_is_painted(bench: Bench, case) -> None:
    name = case(bench)
    found = bench.json("plan", name)
    said = bench.run("plan", name, "--html", "plan.html").out
    printed = said + (bench.folder / "plan.html").read_text(encoding="utf-8")
    painted = any(told["layers"] for told in found["zones"])
    assert painted == bool(re.search(r"fire it|Mix first|First layers", printed)), printed
    assert case is lost or not painted


# ---------------------------------------------------------------- no zone is made worse


def uneven(bench: Bench) -> str:
    """Zones that are there already between zones that need much, with few mixes for all."""
    teeth = (12, 11, 21, 22)
    necks = [zone(tooth, "cervical", now=(74.5, 1.0, 14.0), target=(67.0, 4.6, 22.5)) for tooth in teeth]
    lifts = zip(teeth, (0.9, 1.2, 0.6, 1.0), strict=True)
    middles = [zone(tooth, "middle", now=(74.0, 1.2, 15.0), target=(74.0 + lift, 1.2, 15.0)) for tooth, lift in lifts]
    edges = [zone(tooth, "incisal", now=(72.0, 0.4, 10.0), target=(72.4, 0.4, 10.6)) for tooth in teeth]
    zones = [*necks, *middles, *edges]
    return bench.case("W-6", zones, stage="stained", limits={"pots": 2, "layers": 2, "coats": 2})


def short_set(bench: Bench) -> str:
    """An arch of which eight zones were read; most of the others follow far ones and are met within a wide doubt."""
    wants = {"cervical": (71.0, 2.6, 18.5), "middle": (74.0, 1.4, 15.5), "incisal": (72.5, 0.5, 10.5)}
    wants["occlusal"] = (73.0, 1.6, 16.0)
    read = {
        (11, "cervical"): (71.93, 2.03, 18.34),
        (11, "middle"): (75.12, 1.1, 13.49),
        (11, "incisal"): (75.14, -0.36, 7.27),
        (13, "cervical"): (71.53, 2.52, 18.48),
        (13, "middle"): (74.86, 1.68, 14.42),
        (16, "middle"): (74.58, 1.22, 15.93),
    }
    keys = [(tooth, name) for tooth in (16, 15, 14) for name in ("cervical", "middle", "occlusal")]
    keys += [(tooth, name) for tooth in (13, 12, 11, 21, 22, 23) for name in ("cervical", "middle", "incisal")]
    teeth = [zone(*key, target=wants[key[1]], now=read.get(key)) for key in keys]
    gum = [zone(tooth, "attached", now=(lift, 11, 10), target=(54, 18, 13)) for tooth, lift in ((12, 59.1), (11, 60.1))]
    limits = {"layers": 2, "coats": 2}
    return bench.case("W-6", [*teeth, *gum], stage="blasted", readings="short", limits=limits)


@pytest.mark.parametrize("mixes", [1, 4])
@pytest.mark.parametrize("case", [uneven, short_set, lost])
def test_wrong_05_a_plan_makes_no_zone_worse_than_leaving_it(bench: Bench, case, mixes: int) -> None:
    name = case(bench)
    left = left_alone(bench, name)
    for key, told in by_key(bench.json("plan", name, "--mixes", mixes)["zones"]).items():
        assert told["dE00"] <= left[key]["dE00"] + WORSE_BY, key
        assert told["accept_within"] >= left[key]["accept_within"] - CHANCE_LOWER, key


def left_alone(bench: Bench, name: str) -> dict[Key, Doc]:
    """What becomes of the zones where nothing is put on them: the plan of the same case that may take no stain."""
    case = yaml.safe_load((bench.folder / name).read_text(encoding="utf-8"))
    limits = case.get("limits", {}) | {"stains": []}
    found = bench.json("plan", bench.write("left.yaml", case | {"limits": limits}).name)
    assert all(not one["layers"] for one in found["zones"])
    return by_key(found["zones"])


def test_wrong_05_a_zone_that_needs_nothing_gets_nothing(bench: Bench) -> None:
    there = (74.0, 1.2, 15.0)
    zones = [zone(11, "middle", now=there, target=(70.0, 2.4, 19.0)), zone(21, "middle", now=there, target=there)]
    found = by_key(bench.json("plan", bench.case("W-7", zones, stage="stained"), "--mixes", 4)["zones"])
    assert found[11, "middle"]["layers"]
    assert found[21, "middle"]["layers"] == []


# ---------------------------------------------------------------- like is treated alike

PAIRS: dict[tuple[int, str], tuple[tuple[float, float, float], tuple[float, float, float]]] = {
    (11, "cervical"): ((74.8, 0.9, 14.0), (70.4, 3.2, 20.5)),
    (11, "middle"): ((76.2, 0.5, 12.6), (73.0, 1.8, 17.2)),
    (12, "cervical"): ((74.1, 1.1, 14.6), (69.8, 3.5, 21.2)),
    (12, "middle"): ((75.6, 0.7, 13.1), (72.2, 2.1, 17.9)),
    (13, "cervical"): ((72.9, 1.5, 15.9), (67.0, 4.8, 23.0)),
    (13, "middle"): ((74.4, 1.0, 14.4), (69.6, 3.6, 20.3)),
}
GUM_NOW, GUM_TARGET = (60.0, 10.0, 10.0), (55.0, 16.5, 12.5)


def mirrored(bench: Bench, *, right_first: bool = True) -> str:
    """Six teeth, left as right, and attached gum that is the same from tooth to tooth."""
    sides = (0, 10) if right_first else (10, 0)
    zones = [
        zone(tooth + side, name, now=now, target=target)
        for side in sides
        for (tooth, name), (now, target) in PAIRS.items()
    ]
    gum = [zone(tooth, "attached", now=GUM_NOW, target=GUM_TARGET) for tooth in (13, 12, 11, 21, 22, 23)]
    limits = {"pots": 4, "layers": 2, "coats": 2}
    return bench.case("W-8", [*zones, *gum], stage="stained", limits=limits)


def laid(zones: list[Doc], how: str) -> dict[Key, list[Doc]]:
    return {(one["tooth"], one["zone"]): one[how] for one in zones}


@pytest.mark.parametrize("mixes", [2, 4])
def test_wrong_06_a_plan_paints_mirror_zones_that_are_alike_alike(bench: Bench, mixes: int) -> None:
    found = laid(bench.json("plan", mirrored(bench), "--mixes", mixes)["zones"], "painted")
    for tooth, name in PAIRS:
        assert found[tooth, name] == found[tooth + 10, name], (tooth, name)


@pytest.mark.parametrize("mixes", [3, 4])
def test_wrong_06_gum_of_one_kind_gets_one_mix_from_tooth_to_tooth(bench: Bench, mixes: int) -> None:
    found = laid(bench.json("plan", mirrored(bench), "--mixes", mixes)["zones"], "painted")
    gum = [layers for (_, name), layers in found.items() if name == "attached"]
    assert gum == [gum[0]] * 6


def test_wrong_06_advice_gives_mirror_zones_that_are_alike_the_same_steps(bench: Bench) -> None:
    zones = bench.advice(mirrored(bench))
    for tooth, name in PAIRS:
        right, left = zones[tooth, name]["moves"], zones[tooth + 10, name]["moves"]
        assert [one["layers"] for one in right] == [one["layers"] for one in left]
    gum = [told["moves"][0]["layers"] for (_, name), told in zones.items() if name == "attached"]
    assert gum == [gum[0]] * 6


def test_wrong_06_no_mix_serves_both_teeth_and_gum(bench: Bench) -> None:
    found = bench.json("plan", mirrored(bench), "--mixes", 4)["zones"]
    used = {
        tissue: {str(layer["pot"]) for one in found if one["tissue"] == tissue for layer in one["painted"]}
        for tissue in ("tooth", "gingiva")
    }
    assert used["tooth"]
    assert used["gingiva"]
    assert used["tooth"] & used["gingiva"] == set()


def test_wrong_06_the_order_of_zones_in_the_file_changes_nothing(bench: Bench) -> None:
    found = [
        laid(bench.json("plan", mirrored(bench, right_first=first), "--mixes", 3)["zones"], "painted")
        for first in (True, False)
    ]
    assert found[0] == found[1]


def test_wrong_06_no_liquid_is_planned_on_a_stained_piece(bench: Bench) -> None:
    found = bench.json("plan", mirrored(bench), "--mixes", 4)["pots"]
    assert all(not set(one["pot"]) & set(LIQUIDS) for one in found)


# ---------------------------------------------------------------- law 11: what is not mixed


def mixed(bench: Bench, name: str) -> set[frozenset[str]]:
    """The pairs of stains that advice and plan would mix."""
    (case,) = bench.json("advise", name)["cases"]
    pots = [layer["pot"] for told in case["zones"] for move in told["moves"] for layer in move["layers"]]
    pots += [one["pot"] for one in bench.json("plan", name)["pots"]]
    return {frozenset(pot) for pot in pots if len(pot) == 2}


def test_law_11_no_mix_is_of_two_systems_unless_the_lab_says_so(bench: Bench) -> None:
    name = bench.case("W-6", [zone(11, part, now=(76.5, 0.7, 13.0), target=(72.0, 2.2, 18.0)) for part in LOST])
    free = mixed(bench, name)
    one = sorted(min(free, key=sorted))[0]  # any that is mixed stands alone in a system
    with open_book(bench.url) as book:
        book.add_stains(
            [replace(jar, system="field" if jar.name == one else "shore") for jar in book.stains().values()]
        )
    assert any(one in pair for pair in free)
    assert not any(one in pair for pair in mixed(bench, name))
    with open_book(bench.url) as book:
        keep_mixing(book, strengths="", scale_step=0.01, together="shore + field")
    assert mixed(bench, name) == free
