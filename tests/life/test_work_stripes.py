"""Ordinary work is a stripe: zones painted with one stain alone begin a fit, and count beside the stripes of plates."""

import pytest

from stainbook.errors import UncalibratedError
from stainbook.faces.firing_types import ZoneResult
from stainbook.faces.reading_types import Light
from stainbook.faces.stain_types import NewStain
from stainbook.faces.wish_types import TabAndTooth
from stainbook.lab import Lab
from stainbook.work.lab.verify_book import check_learning

LIGHT, ZONE = Light("D65", 10), "middle"


@pytest.fixture
def lab(tmp_path):
    """A lab that lists one stain and has no plate."""
    with Lab.open(tmp_path / "lab.db", author="bench-1") as found:
        found.stains.enter(NewStain("husk", "paste", "brown"))
        yield found


def work(lab, number, mix=None, *, typed="husk"):
    """A piece with one zone that was painted with one stain alone."""
    code = lab.cases.make_piece(TabAndTooth({ZONE: "72 1,5 17"}, {ZONE: "76 0,4 11"}, LIGHT))
    firing = lab.case(code).firing
    firing.paint([ZoneResult(11, ZONE, mix or f"{number} coats of (1 part {typed} + 7 parts clear)")], "bench-1")
    firing.record_piece({ZONE: f"{75 - 0.9 * number:.1f} {0.4 + 0.4 * number:.1f} {11 + number}"}, LIGHT)
    return code


def husk(lab):
    return next(one for one in lab.stains.rows() if one.name == "husk")


def test_three_firings_of_one_stain_alone_begin_a_fit(lab):
    for number in (1, 2):
        work(lab, number)
    with pytest.raises(UncalibratedError):
        lab.case("piece-1").advised()
    work(lab, 3)
    assert (husk(lab).stripes, husk(lab).work, husk(lab).all) == (0, 3, 3)
    found = lab.stains.reach("husk")
    assert found.plate == "piece-3-11-middle"  # the zone that showed it last stands for a plate
    one, two = (
        next(c.L for c in found.colours if (c.coats, c.share, c.read) == (coats, 0.125, False)) for coats in (1, 2)
    )
    assert two < one < 76.0  # it darkens, the more of it the more
    code = lab.cases.make_piece(TabAndTooth({ZONE: "72 1,5 14"}, {ZONE: "76 0,4 11"}, LIGHT))
    moves = lab.case(code).advised().cases[0].zones[0].moves
    assert {name for move in moves for layer in move.layers for name in layer.pot} <= {"husk"}
    assert any(move.layers for move in moves)


def test_what_began_so_follows_from_the_records(lab):
    for number in (1, 2, 3):
        work(lab, number)
    found = check_learning(lab.book)
    assert found.faults == []
    assert found.apart == 0.0


def test_mixes_of_two_stains_are_no_stripes(lab):
    lab.stains.enter(NewStain("teasel", "paste", "yellow"))
    for number in (1, 2, 3):
        work(lab, number, "1 part husk + 1 part teasel + 6 parts clear")
    assert (husk(lab).work, husk(lab).all) == (0, 0)
    with pytest.raises(UncalibratedError):
        lab.case("piece-1").advised()


def test_work_that_was_set_aside_is_no_stripe(lab):
    work(lab, 1)
    assert husk(lab).work == 1
    lab.stains.decide("piece-1", (11, ZONE), "wrong", why="another jar")
    assert husk(lab).work == 0
