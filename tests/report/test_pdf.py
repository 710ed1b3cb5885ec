"""The job file: small, its fonts inside, drawn and not painted, each grade with its doubt, any text taken as text."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import cv2
import numpy as np
import pytest
from pypdf import PdfReader

from stainbook.language import ENGLISH, number_signs, speaking
from stainbook.report.content import FiringReport, MaterialReport, PhotoReport
from stainbook.report.pdf import pdf_of
from tests.report.made_up import full_mouth, report, zone
from tests.tools.catalogue import shipped_languages

MEGABYTE = 1_000_000


@pytest.fixture(scope="module")
def full() -> bytes:
    return pdf_of(full_mouth())


def words(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def test_24_teeth_and_gum_stay_small(full):
    assert 20_000 < len(full) < 2 * MEGABYTE


def test_fonts_are_inside_and_nothing_is_a_picture(full):
    fonts = {}
    for page in PdfReader(io.BytesIO(full)).pages:
        resources = page["/Resources"].get_object()
        assert "/XObject" not in resources or not resources["/XObject"].get_object()
        fonts |= {name: font.get_object() for name, font in resources["/Font"].get_object().items()}
    assert fonts
    for font in fonts.values():
        descriptor = font["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()
        assert len(descriptor["/FontFile2"].get_object().get_data()) > 1000


def test_every_zone_has_its_line_and_every_grade_its_doubt(full):
    text = words(full)
    assert all(str(one.tooth) in text for one in full_mouth().zones)
    graded = [one for one in full_mouth().zones if one.grade]
    assert len(re.findall(r"\d\.\d ± \d\.\d", text)) == len(graded) == 168


def test_it_says_whose_it_is_and_how_it_was_made(full):
    text = words(full)
    whose = ("Harbour Lane Ceramics", "W-1042", "husk 24-117", "glaze-770", "bench-2")
    assert all(said in text for said in (*whose, "lamp light", "11: halo", "Hot trays"))
    assert "no fitness for use" in text


def test_a_grade_without_its_doubt_is_not_printed():
    text = words(pdf_of(report((zone(11, "middle", grade="within", u=None),))))
    assert "±" not in text.split("Swatches")[0]
    assert "within" not in text.split("Zones")[-1].split("Swatches")[0]


def test_a_zone_that_was_not_read_is_listed_without_numbers():
    bare = zone(11, "middle", dE00=None, u=None, grade="", result=None, note="not read yet", lights={})
    text = words(pdf_of(report((bare,))))
    assert "middle 11: not read yet" in text
    assert "No zone has both a reading and a target" in text


@pytest.mark.parametrize("text", ["<b>& \\ (x) **y**", "Łódź Ελλάδα Київ", "漢字 \N{GRINNING FACE}", "w" * 300, ""])
def test_any_text_is_taken_as_text(text):
    zones = (zone(11, "middle", note=text, put_on=(text,)),)
    found = words(pdf_of(report(zones, lab=text, case=text or "x", facts=((text, text),))))
    assert "Zones" in found
    if "Ł" in text or "<" in text:
        assert text in found


def test_a_zone_of_the_labs_own_name_and_both_jaws():
    zones = (zone(11, "edge band"), zone(36, "occlusal"), zone(11, "fraenum", tissue="gingiva"))
    assert "fraenum" in words(pdf_of(report(zones)))


def test_no_zones_at_all():
    assert "No zone has both" in words(pdf_of(report(())))


def test_what_is_empty_has_no_column_and_no_page():
    bare = zone(11, "middle", dE00=None, u=None, grade="", result=None, note="not read yet", lights={})
    text = words(pdf_of(report((bare,))))
    assert not any(head in text for head in ("ΔE00", "tolerance", "reading L*", "lamp", "LED"))
    pages = PdfReader(io.BytesIO(pdf_of(report((bare,))))).pages
    assert len(pages) == 1


def test_zones_alike_share_one_line():
    zones = tuple(zone(tooth, "middle", like="12 middle", note="like 12 middle") for tooth in range(21, 28))
    text = " ".join(words(pdf_of(report(zones))).split())
    assert text.count("Not read itself") == 1
    assert "27 middle like 12 middle" in text


def test_it_holds_the_lots_of_blank_bottles_stains_and_glaze():
    materials = (
        MaterialReport("blank", "weir", "Z-21"), MaterialReport("liquid", "bracken", "25-3"),
        MaterialReport("stain", "husk", "24-117"), MaterialReport("glaze", "clear"),
    )  # fmt: skip
    text = " ".join(words(pdf_of(report((zone(11, "middle"),), materials=materials))).split())
    said = ("blank weir, lot Z-21", "liquid bracken, lot 25-3", "stain husk, lot 24-117", "glaze clear, lot not noted")
    assert all(one in text for one in said)


def test_times_have_no_seconds():
    fired = FiringReport("2026-03-02T10:40:31.123456Z", kind="stain+glaze", minutes=18.0)
    text = words(pdf_of(report((zone(11, "middle"),), firings=(fired,))))
    assert not re.search(r"\d\d:\d\d:\d\d", text)
    assert "stain and glaze" in text


def test_a_photo_and_how_the_piece_was_received_are_in_it():
    picture = cv2.imencode(".jpg", np.full((667, 1000, 3), 120, np.uint8))[1].tobytes()
    photo = PhotoReport(picture, 1000, 667, "Of the piece, 2026-03-02. Outlined: 11 middle.")
    made = pdf_of(replace(full_mouth(), photo=photo, received=("2026-03-03: accepted by clinic, noted by bench-1",)))
    assert len(made) < 2 * MEGABYTE
    text = words(made)
    assert "Outlined: 11 middle." in text
    assert "accepted by clinic" in text
    (image,) = [image for page in PdfReader(io.BytesIO(made)).pages for image in page.images]
    assert image.data[:2] == b"\xff\xd8"  # the JPEG as it came


@pytest.mark.parametrize("language", [ENGLISH, *shipped_languages()])
def test_no_head_is_cut_off_and_numbers_have_the_languages_sign(language):
    with speaking(language):
        text = words(pdf_of(full_mouth()))
        point, _ = number_signs()
    assert [line for line in text.splitlines() if "…" in line] == []
    assert len(re.findall(rf"\d{re.escape(point)}\d ± \d{re.escape(point)}\d", text)) > 50
