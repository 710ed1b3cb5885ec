"""A piece that was recorded as fired and read afterwards: its readings are what came out of that firing."""

import pytest

from stainbook.book import open_book
from stainbook.faces.firing_types import Given
from stainbook.faces.reading_types import Light
from stainbook.faces.recipe_types import LookedFor
from stainbook.kept import Painted, PaintedZone
from stainbook.lab import Lab
from stainbook.records import Layer, Pot, Stain
from stainbook.work.case.new_case import NewCase, TypedTarget, make_case
from stainbook.work.case.open_case import now
from stainbook.work.case.typed_readings import store
from stainbook.work.firing.results import FiringResult, ZoneResult, paint, record_result

UNDER = Light("D65", 10)
PAINTED = "2 × 1 husk + 7 clear"
LAYERS = (Layer(Pot.of({"husk": 0.125}), 2),)


@pytest.fixture
def lab(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as book:
        code = make_case(
            book, NewCase("W-1", "11", few=False, targets={"tooth": TypedTarget("72 1,5 17", None, *UNDER)})
        )
        store(book, code, Given("72,9 0,9 13,6\n71,8 0,1 9,9\n70,4 2 17", illuminant="D65", observer=10))
        book.add_stains([Stain("husk")])
        zones = (PaintedZone(11, "cervical", LAYERS), PaintedZone(11, "middle", LAYERS))
        paint(book, Painted(code, now(), zones))
        told = [ZoneResult(11, "cervical", PAINTED), ZoneResult(11, "middle", PAINTED)]
        record_result(book, code, FiringResult(told, illuminant="D65", observer=10))
    with Lab.open(tmp_path / "lab.db") as found:
        yield found


def came_out(lab):
    return {one.zone: one.colour and one.colour.L for one in lab.case("W-1").firing.zones()}


def test_one_by_one_and_corrected_at_once(lab):
    measured = lab.case("W-1").measured
    assert came_out(lab) == {"cervical": None, "middle": None}
    measured.take("W-1-11-cervical", "71 2,1 18", UNDER, sure=True)
    assert came_out(lab) == {"cervical": 71.0, "middle": None}
    measured.take("W-1-11-cervical", "70,5 2,1 18", UNDER, sure=True, again=True)
    measured.take("W-1-11-middle", "71,6 1,4 16,8", UNDER, sure=True)
    assert came_out(lab) == {"cervical": 70.5, "middle": 71.6}
    assert [one.colour.L for one in measured.read() if one.zone == "cervical"] == [70.5]


def test_pasted_and_found_again_by_colour(lab):
    lab.case("W-1").measured.store(Given("71 2,1 18\n71,6 1,4 16,8\n70,4 2 17", illuminant="D65", observer=10))
    assert came_out(lab) == {"cervical": 71.0, "middle": 71.6}
    found = lab.recipes.look_up(LookedFor("71,0 2,1 18,0", 1.0, illuminant="D65", observer=10))
    assert [one.on for one in found] == ["W-1 11 cervical"]


def test_from_a_file_by_its_samples(lab, tmp_path):
    text = "sample,tissue,L,a,b,illuminant,observer\nW-1-11-middle,tooth,71.6,1.4,16.8,D65,10\n"
    (tmp_path / "read.csv").write_text(text)
    lab.readings.take_in(tmp_path / "read.csv")
    assert came_out(lab)["middle"] == 71.6
