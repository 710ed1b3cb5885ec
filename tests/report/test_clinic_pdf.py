"""The clinic's page: one page whatever the case holds, the zones' numbers behind it where the lab wants that."""

from __future__ import annotations

import io

import cv2
import numpy as np
import pytest
from pypdf import PdfReader

from stainbook.report.clinic_pdf import clinic_pdf
from stainbook.report.content import AimReport, CaseReport, MaterialReport, PhotoReport
from tests.report.made_up import full_mouth, report, zone


def pages_of(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


def photo() -> PhotoReport:
    picture = cv2.imencode(".jpg", np.full((667, 1000, 3), 120, np.uint8))[1].tobytes()
    return PhotoReport(picture, 1000, 667, "Of the piece, 2026-03-02.")


def much() -> CaseReport:
    """A full mouth with a photo, many aims, many lots, many effects."""
    zones = full_mouth().zones
    aims = tuple(
        AimReport(f"house tab number {n}", (one.key,), one.target, one.result) for n, one in enumerate(zones[:20])
    )
    jars = tuple(MaterialReport("stain", f"stain-{n}", f"24-{n}") for n in range(25))
    effects = tuple(f"{n}: halo at the incisal edge, 1 part flour + 3 parts clear" for n in range(11, 19))
    return report(zones, aims=aims, materials=jars, effects=effects, photo=photo(), material="zirconia", finish="glaze")


@pytest.mark.parametrize("case", [report((zone(11, "middle"),)), full_mouth(), much(), report(())])
def test_it_is_one_page_without_the_annex(case):
    assert len(pages_of(clinic_pdf(case, annex=False))) == 1


def test_a_single_tooth_with_its_numbers_is_one_page_too():
    zones = tuple(zone(11, name) for name in ("cervical", "middle", "incisal"))
    (page,) = pages_of(clinic_pdf(report(zones)))
    assert "Annex" in page
    assert "0.5 ± 0.3" in page


def test_numbers_stand_in_the_annex_alone():
    first, *annex = pages_of(clinic_pdf(much()))
    assert "±" not in first
    assert "Annex" in annex[0]
    assert sum(one.count(" ± ") for one in annex) >= len(full_mouth().zones)
    assert all(len(one) > 600 for one in annex)  # no page that is nearly empty


def test_it_says_prescribed_reached_what_to_check_and_materials():
    zones = (zone(11, "middle", 0), zone(12, "middle", 1), zone(13, "incisal", 2))
    aims = (AimReport("house/oat-mid", tuple(one.key for one in zones), (72.0, 2.0, 18.0), (71.0, 2.0, 18.0)),)
    blank = MaterialReport("blank", "weir", "Z-21")
    (page,) = pages_of(clinic_pdf(report(zones, aims=aims, materials=(blank,), material="zirconia"), annex=False))
    assert "house/oat-mid" in page
    assert "1 of 3 zones are in tolerance of what was prescribed; 1 cannot tell; 1 out of tolerance." in page
    assert "Look first at what is out of tolerance: incisal 13." in page
    assert "wet" in page
    assert "daylight" in page
    assert "blank weir, lot Z-21" in page
    assert "bench-2" not in page  # who fired it is the lab's own
    assert "noted by" not in page


def test_the_photo_stands_beside_the_tab():
    case = report((zone(11, "middle"),), photo=photo(), aims=(AimReport("house/oat-mid", ((11, "middle"),)),))
    made = clinic_pdf(case, annex=False)
    reader = PdfReader(io.BytesIO(made))
    assert len(reader.pages) == 1
    assert len(reader.pages[0].images) == 1
    assert "Of the piece, 2026-03-02." in pages_of(made)[0]


@pytest.mark.parametrize("text", ["<b>& \\ (x) **y**", "Łódź", "漢字", "w" * 300, ""])
def test_any_text_is_taken_as_text(text):
    zones = (zone(11, "middle", note=text),)
    aims = (AimReport(text, ((11, "middle"),)),)
    assert "Colour report" in pages_of(clinic_pdf(report(zones, lab=text, aims=aims, effects=(text,))))[0]
