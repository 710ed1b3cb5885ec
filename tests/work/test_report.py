"""The report of a case file: the newest reading of each zone counts, and files say the same as the PDF."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import cv2
import numpy as np
import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.files import read_case
from stainbook.kept import Firing, Outcome, Photo, StepDone
from stainbook.records import Layer, Pot, Reading, Viewing
from stainbook.work.case.open_case import open_file
from stainbook.work.lab.settings import keep_annex
from stainbook.work.sheets.case_report import ReportAsked, report_of
from stainbook.work.sheets.report_files import download, file_name, result_of, save_csv, save_pdf, save_workbook
from tests.cli.console import RECIPES, write
from tests.report.made_up import report, zone

CASE = RECIPES / "W-1051.yaml"
HEAD = "sample,L,a,b,illuminant,observer"


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as found:
        yield found


def outcome(L: float, fired_at: str) -> Outcome:
    after = Reading("after", lab=(L, 2.6, 22.0), viewing=Viewing(), taken_at=fired_at)
    layers = (Layer(Pot.of({"husk": 0.125}), 1),)
    return Outcome(
        "W-1051", 11, "cervical", "tooth", fired_at, layers, after, lots=(("husk", "24-117"),), programme="glaze-770"
    )


def test_the_case_as_it_was_read(book):
    found, warnings = report_of(book, CASE)
    assert [one.key for one in found.zones] == [(11, "cervical"), (11, "middle"), (11, "incisal")]
    assert found.counts["beyond"] == 3
    assert warnings == []
    first = found.zones[0]
    assert first.dE00 == pytest.approx(4.4, abs=0.05)  # as README's `advise` shows it
    assert (first.u or 0.0) > 0.1
    assert dict(found.facts)["material"] == "zirconia"


def test_spectra_are_compared_under_further_lights_and_bare_colours_are_not(book):
    found, _ = report_of(book, CASE)
    spectral, bare = found.zones[0], found.zones[2]  # the target of the last is written as L, a, b
    assert set(spectral.lights) == {"A", "LED-B3"}
    assert list(spectral.lights.values()) == pytest.approx([spectral.dE00] * 2, abs=1.5)
    assert set(bare.lights.values()) == {None}


def test_the_newest_outcome_of_the_book_counts(book):
    early, late = outcome(60.0, "2026-03-01T10:00:00Z"), outcome(71.0, "2026-03-02T10:00:00Z")
    open_file(book, CASE)
    book.add_firings([Firing("W-1051", one.fired_at, "bench-2", "glaze-770") for one in (early, late)])
    book.add_outcomes([late, early])
    found, _ = report_of(book, "W-1051")
    first = found.zones[0]
    assert first.result == (71.0, 2.6, 22.0)
    assert first.grade == "within"
    assert [one.fired_at for one in found.firings] == [early.fired_at, late.fired_at]
    assert found.firings[0].lots == "husk 24-117"
    assert len(first.put_on) == 2
    assert dict(found.facts)["programmes"] == "glaze-770"


def test_readings_that_are_named_count_before_all_others(book, tmp_path):
    open_file(book, CASE)
    book.add_outcomes([outcome(71.0, "2026-03-02T10:00:00Z")])
    path = write(tmp_path / "final.csv", HEAD, "W-1051-11-cervical,65.0,2.6,22.0,D65,10")
    found, _ = report_of(book, "W-1051", ReportAsked(results=[path]))
    assert found.zones[0].result == (65.0, 2.6, 22.0)
    assert found.zones[0].grade == "beyond"


def test_a_zone_like_another_says_so_until_it_is_read_itself(book, tmp_path):
    found, _ = report_of(book, RECIPES / "W-1042.yaml")
    like = next(one for one in found.zones if one.key == (22, "cervical"))
    assert like.note == "like 12 cervical"
    path = write(tmp_path / "final.csv", HEAD, "W-1042-22-cervical,70.5,3.4,21.0,D65,10")
    again, _ = report_of(book, RECIPES / "W-1042.yaml", ReportAsked(results=[path]))
    own = next(one for one in again.zones if one.key == (22, "cervical"))
    assert (own.note, own.grade) == ("", "within")
    assert (like.u or 0.0) > (own.u or 0.0)


def test_a_zone_without_a_reading_is_not_graded(book, tmp_path):
    path = write(tmp_path / "c.yaml", "case: X-1", "zones: [{tooth: 11, zone: middle}]")
    found, _ = report_of(book, path)
    assert found.counts["not graded"] == 1
    assert "middle 11" in found.notes[0]


@pytest.mark.parametrize(("name", "least"), [("W-1051", 1), ("W-1042", 2)])
def test_the_demonstration_cases_on_paper(book, name, least):
    """A single tooth, and an arch of some 50 zones: one page for the clinic, no line a zone for what is alike."""
    path = RECIPES / f"{name}.yaml"
    page = PdfReader(io.BytesIO(download(book, path, "pdf", annex=False))).pages
    annex = PdfReader(io.BytesIO(download(book, path, "pdf", annex=True))).pages
    job = PdfReader(io.BytesIO(download(book, path, "job"))).pages
    assert len(page) == 1
    assert least <= len(annex) <= 3
    assert least <= len(job) <= 3
    for one in (*page, *annex, *job):
        text = one.extract_text()
        assert len(text) > 500  # no page is nearly blank
        assert text.count("like ") < 2 or text.count("Not read itself") <= 1
        assert "noted by" not in text
        assert not re.search(r"\d\d:\d\d:\d\d", text)


def test_the_lab_may_leave_the_numbers_out_once_for_all(book):
    open_file(book, CASE)
    keep_annex(book, annex=False)
    assert not report_of(book, "W-1051")[0].annex
    assert report_of(book, "W-1051", ReportAsked(annex=True))[0].annex
    assert b"Annex" not in download(book, "W-1051", "pdf")


def test_lots_of_blank_stains_and_glaze_are_named(book):
    open_file(book, CASE)
    book.add_firings([Firing("W-1051", "2026-03-02T10:00:00Z", "bench-2", "glaze-770")])
    book.add_outcomes([outcome(71.0, "2026-03-02T10:00:00Z")])
    book.add_steps([StepDone("W-1051", "milled", "2026-03-01T10:00:00Z", blank="weir", lot="Z-21")])
    found, _ = report_of(book, "W-1051")
    said = {(one.kind, one.name, one.lot) for one in found.materials}
    assert said == {("blank", "weir", "Z-21"), ("stain", "husk", "24-117"), ("glaze", "clear", "")}


def test_files_say_the_same(book, tmp_path):
    found, warnings = report_of(book, CASE, ReportAsked(lab="Harbour Lane"))
    paths = {"pdf": tmp_path / "r.pdf", "csv": tmp_path / "r.csv", "excel": tmp_path / "r.xlsx"}
    save_pdf(found, paths["pdf"])
    save_csv(found, paths["csv"])
    save_workbook(found, paths["excel"])
    assert paths["pdf"].read_bytes().startswith(b"%PDF")
    rows = list(csv.DictReader(paths["csv"].read_text(encoding="utf-8").splitlines()))
    sheet = load_workbook(paths["excel"])["zones"]
    document = result_of(found, paths, warnings)
    for row, cells, told in zip(rows, sheet.iter_rows(min_row=2, values_only=True), document.zones, strict=True):
        assert float(row["dE00"]) == pytest.approx(cells[10]) == pytest.approx(told.dE00)
        assert row["grade"] == cells[12] == told.grade
    assert document.lab == "Harbour Lane"


@pytest.mark.parametrize("text", ["=1+1", "+A1", "-2+3", "@SUM(A1)", "\t=1", " =1"])
def test_no_cell_turns_into_a_formula(tmp_path, text):
    made = report((replace(zone(11, "middle"), zone=text, note=text),), case=text, lab=text)
    save_csv(made, tmp_path / "r.csv")
    save_workbook(made, tmp_path / "r.xlsx")
    (row,) = csv.DictReader((tmp_path / "r.csv").read_text(encoding="utf-8").splitlines())
    assert row["zone"].startswith("'")
    book = load_workbook(tmp_path / "r.xlsx")
    assert {cell.data_type for sheet in book for line in sheet.iter_rows() for cell in line} <= {"s", "n", "inlineStr"}


@pytest.mark.parametrize(
    ("case", "name"),
    [("W-1042", "W-1042-report.pdf"), ("../../etc/x y", "etc-x-y-report.pdf"), ("漢", "case-report.pdf")],
)
def test_file_names_are_safe(case, name):
    assert file_name(case) == name


def test_a_place_that_cannot_be_written_is_named(book, tmp_path):
    found, _ = report_of(book, CASE)
    with pytest.raises(InputError, match="cannot be written"):
        save_pdf(found, tmp_path / "none" / "r.pdf")


def test_photo_and_acceptance_come_from_the_book(book, tmp_path):
    open_file(book, CASE)
    jpeg = cv2.imencode(".jpg", np.full((200, 300, 3), 120, np.uint8))[1].tobytes()
    outline = ((10.0, 10.0), (90.0, 10.0), (90.0, 90.0))
    book.add_photo(Photo("W-1051", "2026-03-02T10:00:00Z", "piece", 300, 200, ((11, "middle", outline),)), jpeg)
    (case,) = read_case(CASE).records
    book.add_cases([replace(case, accepted_by="clinic")])
    found, _ = report_of(book, CASE)
    assert found.photo is not None
    assert found.photo.said.startswith("Of the piece, 2026-03-02. Outlined: 11 middle.")
    assert "no colour is to be judged" in found.photo.said
    assert "accepted by the clinic" in found.received[0]
