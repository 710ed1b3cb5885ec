"""Every page in the pseudo-language: what stands there is a text of the catalogue, a name, or a number."""

import ast
import re

import pytest
from streamlit.testing.v1 import AppTest

from stainbook.book import open_book
from stainbook.guide import PAGES
from stainbook.language import speak
from stainbook.pages.lab import settings_texts
from stainbook.pages.shell import texts
from stainbook.pages.shell.page_list import page_file
from stainbook.records import GUM_ZONES, TOOTH_ZONES
from stainbook.work.app.shipped import shipped
from tests.pages.driving import show
from tests.pages.made_up import STEPS
from tests.pages.seen import on_page
from tests.tools.catalogue import CLOSE, OPEN, PACKAGE, PSEUDO, outside, pseudo, write_pseudo

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
WRITTEN = {  # by the demonstration's technicians: places, notes, materials, surfaces
    "zirconia", "edge", "thin", "house", "weekly", "plate", "dark", "pale", "held", "on", "three", "pieces", "too",
    "yellow", "beside", "half", "the", "as", "maker's", "sheet", "has", "it", "figures", "are", "lab's", "to", "enter",
    "reading", "patient", "neighbour",
}  # fmt: skip
SETS = {"tooth", "gum", "iso", "denture", "base", "strict", "lenient"}  # names of sets of thresholds


def not_yet():
    """Words of rooms that are only now put into the catalogue: to be deleted with the last of them."""
    found = [path for path in PACKAGE.rglob("*.py") if path.parts[len(PACKAGE.parts)] != "pages"]
    trees = (ast.walk(ast.parse(path.read_text(encoding="utf-8"))) for path in found)
    told = " ".join(
        one.value for tree in trees for one in tree if isinstance(one, ast.Constant) and type(one.value) is str
    )
    return words_of(told)


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
        found = " ".join(one.name for kind in NAMED for one in book.newest_entered(kind))
    made_up = " ".join(why for *_, why in STEPS)
    guide = " ".join(PAGES.values())  # which stays as it is written
    return (words_of(found) - {*TOOTH_ZONES, *GUM_ZONES}) | words_of(guide) | words_of(made_up) | not_yet()


@pytest.mark.parametrize("name", texts.PAGES)
def test_what_stands_on_a_page_is_a_text_or_a_name(lab, in_pseudo, names, name):
    page = AppTest.from_file(str(page_file(name)), default_timeout=120)
    page.session_state[f"help {name}"] = True
    page.session_state["weekly"] = True
    page.run()
    assert not page.exception
    known = names | SIGNS | WRITTEN | SETS
    found = [said for said in on_page(page) if not said[1].startswith("# ")]  # the guide stays as it is written
    assert {word.lower(): said for said in found for word in outside(said[1], known=known)} == {}


def test_the_settings_let_a_browser_session_choose_its_language(own_demo, catalogues, monkeypatch):
    monkeypatch.setenv("STAINBOOK_CATALOGUES", str(catalogues))
    app = AppTest.from_file(str(shipped("app.py")), default_timeout=120).run()
    show(app, "settings")
    assert [one.label for one in app.tabs] == list(settings_texts.TABS)
    app.selectbox(key="set_language").select(PSEUDO).run()
    assert not app.exception
    assert [one.label for one in app.tabs] == [pseudo(word) for word in settings_texts.TABS]
    show(app, "exchange")
    assert all(OPEN in one.value and CLOSE in one.value for one in app.subheader)
    speak(None)
    other = AppTest.from_file(str(shipped("app.py")), default_timeout=120).run()
    show(other, "settings")
    assert [one.label for one in other.tabs] == list(settings_texts.TABS)


def test_one_language_alone_is_no_choice(open_page, monkeypatch, tmp_path):
    monkeypatch.setenv("STAINBOOK_CATALOGUES", str(tmp_path))
    page = open_page("settings")
    assert [one.key for one in page.selectbox if one.key == "set_language"] == []
