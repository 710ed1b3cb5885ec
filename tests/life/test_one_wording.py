"""One zone, rendered everywhere: command, page, sheet, report and JSON say the same words of it."""

from __future__ import annotations

import re
from html import unescape

import pytest

from stainbook.pages.shell import wording
from stainbook.pages.widgets.steps import steps_markup
from stainbook.pages.widgets.zone_list import list_markup
from stainbook.report.pdf import pdf_of
from stainbook.words import differences, mixes, sentences
from stainbook.words.chances import chance
from stainbook.words.hues import hue_angle
from stainbook.work.documents.schemas import AdviseResult
from stainbook.work.sheets.case_report import report_of
from tests.life.bench import Bench, zone

TAGS = re.compile(r"<[^>]+>")
OFF = (77.5, 0.8, 12.5)
TARGET = (73.0, 2.2, 18.0)


def text_of(markup: str) -> str:
    """What a reader sees of markup, blanks as plain ones."""
    return " ".join(unescape(TAGS.sub(" ", markup)).replace("\u00a0", " ").split())


@pytest.fixture
def told(bench: Bench):
    name = bench.case("W-7", [zone(11, "margin", now=(57.0, 15.0, 12.0), target=(54.0, 19.0, 13.0)),
                              zone(21, "middle", now=OFF, target=TARGET)], stage="blasted")  # fmt: skip
    bench.run("case", "open", name)
    result = AdviseResult.model_validate(bench.json("advise", "W-7"))
    return bench, {one.zone: one for one in result.cases[0].zones}


def test_a_zone_is_told_in_the_same_words_everywhere(told):
    bench, zones = told
    one = zones["middle"]
    gap, target, first = one.gap, one.target, one.moves[0]
    assert gap is not None
    assert target is not None
    apart = [
        differences.value(gap.dL), differences.chroma(gap.dC), differences.hue(gap.dH, hue_angle(target.a, target.b)),
    ]  # fmt: skip
    step = sentences.step(first.kind, first.layers)
    everywhere = {
        "advise": " ".join(bench.run("advise", "W-7").out.split()),
        "bench": " ".join(bench.run("bench", "W-7").out.split()),
        "list": text_of(list_markup([one])),
        "steps": text_of(steps_markup(one)),
    }
    for place in ("bench", "list"):
        assert [word for word in apart if word not in everywhere[place]] == [], place
    assert step in everywhere["bench"]
    for place in ("list", "steps"):
        assert all(text_of(line) in everywhere[place] for line in wording.layers(first.layers)), place
    for place in ("advise", "list", "steps"):
        assert chance(first.accept) in everywhere[place], place
    assert first.why in everywhere["advise"]
    assert first.why.startswith(mixes.layers(first.layers))


def test_gum_is_named_in_full_and_so_is_the_state(told):
    bench, zones = told
    state = "out of tolerance"
    row = text_of(list_markup([zones["margin"]]))
    assert "11 gum edge" in row
    assert state in row
    for command in ("advise", "bench"):
        out = bench.run(command, "W-7").out
        assert "gum edge" in out
        assert "margin" not in out
    from stainbook.book import open_book

    with open_book(bench.url) as book:
        report, _ = report_of(book, "W-7")
    assert {one.state.word for one in report.zones} == {state}
    assert pdf_of(report).startswith(b"%PDF")


def test_a_chance_and_a_mix_are_told_alike_in_the_plan_and_on_its_sheet(told):
    bench, _ = told
    plan = bench.json("plan", "W-7")
    said = bench.run("plan", "W-7", "--html", "plan.html").out
    sheet = text_of((bench.folder / "plan.html").read_text(encoding="utf-8"))
    for pot in plan["pots"]:
        assert mixes.mix(pot["pot"]) in said
        assert mixes.mix(pot["pot"]) in sheet
        assert pot["id"][0] in ("YJUK" if pot["id"][0] in "YJUK" else "PZ")
    for one in plan["zones"]:
        for layer in one["layers"]:
            assert mixes.coats_of(layer["pot"], layer["coats"]) in said
            assert mixes.mark(layer["pot"], layer["coats"]) in sheet
    whole = plan["within_reach"]
    if whole is not None:
        assert f"after this firing {chance(whole['accept'])}" in said
        assert f"after this firing {chance(whole['accept'])}" in sheet
