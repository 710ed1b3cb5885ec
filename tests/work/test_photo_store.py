"""Zones of a photo as readings of a case: their doubt goes with them, and grades stay three-valued."""

import io
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.files import read_readings, write_readings
from stainbook.kept import Firing
from stainbook.lab import Lab
from stainbook.photo.preview import clean_jpeg
from stainbook.records import Reading, Viewing, newest_reading
from stainbook.work.case.case_gaps import case_gaps
from stainbook.work.documents.photo_schemas import PhotoReference, PhotoResult, PhotoShot, PhotoZone
from stainbook.work.photo.photo_colours import PhotoAsked, photo
from stainbook.work.photo.photo_store import Copy, picture_of, store_zones
from stainbook.work.reading.compare import compare
from tests.photo.shots import scene_yaml, table
from tests.worlds.photo_scenes import developed, render

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
    found = store_zones(Lab.open(url).book, case, result(zone("cervical")))
    (one,) = readings(url)
    assert found.stored == ["W-7-11-cervical"]
    assert (one.sample, one.stage, one.tissue, one.notes, one.u) == ("W-7-11-cervical", "glazed", "tooth", "photo", 2.6)
    assert (one.lab, one.viewing) == ((71.0, 2.0, 16.0), Viewing("D65", 10))


def test_a_zone_under_glare_is_never_stored_and_named(url, case):
    found = store_zones(Lab.open(url).book, case, result(zone("cervical", flagged=True), zone("middle")))
    assert [one.sample for one in readings(url)] == found.stored == ["W-7-11-middle"]
    assert any("not stored" in line and "11 cervical" in line for line in found.warnings)


def test_nothing_of_a_picture_whose_chart_is_met_badly_is_stored(url, case):
    found = result(zone("cervical"), zone("middle"))
    bad = found.model_copy(update={"reference": found.reference.model_copy(update={"troubles": ["worn"]})})
    stored = store_zones(Lab.open(url).book, case, bad)
    assert (stored.stored, len(readings(url))) == ([], 0)
    assert any("not stored" in line for line in stored.warnings)


def test_living_gum_by_a_grey_card_is_not_stored(url, case):
    gum = zone("margin", tissue="gingiva")
    assert store_zones(Lab.open(url).book, case, result(gum, greys=True), patient=True).stored == []
    assert store_zones(Lab.open(url).book, case, result(gum, greys=True)).stored == ["W-7-11-margin"]


def test_a_patients_zones_are_not_taken_for_those_of_the_piece(url, case):
    assert store_zones(Lab.open(url).book, case, result(zone("middle")), patient=True).stored == [
        "W-7-patient-11-middle"
    ]
    with open_book(url) as book:
        assert not any(one.seen for one in case_gaps(book, case).zones)


def test_the_same_picture_twice_is_one_reading(url, case):
    taken = result(zone("middle"), taken_at="2024:05:02 10:11:12")
    store_zones(Lab.open(url).book, case, taken)
    store_zones(Lab.open(url).book, case, taken)
    (one,) = readings(url)
    assert one.taken_at.endswith(":12Z")


def test_a_camera_whose_clock_is_ahead_does_not_hide_what_is_read_later(url, case):
    store_zones(Lab.open(url).book, case, result(zone("middle"), taken_at="2999:01:01 00:00:00"))
    assert readings(url)[0].taken_at < "2999"


@pytest.mark.parametrize(("u", "grade"), [(0.4, "within"), (2.6, "cannot tell")])
def test_a_grade_in_a_case_holds_the_doubt_of_the_photo(url, case, u, grade):
    store_zones(Lab.open(url).book, case, result(zone("cervical", u=u), zone("middle", L=80.0, u=u)))
    with open_book(url) as book:
        near, far = case_gaps(book, case).shown.zones
    assert near.gap.grade == grade
    assert far.gap.grade == "beyond"


def test_a_comparison_reads_the_doubt_from_the_file(url, case, tmp_path):
    store_zones(Lab.open(url).book, case, result(zone("cervical")))
    write_readings(tmp_path / "r.csv", readings(url))
    assert read_readings(tmp_path / "r.csv").all[0].u == 2.6
    target = "sample,L,a,b,illuminant,observer,u\nW-7-11-cervical,70,2,16,D65,10,{u}\n"
    (tmp_path / "t.csv").write_text(target.format(u=0.2))
    (pair,) = compare(tmp_path / "r.csv", tmp_path / "t.csv").pairs
    assert pair.grade == "cannot tell"
    assert pair.u == pytest.approx(2.6, abs=0.1)  # hypot of 2.6 and 0.2, between the two colours


def instrument(stage, taken_at):
    return Reading("s", lab=(68.0, 1.0, 15.0), viewing=Viewing(), stage=stage, taken_at=taken_at)


def snapped(stage, taken_at):
    return replace(instrument(stage, taken_at), notes="photo", u=2.5)


