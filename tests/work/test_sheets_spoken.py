"""Sheets are made in the language that is spoken; documents and their JSON stay English."""

from __future__ import annotations

import html
import re
from dataclasses import fields, is_dataclass

import pytest

from stainbook.book import open_book
from stainbook.language import speaking
from stainbook.match.watch import UNWATCHED
from stainbook.work.app.demo import make_demo_book
from stainbook.work.case.case_desk import open_desk
from stainbook.work.case.case_plan import plan_file
from stainbook.work.case.chosen import done_next
from stainbook.work.case.measuring_sheet import save_csv, sheet_for
from stainbook.work.case.measuring_sheet import save_html as save_measuring
from stainbook.work.case.tray_plan import plan_tray
from stainbook.work.sheets.bench import bench
from stainbook.work.sheets.bench import html_of as bench_html
from stainbook.work.sheets.chosen_sheet import bench_sheet, sheet_of
from stainbook.work.sheets.plan_sheet import sheet_html
from stainbook.work.sheets.tray_sheet import save_html as save_tray
from stainbook.work.stains.plate import html_of as plate_html
from stainbook.work.stains.plate import plan_plates
from stainbook.work.stains.stain_desk import weekly_chips
from stainbook.work.stains.stripes import PlateOrder
from tests.tools.catalogue import PSEUDO, outside, write_pseudo

CASES = ("W-1051", "W-1063")  # a sintered unit and an unsintered bridge
STRIPES = PlateOrder(("moss", "barley"), hand="moss")


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    with open_book(make_demo_book(tmp_path_factory.mktemp("demo"))) as book:
        yield book


@pytest.fixture(scope="module")
def catalogues(tmp_path_factory):
    return write_pseudo(tmp_path_factory.mktemp("catalogues"))


@pytest.fixture(params=CASES)
def made(request, demo, worked):
    return worked[request.param]


@pytest.fixture(scope="module")
def worked(demo):
    """What the sheets are made of, worked out once in English."""
    found = {}
    for code in CASES:
        desk = open_desk(demo, code, UNWATCHED)
        found[code] = (desk, done_next(demo, desk), bench(demo, code), plan_file(demo, code), sheet_for(demo, code))
    return found


@pytest.fixture
def in_pseudo(catalogues, monkeypatch):
    monkeypatch.setenv("STAINBOOK_CATALOGUES", str(catalogues))
    with speaking(PSEUDO):
        yield


@pytest.fixture(scope="module")
def names(demo, worked):
    """The names that the lab gave to its things: they stand in every language as they are."""
    said: list[str] = [*CASES, *weekly_chips(demo)]
    for things in (demo.stains(), demo.bodies(), demo.instruments(), demo.programmes(), demo.settings().mixes):
        said += [str(one) for one in things]
    for one in (*demo.stains().values(), *demo.bodies().values(), *demo.guide()):
        said += _texts(one)
    said += [plan.mark or "" for _, _, _, plan, _ in worked.values()]  # letters and digits that stand for a case
    return {word.lower() for text in said for word in re.findall(r"[A-Za-z][A-Za-z']*", text)}


def _texts(one):
    values = [getattr(one, field.name) for field in fields(one)] if is_dataclass(one) else []
    return [value for value in values if isinstance(value, str)]


def words_of(page):
    """What is read on a page: its texts, its labels, without its style and its colours."""
    page = re.sub(r"<style>.*?</style>", " ", page, flags=re.S)
    labels = re.findall(r'aria-label="([^"]*)"', page)
    return html.unescape(" ".join([re.sub(r"<[^>]*>", " ", page), *labels]))


def foreign(page, names):
    """The words outside the catalogue; a page of nothing would have none either."""
    assert "⟦" in page
    return sorted(set(outside(words_of(page), known=names)))


def test_the_bench_sheet(in_pseudo, made, names):
    page = bench_html(made[2])
    assert f'<html lang="{PSEUDO}">' in page
    assert foreign(page, names) == []


def test_the_plan_sheet(in_pseudo, made, names):
    assert foreign(sheet_html(made[3]), names) == []


def test_the_sheet_of_what_was_chosen(in_pseudo, demo, made, names):
    desk, done = made[:2]
    _, page = bench_sheet(demo, desk.view.case.case, desk, done)
    assert foreign(page, names) == []


def test_the_measuring_sheet(in_pseudo, made, names, tmp_path):
    save_measuring(made[4], tmp_path / "sheet.html")
    page = (tmp_path / "sheet.html").read_text(encoding="utf-8")
    assert foreign(page, names | {"cervical", "middle", "incisal", "occlusal"}) == []  # samples are named by zones


def test_the_tray_sheet(in_pseudo, demo, names, tmp_path):
    save_tray(plan_tray(demo, [CASES[0]]), tmp_path / "tray.html")
    assert foreign((tmp_path / "tray.html").read_text(encoding="utf-8"), names) == []


def test_the_stripe_sheet(in_pseudo, demo, names):
    result, _ = plan_plates(demo, STRIPES)
    assert foreign(plate_html(result), names | {"plate", "hand", "clear", "of"}) == []  # as stripes are named


def test_documents_and_files_stay_english(demo, worked, in_pseudo, tmp_path):
    """What is worked out while another language is spoken is the same document, byte by byte."""
    code = CASES[0]
    desk, done, *documents = worked[code]
    again = [bench(demo, code), plan_file(demo, code), sheet_for(demo, code)]
    chosen = sheet_of(desk, done)
    shown = [one.model_dump_json() for one in (*documents, *again, chosen, plan_plates(demo, STRIPES)[0])]
    assert shown[:3] == shown[3:6]
    save_csv(documents[2], tmp_path / "sheet.csv")
    written = (tmp_path / "sheet.csv").read_text(encoding="utf-8")
    assert not any("⟦" in text for text in [*shown, written])
    with speaking("en"):
        assert [one.model_dump_json() for one in (*documents, *again)] == shown[:6]
