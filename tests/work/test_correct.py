"""Facts are corrected, never erased: the old one stays with why it was wrong, and what follows is worked out anew."""

import pytest

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.kept import Painted, PaintedZone
from stainbook.records import Layer, Pot, Stain
from stainbook.work.case.current_case import known_case
from stainbook.work.case.new_case import NewCase, TypedTarget, make_case
from stainbook.work.case.open_case import now
from stainbook.work.case.typed_readings import Given, store
from stainbook.work.firing.corrections import (
    ToldFiring,
    correct_firing,
    correct_reading,
    correct_zone,
    firings_of,
    read_zones,
    recorded_zones,
    take_back_zone,
)
from stainbook.work.firing.results import FiringResult, ZoneResult, paint, record_result
from stainbook.work.reading.viewing_conditions import Asked

D65 = Asked("D65", 10)
PAINTED = "2 × 1 husk + 7 clear"
ZONES = "72,9 0,9 13,6\n71,8 0,1 9,9\n70,4 2 17"


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as found:
        yield found


@pytest.fixture
def code(book):
    wanted = {"tooth": TypedTarget("72 1,5 17", None, "D65", 10)}
    made = make_case(book, NewCase("W-1", "11", few=False, targets=wanted))
    store(book, made, Given(ZONES, illuminant="D65", observer=10))
    return made


@pytest.fixture
def fired(book, code):
    zones = [ZoneResult(11, "middle", "2 × 1 husk + 7 clear", "71,6 1,4 16,8")]
    told = FiringResult(zones, "bench-1", "glaze-770", None, "42,5", "D65", 10, new_stains=["husk"])
    record_result(book, code, told)
    return recorded_zones(book, code)[0]


def test_a_zone_that_was_recorded_wrongly(book, code, fired):
    result = correct_zone(
        book, code, fired.name, painted="1 × 1 husk + 3 clear", lab="70 1 15", why="misread", asked=D65
    )
    assert result.outcomes[0].got.L == 70.0
    (now,) = recorded_zones(book, code)
    assert now.painted == "1 coat of (1 part husk + 3 parts clear)"
    assert next(one for one in read_zones(book, code) if one.zone == "middle").colour.L == 70.0
    assert len(book.entered("outcome", fired.name)) == 2
    assert {one.why for one in book.corrections().values()} == {"misread"}


def test_a_zone_that_is_corrected_leaves_the_others_of_its_firing(book, code):
    layers = (Layer(Pot.of({"husk": 0.125}), 2),)
    book.add_stains([Stain("husk")])
    paint(book, Painted(code, now(), (PaintedZone(11, "cervical", layers), PaintedZone(11, "middle", layers))))
    told = [ZoneResult(11, "cervical", PAINTED, "71 2,1 18"), ZoneResult(11, "middle", PAINTED, "71,6 1,4 16,8")]
    record_result(book, code, FiringResult(told, illuminant="D65", observer=10))
    name = next(one.name for one in recorded_zones(book, code) if one.zone == "middle")
    correct_zone(book, code, name, painted=PAINTED, lab="70 1 15", why="misread", asked=D65)
    assert {one.zone: one.colour and one.colour.L for one in recorded_zones(book, code)} == {
        "cervical": 71.0, "middle": 70.0,
    }  # fmt: skip


def test_the_firing_itself(book, code, fired):
    (firing,) = firings_of(book, code)
    correct_firing(book, code, firing.fired_at, ToldFiring("bench-2", "glaze-780", "west", "45,5"), why="wrong bench")
    (firing,) = firings_of(book, code)
    assert (firing.operator, firing.programme, firing.furnace, firing.minutes) == ("bench-2", "glaze-780", "west", 45.5)
    assert book.outcomes()[0].operator == "bench-2"  # what is learnt of a hand goes by it


def test_what_never_was_is_taken_back(book, code, fired):
    take_back_zone(book, code, fired.name, why="another case")
    assert recorded_zones(book, code) == ()
    assert len(book.entered("outcome", fired.name)) == 1  # kept, and holding no longer
    assert book.firings_of("W-1") == ()
    assert {zone.fired for zone in known_case(book, code).case.zones} == {0}


def test_a_reading(book, code):
    correct_reading(book, code, "W-1-11-middle", lab="70,5 1 12", why="wrong zone", asked=D65)
    assert next(one for one in read_zones(book, code) if one.zone == "middle").colour.L == 70.5
    correct_reading(book, code, "W-1-11-middle", lab="", why="not of this piece", asked=D65)
    assert [one.zone for one in read_zones(book, code)] == ["cervical", "incisal"]


def test_no_reason_no_correction(book, code, fired):
    for act in (
        lambda: correct_zone(book, code, fired.name, painted="1 × husk", lab="", why=" ", asked=D65),
        lambda: take_back_zone(book, code, fired.name, why=""),
        lambda: correct_reading(book, code, "W-1-11-cervical", lab="", why="", asked=D65),
    ):
        with pytest.raises(InputError, match="expected why"):
            act()
    with pytest.raises(InputError, match="correct it with its firing"):
        correct_reading(book, code, "W-1-11-middle", lab="70 1 12", why="misread", asked=D65)
    with pytest.raises(InputError, match="take it back"):
        correct_zone(book, code, fired.name, painted="", lab="", why="not painted", asked=D65)
    assert len(recorded_zones(book, code)) == 1