@pytest.mark.parametrize(
    ("read", "shot", "fired", "photo_counts"),
    [
        (("glazed", "2026-03-01"), ("glazed", "2026-03-02"), (), False),  # the same stage: the instrument holds
        (("glazed", "2026-03-01"), ("glazed", "2026-03-02"), ("2026-02-28",), False),
        (("glazed", "2026-03-01"), ("glazed", "2026-03-03"), ("2026-03-02",), True),  # fired in between
        (("blasted", "2026-03-01"), ("glazed", "2026-03-02"), (), True),  # a later stage
        (("glazed", "2026-03-01"), ("blasted", "2026-03-02"), (), False),
        (("blasted", "2026-03-03"), ("glazed", "2026-03-02"), (), False),  # read again after the photo
        ((None, "2026-03-01"), ("glazed", "2026-03-02"), (), False),  # not known: the surer one holds
        (("glazed", None), ("glazed", "2026-03-03"), ("2026-03-02",), False),
    ],
)
def test_a_photo_stands_before_an_instrument_only_where_the_piece_has_moved_on(read, shot, fired, photo_counts):
    one, other = instrument(*read), snapped(*shot)
    for pair in ((one, other), (other, one)):
        assert newest_reading(pair, fired) == (other if photo_counts else one)
    assert newest_reading([other], fired) == other
    assert newest_reading([snapped("glazed", "2026-02-01"), other]) == other


def test_a_case_stays_at_what_its_instrument_read_until_it_is_fired_again(url, case):
    with open_book(url) as book:
        read = replace(instrument("glazed", "2024-05-01T10:00:00Z"), sample="W-7-11-cervical")
        book.add_readings([read])
    shot = result(zone("cervical"), zone("middle"), taken_at="2024:05:03 10:00:00")
    found = store_zones(Lab.open(url).book, case, shot)
    assert found.stored == ["W-7-11-cervical", "W-7-11-middle"]
    assert [line for line in found.warnings if "holds on: W-7-11-cervical" in line]
    with open_book(url) as book:
        cervical, middle = case_gaps(book, case).zones
        assert (cervical.seen.reading.lab, middle.seen.reading.lab) == (read.lab, (71.0, 2.0, 16.0))
        assert case_gaps(book, case).warnings == ("as a photo shows them, with its doubt: 11 middle",)
        book.add_firings([Firing("W-7", "2024-05-02T10:00:00Z")])
        assert case_gaps(book, case).zones[0].seen.reading.is_photo


def small_copy():
    pixels = np.full((120, 160, 3), 128, np.uint8)
    outline = ((20.0, 20.0), (100.0, 20.0), (100.0, 80.0), (20.0, 80.0))
    return Copy(clean_jpeg(pixels), 160, 120, ((11, "cervical", outline), (11, "middle", outline)))


def test_the_picture_is_kept_with_the_outlines_of_what_was_read(url, case):
    store_zones(Lab.open(url).book, case, result(zone("cervical"), zone("middle", flagged=True)), copy=small_copy())
    with open_book(url) as book:
        found = picture_of(book, "W-7", longest=80)
        assert picture_of(book, "W-8") is None
        assert picture_of(book, "W-7", subject="patient") is None
    pixels = cv2.imdecode(np.frombuffer(found.jpeg, np.uint8), cv2.IMREAD_COLOR)
    assert pixels.shape == (found.height, found.width, 3) == (60, 80, 3)
    assert (found.subject, found.zones) == ("piece", ((11, "cervical"),))
    assert np.ptp(pixels[:, 5:14].astype(int)) > 60  # the outline's left side
    assert np.ptp(pixels[:, 60:].astype(int)) < 20


def test_a_picture_is_erased_with_its_case(url, case, tmp_path):
    copy = small_copy()
    store_zones(Lab.open(url).book, case, result(zone("middle")), copy=copy)
    assert copy.jpeg in (tmp_path / "lab.db").read_bytes()  # smaller than a page: in one piece
    with open_book(url) as book:
        book.erase_case("W-7")
        assert book.verify().faults == ()
        assert picture_of(book, "W-7") is None
    assert copy.jpeg[-60:] not in (tmp_path / "lab.db").read_bytes()


def test_what_the_picture_says_of_itself_is_not_kept(url, case, tmp_path):
    """Place, serial number and owner of a JPEG with all of them: not one byte of them comes into the book."""
    scene = render(4, "test", polarised=True)
    exif = Image.Exif()
    exif[0x013B], exif[0x010F] = "Some Owner", "Bench"
    exif.get_ifd(0x8769).update({0xA431: "SN-4711", 0xA430: "Some Owner", 0x829A: 0.008, 0x829D: 22.0})
    exif.get_ifd(0x8825).update({1: "N", 2: (50.0, 51.0, 52.0)})
    Image.fromarray(developed(scene)).save(tmp_path / "p.jpg", quality=95, exif=exif)
    assert b"SN-4711" in (tmp_path / "p.jpg").read_bytes()
    table(tmp_path / "target.txt", scene)
    scene_yaml(tmp_path / "s.yaml", scene)
    found = Lab.open(url).photo.measure(tmp_path / "p.jpg", tmp_path / "s.yaml", PhotoAsked(case=case, store=True))
    with open_book(url) as book:
        shown = picture_of(book, "W-7")
    assert {f"W-7-{tooth}-{zone}" for tooth, zone in shown.zones} == set(found.stored)
    assert max(shown.width, shown.height) == 600
    assert shown.taken_with == "Bench, 1/125 s, f/22"
    assert not Image.open(io.BytesIO(shown.jpeg)).getexif()
    stored = b"".join(path.read_bytes() for path in tmp_path.glob("lab.db*"))
    assert not [word for word in (b"SN-4711", b"Some Owner", b"GPS") if word in stored + shown.jpeg]


def test_storing_needs_a_case():
    with pytest.raises(InputError, match="--case"):
        photo(None, Path("p.jpg"), Path("scene.yaml"), PhotoAsked(store=True))
