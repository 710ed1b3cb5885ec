"""Every page in the pseudo-language: what stands there is a text of the catalogue, a name, or a number."""

import re
from functools import cache

import pytest
from streamlit.testing.v1 import AppTest

from stainbook import language
from stainbook.book import open_book
from stainbook.guide import PAGES
from stainbook.language import speak
from stainbook.pages.case import case_texts
from stainbook.pages.lab import settings_texts
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.page_list import page_file
from stainbook.records import GUM_ZONES, TOOTH_ZONES
from stainbook.work.app.shipped import shipped
from tests.pages.driving import markup, press, show
from tests.pages.made_up import STEPS
from tests.pages.seen import on_page
from tests.tools.catalogue import CLOSE, OPEN, PSEUDO, catalogue, outside, pseudo, write_pseudo

NAMED = (
    "stain",
    "body",
    "chip",
    "tab",
    "operator",
    "programme",
    "instrument",
    "case",
    "recipe",
)  # kinds of records
SIGNS = {"lab", "ab", "iso", "cie", "pdf", "csv", "xlsx", "zip", "db", "cm", "mm", "english", "clear"}
WRITTEN = {  # by the demonstration's technicians: places, notes, materials, furnaces
    "zirconia", "edge", "thin", "house", "weekly", "plate", "dark", "pale", "held", "on", "three", "pieces", "too",
    "yellow", "beside", "half", "the", "as", "maker's", "sheet", "has", "it", "figures", "are", "lab's", "to", "enter",
    "reading", "patient", "neighbour", "small", "chips",
}  # fmt: skip
PLACES = r"incisal edge|(pale|soft) middle|(?<=, )(occlusal|mucosa)(?=, )|(?<= )(occlusal|mucosa)(?= ~)"  # as written
CITED = r"\w+-?\w* [A-Z]{1,2}(, [A-Z]\w+ [A-Z]{1,2})*,? et al\. J [\w ]+? \d{4};[\w \-:]+"
DECIMAL = r"(?<![\w.,:/-])\d+\.\d+(?![\w.])"  # the pseudo-language writes a comma
FILES = r"\b\w+\.(csv|yaml)\b"
SETS = {"tooth", "gum", "iso", "denture", "base", "strict", "lenient"}  # names of sets of thresholds


def words_of(text):
    return {word.lower() for word in re.findall(r"[A-Za-z][A-Za-z']*", text)}


@pytest.fixture(scope="module")
def catalogues(tmp_path_factory):
    return write_pseudo(tmp_path_factory.mktemp("catalogues"))


@pytest.fixture
def in_pseudo(catalogues, monkeypatch):
    monkeypatch.setenv("STAINBOOK_CATALOGUES", str(catalogues))
    monkeypatch.setenv("STAINBOOK_LANG", PSEUDO)


@pytest.fixture(scope="module")
def names(demo_book):
    """Words of the lab's own names; those of zones are texts wherever they stand alone."""
    with open_book(demo_book) as book:
        lots = {lot for chip in book.chips() for layer in chip.layers for _, lot in layer.lots}
        found = " ".join([*(one.name for kind in NAMED for one in book.newest_entered(kind)), *lots])
    made_up = " ".join(why for *_, why in STEPS)
    guide = " ".join(PAGES.values())  # which stays as it is written
    return (words_of(found) - {*TOOTH_ZONES, *GUM_ZONES}) | words_of(guide) | words_of(made_up)


@pytest.mark.parametrize("name", texts.PAGES)
def test_what_stands_on_a_page_is_a_text_or_a_name(lab, in_pseudo, names, name):
    page = AppTest.from_file(str(page_file(name)), default_timeout=120)
    page.session_state[f"help {name}"] = True
    page.session_state["weekly"] = True
    page.run()
    assert leaks(page, names) == ""


def test_a_mix_by_hand_and_a_made_plan_are_texts_too(own_demo, in_pseudo, names, monkeypatch):
    monkeypatch.setattr(case_source, "PATIENCE", 120)
    app = AppTest.from_file(str(shipped("app.py")), default_timeout=120).run()
    choices = app.session_state["case_page_choices"]
    choices.case = "W-1051"
    show(app, "case")
    choices.here.zone = (11, "middle")
    press(app.run(), case_texts.CHANGE_THIS)
    assert "data-key" in markup(app, "mix rows")
    assert leaks(app, names) == ""
    press(show(app, "plan"), case_texts.MAKE_PLAN)
    assert "data-key" in markup(app, "plan arch")
    assert leaks(app, names) == ""


@cache
def decimals_in_texts():
    """Numbers with a decimal point that a text of the catalogue has as an example."""
    ids = [one.id for one in catalogue() if one.id]
    return set(re.findall(DECIMAL, " ".join(one if isinstance(one, str) else " ".join(one) for one in ids)))


def leaks(page, names):
    """What stands on a page outside the catalogue, a line each; the guide stays as it is written."""
    assert not page.exception
    spoken = words_of(" ".join(map(language.language_name, language.languages())))
    known, found = names | SIGNS | WRITTEN | SETS | spoken, {}
    for where, said in on_page(page):
        if not said.startswith(("# ", "<style>")):
            rest = re.sub(f"{PLACES}|{CITED}|{FILES}", "", said)
            strange = [
                *outside(rest, known=known),
                *(() if "placeholder" in where else set(re.findall(DECIMAL, said)) - decimals_in_texts()),
            ]
            found |= {word.lower(): f"{word.lower()}: {where}: {said}" for word in strange}
    return "\n".join(found.values())


def test_the_settings_let_a_browser_session_choose_its_language(own_demo, catalogues, monkeypatch):
    monkeypatch.setenv("STAINBOOK_CATALOGUES", str(catalogues))
    app = AppTest.from_file(str(shipped("app.py")), default_timeout=120).run()
    show(app, "settings")
    assert [one.label for one in app.tabs] == list(settings_texts.TABS)
    choice = app.selectbox(key="set_language")
    assert choice.options[0] == "English"
    assert all("not proof-read" in one for one in choice.options[1:])
    choice.select(PSEUDO).run()
    assert not app.exception
    assert [one.label for one in app.tabs] == [pseudo(word) for word in settings_texts.TABS]
    speak(PSEUDO)  # AppTest words the chosen options here
    show(app, "exchange")
    assert [one.value for one in app.subheader if not (OPEN in one.value and CLOSE in one.value)] == []
    speak(None)
    other = AppTest.from_file(str(shipped("app.py")), default_timeout=120).run()
    show(other, "settings")
    assert [one.label for one in other.tabs] == list(settings_texts.TABS)


def test_one_language_alone_is_no_choice(open_page, monkeypatch, tmp_path):
    monkeypatch.setattr(language, "_SHIPPED", tmp_path)
    page = open_page("settings")
    assert [one.key for one in page.selectbox if one.key == "set_language"] == []
