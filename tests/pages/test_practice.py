"""The practice lab: five minutes on a book of its own, that leave nothing in the lab's."""

from pathlib import Path

from streamlit.testing.v1 import AppTest

from stainbook.lab import Lab
from stainbook.pages.shell import case_source, practice_texts
from stainbook.pages.shell.page_list import page_file
from stainbook.pages.start import first_texts
from stainbook.work.app.shipped import shipped
from tests.pages.driving import markup, press


def test_practice_works_on_a_book_of_its_own_and_leaves_nothing(monkeypatch, tmp_path):
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    monkeypatch.setenv("STAINBOOK_BOOK", url)
    monkeypatch.setenv("STAINBOOK_FOLDER", str(tmp_path))
    Lab.close_all()
    app = AppTest.from_file(str(page_file("start")), default_timeout=120).run()
    kept = app.session_state["kept"]
    kept["typed pair"] = {"tab middle": "72"}
    app.session_state["kept"] = kept
    press(app, practice_texts.TRY)
    assert "Practice 1 of 5" in app.info[0].value
    assert "W-1051" in markup(app, "waits")
    place = app.session_state[case_source.PRACTICE].place
    assert "typed pair" not in app.session_state["kept"]
    press(app, practice_texts.LEAVE)
    assert first_texts.READ_PAIR in [one.label for one in app.button]
    assert app.session_state["kept"]["typed pair"] == {"tab middle": "72"}
    assert not Path(place).exists()
    assert case_source.lab().newest() == 0  # not a row in the lab's own book


def test_practice_is_offered_where_the_book_is_empty_alone(own_demo):
    app = AppTest.from_file(str(shipped("app.py")), default_timeout=60).run()
    assert practice_texts.TRY not in [one.label for one in app.button]
    assert first_texts.READ_PAIR in [one.label for one in app.button]
