"""The case page without a browser: what it says in each state, and that nothing that is chosen gets lost."""

import json
import re

import pytest

from stainbook.faces import desk_face
from stainbook.pages.shell import case_source, texts
from stainbook.records import Case, CaseZone, TabRef, Target
from stainbook.work.app.shipped import shipped
from stainbook.work.case.case_desk import open_desk, step_of
from stainbook.work.case.chosen import choose as choose_steps
from tests.pages.driving import markup
from tests.pages.made_up import made_up_desk
from tests.work.opened import opened

FORBIDDEN = re.compile(r"\b(regret|prior|covariance|lifted)\b", re.IGNORECASE)


def all_words(at):
    shown = [json.loads(element.proto.json)["markup"] for element in at.get("bidi_component")]
    return " ".join([*shown, *(one.value for one in (*at.markdown, *at.subheader, *at.info, *at.warning))])


def choose(at, **changes):
    """Choose as a tap does: the choices live in one session key of the page's own."""
    chosen = at.session_state["case_page_choices"]
    for name, value in changes.items():
        setattr(chosen if hasattr(chosen, name) else chosen.here, name, value)
    return at.run()


def pick_step(at, case, key, place):
    """Choose a zone's step as a tap does: the book keeps it."""
    view = made_up_desk(case_source.lab().book, case).view
    zone = next(one for one in view.advised.zones if (one.tooth, one.zone) == key)
    choose_steps(case_source.lab().book, case, {key: step_of(zone.moves[place])})
    return at.run()


@pytest.mark.parametrize("case", ["W-1042", "W-1051", "W-1063"])
def test_each_case_is_shown(page, case):
    page.run()
    page.selectbox(key="case_file").select(case).run()
    assert not page.exception
    assert not page.warning
    assert "about 7 in 10" in markup(page, "chance")
    assert "zirconia" in markup(page, "facts")
    assert "daylight (CIE D65), 10°" in markup(page, "facts")
    assert not FORBIDDEN.search(all_words(page))
    assert len(page.get("vega_lite_chart")) in (2, 3)


def test_worst_zone_is_chosen_first(page):
    page.run()
    assert "<h2>13 alveolar mucosa</h2>" in markup(page, "zone")


def test_choosing_a_zone_and_a_step(page):
    page.run()
    choose(page, zone=(21, "middle"))
    assert not page.exception
    assert "<h2>21 middle</h2>" in markup(page, "zone")
    first = markup(page, "zone")
    pick_step(page, "W-1042", (21, "middle"), 3)
    assert markup(page, "zone") != first  # its colour is the predicted one now
    assert page.expander[0].label == "Next steps: 21 middle"


def test_choices_survive_another_case_and_back(page):
    page.run()
    choose(page, zone=(21, "middle"), fill="difference")
    first, second = case_source.lab().cases.listed().offered()[:2]
    page.selectbox(key="case_file").select(second).run()
    page.selectbox(key="case_file").select(first).run()
    assert "<h2>21 middle</h2>" in markup(page, "zone")
    assert page.session_state["case_page_choices"].fill == "difference"


@pytest.mark.parametrize("fill", list(texts.FILLS))
def test_each_fill_of_the_arch(page, fill):
    page.run()
    choose(page, fill=fill)
    assert not page.exception
    arch = markup(page, "arch")
    assert arch.count("data-key=") == 48
    assert (texts.RAMP_TITLE in markup(page, "legends")) == (fill == "difference")


def test_zone_that_is_left(page):
    page.run()
    choose(page, zone=(11, "incisal"))
    assert not page.exception
    assert "Nothing to do here" in markup(page, "zone")


def test_a_book_without_cases_says_what_to_do(page, monkeypatch, tmp_path):
    monkeypatch.setenv("STAINBOOK_FOLDER", str(tmp_path))
    monkeypatch.setenv("STAINBOOK_BOOK", f"sqlite:///{tmp_path / 'empty.db'}")
    page.run()
    assert not page.exception
    assert str(tmp_path) in page.info[0].value
    assert page.button[0].label == texts.MAKE_FIRST_CASE


def test_a_case_that_names_what_is_not_there_is_one_sentence(page, monkeypatch, tmp_path):
    monkeypatch.setenv("STAINBOOK_BOOK", f"sqlite:///{tmp_path / 'own.db'}")
    lost = CaseZone(11, "cervical", "tooth", target=Target(TabRef("house", "gone")))
    opened(case_source.lab().book, Case("W-1", (lost,), "zirconia", "blasted"))
    page.run()
    assert not page.exception
    assert "house/gone" in page.warning[0].value
    assert "Traceback" not in page.warning[0].value


def test_book_without_stains_shows_gaps_and_no_odds(page, monkeypatch, tmp_path):
    monkeypatch.setattr(desk_face, "open_desk", open_desk)
    monkeypatch.setenv("STAINBOOK_BOOK", f"sqlite:///{tmp_path / 'empty.db'}")
    case_source.lab().cases.bring_in([shipped("recipes") / "W-1051.yaml"])
    page.run()
    assert not page.exception
    assert not page.warning
    assert "no stain was calibrated" in page.info[0].value
    assert texts.NO_CHANCE_YET in markup(page, "chance")
    assert "7.8 too weak" in markup(page, "zone")


def test_unforeseen_failure_is_a_sentence(page, monkeypatch):
    def fail(book, code, watch):
        raise ValueError("inner words")

    monkeypatch.setattr(desk_face, "open_desk", fail)
    page.run()
    assert not page.exception
    assert page.warning[0].value == texts.FAILED
