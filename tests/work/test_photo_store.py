"""Zones of a photo as readings of a case: their doubt goes with them, and grades stay three-valued."""

from pathlib import Path

import pytest

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.files import read_readings, write_readings
from stainbook.records import Viewing
from stainbook.work.case_gaps import case_gaps
from stainbook.work.compare import compare
from stainbook.work.photo import PhotoAsked, photo
from stainbook.work.photo_schemas import PhotoReference, PhotoResult, PhotoShot, PhotoZone
from stainbook.work.photo_store import store_zones

TARGET = "target: {L: 70, a: 2, b: 16, illuminant: D65, observer: 10}"
CASE = f"""case: W-7
stage: glazed
zones:
  - {{tooth: 11, zone: cervical, {TARGET}}}
  - {{tooth: 11, zone: middle, {TARGET}}}
"""


def zone(name, *, L=71.0, u=2.6, flagged=False, tissue="tooth"):
    seen = {"illuminant": "D65", "observer": 10, "C": 16.1, "h": 83.0, "pixels": 900, "masked": 0.1}
    return PhotoZone(tooth=11, zone=name, L=L, a=2.0, b=16.0, u=u, flagged=flagged, tissue=tissue, **seen)


def result(*zones, greys=False, taken_at=None):
    met = None if greys else 0.5
    reference = PhotoReference(dE00_median=met, dE00_left_out=met, patches=24)
    return PhotoResult(zones=list(zones), reference=reference, method="", shot=PhotoShot(taken_at=taken_at))


@pytest.fixture
def url(tmp_path):
    return f"sqlite:///{tmp_path / 'lab.db'}"


@pytest.fixture
def case(tmp_path):
    path = tmp_path / "case.yaml"
    path.write_text(CASE)
    return path


def readings(url):
    with open_book(url) as book:
        return book.readings()


def test_a_zone_is_kept_with_the_doubt_of_the_photo(url, case):
    found = store_zones(url, case, result(zone("cervical")))
    (one,) = readings(url)
    assert found.stored == ["W-7-11-cervical"]
    assert (one.sample, one.stage, one.tissue, one.notes, one.u) == ("W-7-11-cervical", "glazed", "tooth", "photo", 2.6)
    assert (one.lab, one.viewing) == ((71.0, 2.0, 16.0), Viewing("D65", 10))


def test_a_zone_under_glare_is_never_stored_and_named(url, case):
    found = store_zones(url, case, result(zone("cervical", flagged=True), zone("middle")))
    assert [one.sample for one in readings(url)] == found.stored == ["W-7-11-middle"]
    assert any("not stored" in line and "11 cervical" in line for line in found.warnings)


def test_living_gum_by_a_grey_card_is_not_stored(url, case):
    gum = zone("margin", tissue="gingiva")
    assert store_zones(url, case, result(gum, greys=True), patient=True).stored == []
    assert store_zones(url, case, result(gum, greys=True)).stored == ["W-7-11-margin"]


def test_a_patients_zones_are_not_taken_for_those_of_the_piece(url, case):
    assert store_zones(url, case, result(zone("middle")), patient=True).stored == ["W-7-patient-11-middle"]
    with open_book(url) as book:
        assert not any(one.seen for one in case_gaps(book, case).zones)


def test_the_same_picture_twice_is_one_reading(url, case):
    taken = result(zone("middle"), taken_at="2024:05:02 10:11:12")
    store_zones(url, case, taken)
    store_zones(url, case, taken)
    (one,) = readings(url)
    assert one.taken_at.endswith(":12Z")


def test_a_camera_whose_clock_is_ahead_does_not_hide_what_is_read_later(url, case):
    store_zones(url, case, result(zone("middle"), taken_at="2999:01:01 00:00:00"))
    assert readings(url)[0].taken_at < "2999"


@pytest.mark.parametrize(("u", "grade"), [(0.4, "within"), (2.6, "cannot tell")])
def test_a_grade_in_a_case_holds_the_doubt_of_the_photo(url, case, u, grade):
    store_zones(url, case, result(zone("cervical", u=u), zone("middle", L=80.0, u=u)))
    with open_book(url) as book:
        near, far = case_gaps(book, case).shown.zones
    assert near.gap.grade == grade
    assert far.gap.grade == "beyond"


def test_a_comparison_reads_the_doubt_from_the_file(url, case, tmp_path):
    store_zones(url, case, result(zone("cervical")))
    write_readings(tmp_path / "r.csv", readings(url))
    assert read_readings(tmp_path / "r.csv").all[0].u == 2.6
    target = "sample,L,a,b,illuminant,observer,u\nW-7-11-cervical,70,2,16,D65,10,{u}\n"
    (tmp_path / "t.csv").write_text(target.format(u=0.2))
    (pair,) = compare(tmp_path / "r.csv", tmp_path / "t.csv").pairs
    assert pair.grade == "cannot tell"
    assert pair.u == pytest.approx(2.6, abs=0.1)  # hypot of 2.6 and 0.2, between the two colours


def test_storing_needs_a_case():
    with pytest.raises(InputError, match="--case"):
        photo(Path("p.jpg"), Path("scene.yaml"), PhotoAsked(store=True))
