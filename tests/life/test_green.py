"""A piece from milling to its first reading after sintering: what liquids made of it, and what may go on it then."""

from __future__ import annotations

import pytest

from stainbook.book import Book, open_book
from stainbook.colour import delta_e_2000
from stainbook.match import Watch
from stainbook.work.case.case_desk import Step, open_desk
from stainbook.work.case.chosen import DoneNext, choose, done_next
from stainbook.work.sheets.chosen_sheet import bench_sheet
from tests.life.bench import Bench, Doc, fired_zone, lab_of, stains_in, surface_moves, zone
from tests.life.worlds import LIQUIDS, bare, layers_of, reading, seen, soaked

NECK, MIDDLE, EDGE, GUM = (11, "cervical"), (11, "middle"), (11, "incisal"), (11, "attached")
REED: Doc = {"body": "reed"}
PASSES: dict[tuple[int, str], list[Doc]] = {
    NECK: [{"pot": {"otter": 0.5}, "coats": 2}],
    MIDDLE: [{"pot": {"gorse": 0.5}, "coats": 2}],
}
COLOURED = [fired_zone(key, layers) for key, layers in PASSES.items()]
SINTERED_AT = "12:00"


def green(bench: Bench) -> None:
    """A milled crown with gum on it, in the book, nothing done to it yet."""
    zones = [
        zone(*NECK, target=(70, 3, 20)) | {"now": REED},
        zone(*MIDDLE, target=(74, 1, 17)) | {"now": REED},
        zone(*EDGE, target=(75, 0.5, 12)) | {"now": REED},
        zone(*GUM, target=(54, 19, 13)) | {"now": REED},
    ]
    bench.open("W-1", zones, stage="green")


def sintered(bench: Bench) -> Doc:
    """The crown coloured on two zones, dried, sintered and recorded; nothing was read since."""
    green(bench)
    bench.json("case", "did", "W-1", "coloured", "--zones", "11 cervical,11 middle", "--at", bench.at("09:00"))
    bench.json("case", "did", "W-1", "dried", "--at", bench.at("10:00"))
    return bench.record("W-1", COLOURED, hour=SINTERED_AT, firing="sinter", programme="long")


def test_wrong_01_a_sintered_piece_stands_at_what_its_liquids_are_expected_to_make(bench: Bench) -> None:
    recorded = sintered(bench)
    assert {(one["tooth"], one["zone"]) for one in recorded["painted"]} >= set(PASSES)
    zones = bench.advice("W-1")
    blank = seen(bare("reed"))
    for key, layers in PASSES.items():
        standing = zones[key]["standing"]
        assert (standing["from"], standing["since"]) == ("expected", bench.at(SINTERED_AT))
        assert standing["read_at"] is None
        truth = seen(soaked("reed", layers_of(layers)))
        assert delta_e_2000(lab_of(standing), truth) < 0.5 * delta_e_2000(blank, truth)
    for key in (EDGE, GUM):  # heated too, and nothing in them: the blank, sintered, no longer looked up as unsintered
        standing = zones[key]["standing"]
        assert standing["from"] == "expected"
        assert delta_e_2000(lab_of(standing), blank) < 0.5
    assert bench.bench("W-1")["stage"] == "sintered"


def test_a_neck_beside_gum_that_took_liquid_is_less_sure(bench: Bench) -> None:
    """Liquids creep in open pores: what the gum took may be in the neck too; the middle is out of its reach."""
    sintered(bench)
    alone = bench.advice("W-1")
    zones = [zone(*key, target=(70, 3, 20)) | {"now": REED} for key in (NECK, MIDDLE, EDGE)]
    bench.open("W-2", [*zones, zone(*GUM, target=(54, 19, 13)) | {"now": REED}], stage="green")
    with_gum = [*COLOURED, fired_zone(GUM, [{"pot": {"otter": 1.0}, "coats": 2}])]
    bench.json(
        "case", "did", "W-2", "coloured", "--zones", "11 cervical,11 middle,11 attached", "--at", bench.at("09:00")
    )
    bench.json("case", "did", "W-2", "dried", "--at", bench.at("10:00"))
    bench.record("W-2", with_gum, hour=SINTERED_AT, firing="sinter", programme="long")
    beside = bench.advice("W-2")
    assert beside[NECK]["standing"]["u"] > alone[NECK]["standing"]["u"]
    assert beside[MIDDLE]["standing"]["u"] == alone[MIDDLE]["standing"]["u"]
    assert lab_of(beside[NECK]["standing"]) == lab_of(alone[NECK]["standing"])


def test_wrong_01_before_sintering_it_stands_at_its_blank(bench: Bench) -> None:
    green(bench)
    for key, told in bench.advice("W-1").items():
        assert (key, told["standing"]["from"], told["standing"]["of"]) == (key, "blank", "reed")


def test_wrong_01_no_liquid_is_a_next_step_of_a_sintered_piece(bench: Bench) -> None:
    sintered(bench)
    for told in bench.advice("W-1").values():
        assert all(not stains_in(move) & set(LIQUIDS) for move in surface_moves(told))
    printed = bench.run("bench", "W-1").out + bench.run("plan", "W-1").out
    assert not [name for name in LIQUIDS if name in printed]


