"""The page on a demonstration book that is made once; advice is made up where numbers do not matter."""

import logging
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from stainbook.pages import case_source
from stainbook.work.demo import make_demo_book
from stainbook.work.shipped import shipped
from tests.pages.made_up import made_up_view

logging.getLogger("streamlit.runtime.scriptrunner_utils.script_run_context").setLevel("ERROR")
PAGE = Path(case_source.__file__).with_name("case_page.py")


@pytest.fixture(scope="session")
def demo_book(tmp_path_factory):
    return make_demo_book(tmp_path_factory.mktemp("book"))


@pytest.fixture
def lab(demo_book, monkeypatch):
    """The environment of ``stainbook demo``, with advice that is made up."""
    monkeypatch.setenv("STAINBOOK_BOOK", demo_book)
    monkeypatch.setenv("STAINBOOK_FOLDER", str(shipped("recipes")))
    monkeypatch.setattr(case_source, "view_case", lambda url, path: made_up_view(url, path))
    case_source.worked_out.clear()
    return demo_book


@pytest.fixture
def page(lab):
    return AppTest.from_file(str(PAGE), default_timeout=60)
