"""Accepted, delivered, come back: refused with a sentence where it must be, kept as facts, told to firing and zones."""

from dataclasses import replace

import pytest
from stainbook.work.case.follow import write_case_file

from stainbook.book import open_book
from stainbook.errors import InputError, UnknownNameError
from stainbook.files import read_case
from stainbook.kept import Firing, Outcome, Painted, PaintedZone
from stainbook.records import Case, CaseZone, LabRef, Layer, Pot, Reading, Target, Viewing
from stainbook.work.case.delivery import accept, deliver, paint, standing, take_return
from stainbook.work.lab.numbers import numbers
from stainbook.work.lab.things import show_thing

AT = "2026-03-02T10:00:00Z"
LAYERS = (Layer(Pot.of({"husk": 0.25}), 2),)


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as found:
        yield found


@pytest.fixture
def path(tmp_path, book):
    """A case of two zones: one is on its target, one 6 L* from it (beyond, since teeth accept 1.8)."""
    target = Target(LabRef((72.0, 1.5, 17.0), Viewing()))
    zones = tuple(CaseZone(11, zone, "tooth", target=target) for zone in ("cervical", "middle"))
    place = tmp_path / "W-1.yaml"
    write_case_file(place, Case("W-1", zones, "zirconia", "stained"))
    for zone, L in (("cervical", 72.0), ("middle", 78.0)):
        book.add_readings([Reading(f"W-1-11-{zone}", lab=(L, 1.5, 17.0), viewing=Viewing())])
    return place


@pytest.fixture
def fired(book):
    after = Reading("W-1-11-middle", lab=(78.0, 1.5, 17.0), viewing=Viewing(), taken_at=AT)
    book.add_firings([Firing("W-1", AT)])
    book.add_outcomes([Outcome("W-1", 11, "middle", "tooth", AT, LAYERS, after, to_target=4.0, accepted=False)])


def test_a_zone_beyond_bars_delivery_until_somebody_accepts(book, path, fired):
    assert standing(book, path).beyond == ("11 middle",)
    with pytest.raises(InputError, match=r"1 zone is beyond.*11 middle.*nobody accepted"):
        deliver(book, str(path))
    assert accept(book, str(path), "clinic").accepted_by == "clinic"
    assert deliver(book, str(path)).stage == "delivered"
    assert read_case(path).records[0].stage == "delivered"
    (outcome,) = book.outcomes()
    assert (outcome.accepted, outcome.accepted_by) == (True, "clinic")
    assert book.firings()[0].accepted_by == "clinic"
    assert show_thing(book, "W-1").thing.record["accepted_by"] == "clinic"
    assert deliver(book, "W-1").warnings == ["W-1 was delivered before"]


def test_unfired_stain_bars_acceptance_and_delivery_until_fired_or_wiped(book, path):
    zone = PaintedZone(11, "cervical", LAYERS)
    paint(book, path, Painted("W-1", "2026-03-02T09:00:00Z", (zone,)))
    for step in (lambda: accept(book, str(path), "lab"), lambda: deliver(book, str(path))):
        with pytest.raises(InputError, match="stain lies unfired on 11 cervical"):
            step()
    book.add_firings([Firing("W-1", AT)])
    assert book.painted("W-1") is None
    paint(book, path, Painted("W-1", "2026-03-03T09:00:00Z", (zone,)))
    assert book.painted("W-1") is not None
    paint(book, path, Painted("W-1", "2026-03-03T09:30:00Z"))  # wiped off
    assert book.painted("W-1") is None


def test_a_return_counts_and_stays_told_when_the_piece_is_accepted_later(book, path, fired):
    with pytest.raises(InputError, match="expected one that was delivered"):
        take_return(book, str(path), "shade")
    accept(book, str(path), "lab")
    deliver(book, str(path))
    assert take_return(book, "W-1", "shade").stage == "returned"
    assert book.outcomes()[0].accepted is False
    assert numbers(book, ["all"]).rows[0].returned == {"shade": 1}
    accept(book, str(path), "patient")
    assert numbers(book, ["all"]).rows[0].returned == {"shade": 1}
    stages = [one.record.stage for one in book.entered("case", "W-1")]
    assert stages == ["stained", "stained", "delivered", "returned", "returned"]  # nothing was overwritten


def test_what_is_not_known_is_named(book, path):
    with pytest.raises(UnknownNameError, match="clinc"):
        accept(book, str(path), "clinc")
    with pytest.raises(UnknownNameError, match="colour"):
        take_return(book, str(path), "colour")
    with pytest.raises(UnknownNameError, match="W-9"):
        deliver(book, "W-9")
    with pytest.raises(InputError, match="no zone 12 middle"):
        paint(book, path, Painted("W-1", AT, (PaintedZone(12, "middle", LAYERS),)))


def test_a_green_piece_is_not_delivered(book, path):
    (case,) = read_case(path).records
    write_case_file(path, replace(case, stage="green", accepted_by="lab"))
    with pytest.raises(InputError, match="not sintered"):
        deliver(book, str(path))
