"""Accepted, delivered, come back: refused with a sentence where it must be, kept as facts, told to firing and zones."""

import pytest

from stainbook.apparatus import Instrument
from stainbook.book import open_book
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import Firing, Outcome, Painted, PaintedZone
from stainbook.records import Case, CaseZone, LabRef, Layer, Pot, Reading, Target, Viewing
from stainbook.work.case.current_case import known_case
from stainbook.work.case.delivery import accept, deliver, standing, take_return, undo_received
from stainbook.work.case.new_case import NewCase, make_case
from stainbook.work.firing.glazed import glazed_all
from stainbook.work.firing.results import paint
from stainbook.work.lab.numbers import numbers
from stainbook.work.lab.settings import keep_edges
from tests.work.opened import opened

AT = "2026-03-02T10:00:00Z"
LAYERS = (Layer(Pot.of({"husk": 0.25}), 2),)


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as found:
        yield found


@pytest.fixture
def code(book):
    """A case of two zones: one is on its target, one 6 L* from it (beyond, since teeth accept 1.8)."""
    target = Target(LabRef((72.0, 1.5, 17.0), Viewing()))
    zones = tuple(CaseZone(11, zone, "tooth", target=target) for zone in ("cervical", "middle"))
    opened(book, Case("W-1", zones, "zirconia", "stained"))
    for zone, L in (("cervical", 72.0), ("middle", 78.0)):
        book.add_readings([Reading(f"W-1-11-{zone}", lab=(L, 1.5, 17.0), viewing=Viewing())])
    return "W-1"


@pytest.fixture
def fired(book):
    after = Reading("W-1-11-middle", lab=(78.0, 1.5, 17.0), viewing=Viewing(), taken_at=AT)
    book.add_firings([Firing("W-1", AT)])
    book.add_outcomes([Outcome("W-1", 11, "middle", "tooth", AT, LAYERS, after, to_target=4.0, accepted=False)])


def test_a_zone_beyond_bars_delivery_until_somebody_accepts(book, code, fired):
    assert standing(book, code).zones["beyond"] == ("11 middle",)
    with pytest.raises(InputError, match=r"1 zone was read out of tolerance.*11 middle.*nobody accepted"):
        deliver(book, code)
    assert accept(book, code, "clinic").accepted_by == "clinic"
    assert deliver(book, code).stage == "delivered"
    assert known_case(book, code).case.stage == "delivered"
    (outcome,) = book.outcomes()
    assert (outcome.accepted, outcome.accepted_by) == (True, "clinic")
    assert book.firings()[0].accepted_by == "clinic"
    assert known_case(book, code).case.accepted_by == "clinic"
    assert deliver(book, "W-1").warnings == ["W-1 was delivered before"]


def test_a_translucent_edge_is_for_the_eye_until_the_lab_says_that_it_counts(book):
    target = Target(LabRef((72.0, 1.5, 17.0), Viewing()))
    opened(book, Case("W-3", (CaseZone(11, "incisal", "tooth", target=target),), "lithium disilicate", "glazed"))
    book.add_readings([Reading("W-3-11-incisal", lab=(79.0, 1.5, 17.0), viewing=Viewing())])
    assert standing(book, "W-3").zones["by eye"] == ("11 incisal",)
    assert standing(book, "W-3").barred is None
    keep_edges(book, count=True)
    assert standing(book, "W-3").zones["beyond"] == ("11 incisal",)
    assert "out of tolerance" in standing(book, "W-3").barred


def test_zones_smaller_than_the_aperture_follow_a_larger_one(book):
    book.add_instruments([Instrument("wide", aperture_mm=2.8)])
    make_case(book, NewCase("W-4", "11", gum=("margin", "attached", "papilla"), stage="blasted", few=False))
    found = {zone.zone: zone.like for zone in known_case(book, "W-4").case.zones}
    assert found["margin"] == found["papilla"] == (11, "attached")
    assert found["incisal"] is None


def test_unfired_stain_bars_acceptance_and_delivery_until_fired_or_wiped(book, code):
    zone = PaintedZone(11, "cervical", LAYERS)
    paint(book, Painted("W-1", "2026-03-02T09:00:00Z", (zone,)))
    for step in (lambda: accept(book, code, "lab"), lambda: deliver(book, code)):
        with pytest.raises(InputError, match="stain lies unfired on 11 cervical"):
            step()
    book.add_firings([Firing("W-1", AT)])
    assert book.painted("W-1") is None
    paint(book, Painted("W-1", "2026-03-03T09:00:00Z", (zone,)))
    assert book.painted("W-1") is not None
    paint(book, Painted("W-1", "2026-03-03T09:30:00Z"))  # wiped off
    assert book.painted("W-1") is None


def test_a_return_counts_and_stays_told_when_the_piece_is_accepted_later(book, code, fired, monkeypatch):
    monkeypatch.setattr("stainbook.work.lab.numbers.LEAST_UNITS", 1)
    with pytest.raises(InputError, match="expected one that was delivered"):
        take_return(book, code, "shade")
    accept(book, code, "lab")
    deliver(book, code)
    assert take_return(book, "W-1", "shade").stage == "returned"
    assert book.outcomes()[0].accepted is False
    assert numbers(book, ["all"]).rows[0].returned == {"shade": 1}
    accept(book, code, "patient")
    assert numbers(book, ["all"]).rows[0].returned == {"shade": 1}
    way = [one.what for one in known_case(book, code).state.way]
    assert way == ["opened", "fired", "accepted", "delivered", "returned", "accepted"]  # nothing was overwritten
    assert len(book.entered("case", "W-1")) == 1  # facts are no revisions of what is prescribed


def test_a_glaze_told_when_the_piece_is_delivered_keeps_who_accepted_it(book):
    code = opened(book, Case("W-2", (CaseZone(11, "cervical", "tooth"),), "zirconia", "blasted"))
    accept(book, code, "clinic")
    with pytest.raises(InputError, match="its finish is glaze, and no glaze firing of W-2 is recorded"):
        deliver(book, code)
    glazed_all(book, code)
    assert known_case(book, code).case.accepted_by == "clinic"
    assert deliver(book, code).stage == "delivered"


def test_what_was_pressed_by_mistake_is_undone(book, code, fired):
    accept(book, code, "lab")
    deliver(book, code)
    assert undo_received(book, code).stage == "stained"
    assert book.outcomes()[0].accepted_by == "lab"
    undone = undo_received(book, code)
    assert (undone.accepted_by, book.outcomes()[0].accepted_by, book.firings()[0].accepted_by) == (None, None, None)
    with pytest.raises(InputError, match="expected that it was accepted, delivered, returned"):
        undo_received(book, code)


def test_what_is_not_known_is_named(book, code):
    with pytest.raises(UnknownNameError, match="clinc"):
        accept(book, code, "clinc")
    with pytest.raises(UnknownNameError, match="colour"):
        take_return(book, code, "colour")
    with pytest.raises(UnknownNameError, match="W-9"):
        deliver(book, "W-9")
    with pytest.raises(InputError, match="no zone 12 middle"):
        paint(book, Painted("W-1", AT, (PaintedZone(12, "middle", LAYERS),)))


def test_a_green_piece_is_not_delivered(book):
    opened(book, Case("W-2", (CaseZone(11, "cervical", "tooth"),), "zirconia", "green", accepted_by="lab"))
    with pytest.raises(InputError, match="not sintered"):
        deliver(book, "W-2")
