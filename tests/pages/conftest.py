"""The page on a demonstration book that is made once; advice is made up where numbers do not matter."""

import logging
import shutil
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from stainbook.faces import desk_face
from stainbook.lab import Lab
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_list import page_file
from stainbook.work.app.demo import make_demo_book, make_demo_folder
from stainbook.work.app.shipped import shipped
from tests.pages.made_up import made_up_desk

logging.getLogger("streamlit.runtime.scriptrunner_utils.script_run_context").setLevel("ERROR")


@pytest.fixture(scope="session")
def demo_book(tmp_path_factory):
    return make_demo_book(tmp_path_factory.mktemp("book"))


@pytest.fixture
def lab(demo_book, monkeypatch):
    """The environment of ``stainbook demo``, with advice that is made up."""
    monkeypatch.setenv("STAINBOOK_BOOK", demo_book)
    monkeypatch.setenv("STAINBOOK_FOLDER", str(shipped("recipes")))
    monkeypatch.setattr(desk_face, "open_desk", lambda book, code, watch: made_up_desk(book, code))
    monkeypatch.setattr(case_source, "PATIENCE", 60)
    Lab.close_all()
    return demo_book


@pytest.fixture
def own_demo(demo_book, tmp_path, monkeypatch):
    """A copy of the demonstration lab that a test may change."""
    for file in Path(demo_book.removeprefix("sqlite:///")).parent.glob("lab.db*"):
        shutil.copy(file, tmp_path)
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    monkeypatch.setenv("STAINBOOK_BOOK", url)
    monkeypatch.setenv("STAINBOOK_FOLDER", str(make_demo_folder(tmp_path)))
    return url


@pytest.fixture
def open_page(own_demo):
    """A function that runs a page by its name."""

    def run(name):
        page = AppTest.from_file(str(page_file(name)), default_timeout=60).run()
        assert not page.exception
        return page

    return run


@pytest.fixture
def page(lab):
    return AppTest.from_file(str(page_file("case")), default_timeout=60)