def test_wrong_01_no_surface_step_before_a_tooth_and_a_gum_zone_of_the_piece_were_read(bench: Bench) -> None:
    sintered(bench)

    def steps() -> list[Doc]:
        return [move for told in bench.advice("W-1").values() for move in surface_moves(told)]

    assert steps() == []
    assert all(not told["layers"] for told in bench.json("plan", "W-1")["zones"])
    neck = soaked("reed", layers_of(PASSES[NECK]))
    bench.read(reading("W-1-11-cervical", neck, bench.at("13:00"), stage="sintered"))
    assert steps() == []  # its gum was not read yet
    bench.read(reading("W-1-11-attached", bare("reed"), bench.at("13:05"), stage="sintered"))
    zones = bench.advice("W-1")
    assert (zones[NECK]["standing"]["from"], zones[NECK]["standing"]["read_at"]) == ("read", bench.at("13:00"))
    assert zones[MIDDLE]["standing"]["from"] == "expected"
    assert steps() != []
    assert all(not stains_in(move) & set(LIQUIDS) for move in steps())


@pytest.mark.parametrize("head", [{}, {"firing": "sinter"}])
def test_wrong_01_the_firing_of_a_green_piece_with_liquids_alone_is_its_sintering(bench: Bench, head: Doc) -> None:
    green(bench)
    bench.record("W-1", COLOURED, hour=SINTERED_AT, programme="long", **head)
    assert bench.bench("W-1")["stage"] == "sintered"


def test_wrong_01_a_reading_of_the_piece_moves_the_zones_that_were_not_read(bench: Bench) -> None:
    """What the same run did to its neighbour is known once that is read; the doubt of the other shrinks with it."""
    sintered(bench)
    before = bench.advice("W-1")[MIDDLE]["standing"]
    neck = soaked("reed", layers_of(PASSES[NECK]))
    bench.read(reading("W-1-11-cervical", neck, bench.at("13:00"), stage="sintered"))
    after = bench.advice("W-1")[MIDDLE]["standing"]
    assert after["from"] == "expected"
    assert after["u"] < before["u"]


# ---------------------------------------------------------------- one blank, and gum that no liquid brings


def arch_on(body: str) -> list[Doc]:
    """A green piece of three teeth that want different blanks, with gum."""
    wants = {11: (78, 0.6, 12), 12: (73, 2.2, 17), 13: (68, 4.2, 20.5)}
    teeth = [zone(tooth, name, target=lab) for tooth, lab in wants.items() for name in ("cervical", "middle")]
    gum = [zone(tooth, "attached", target=(54, 19, 13)) for tooth in wants]
    return [one | {"now": {"body": body}} for one in (*teeth, *gum)]


def test_wrong_08_a_green_arch_has_one_best_blank_for_all_its_zones(bench: Bench) -> None:
    (found,) = bench.json("advise", bench.case("W-2", arch_on("sedge"), stage="green"))["cases"]
    named = {move["body"] for told in found["zones"] for move in told["moves"] if move["kind"] == "remake"}
    assert len(named) == 1
    assert named == {found["remake"]["body"]}
    assert 0 <= found["remake"]["accept"] <= found["remake"]["accept_within"] <= 1


def test_wrong_08_that_no_liquid_brings_gum_there_is_said_and_none_is_proposed(bench: Bench) -> None:
    name = bench.case("W-2", arch_on("reed"), stage="green")
    gum = [told for (_, where), told in bench.advice(name).items() if where == "attached"]
    for told in gum:
        assert told["why"] is not None
        assert "no liquid" in told["why"]
        assert "gum" in told["why"]
        assert [move["layers"] for move in told["moves"] if move["kind"] == "add" and move["layers"]] == []
    sheet = [told for told in bench.bench(name)["zones"] if told["zone"] == "attached"]
    assert all("no liquid" in told["step"] for told in sheet)
    assert all("surface stain on the sintered piece has" in told["step"] for told in sheet)


def test_gum_left_by_a_chosen_plan_keeps_its_reason_on_each_sheet(bench: Bench) -> None:
    bench.open("W-2", arch_on("reed"), stage="green")
    with open_book(bench.url) as book:
        done = desk_of(book, "W-2")
        choose(book, "W-2", dict.fromkeys(done.moves, Step("leave", ())))
        printed = bench_sheet(book, "W-2", open_desk(book, "W-2", Watch()), desk_of(book, "W-2"))[1]
    assert "No liquid brings gum there: do not stain it now; surface stain on the sintered piece has" in printed
    assert "Stain cannot reach" not in printed
    steps = {told["zone"]: told["step"] for told in bench.bench("W-2")["zones"]}
    assert steps["middle"] == "as it is"
    assert "no liquid brings gum there" in steps["attached"]


def desk_of(book: Book, code: str) -> DoneNext:
    return done_next(book, open_desk(book, code, Watch()))
