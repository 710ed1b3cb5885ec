"""Outcomes that are held back, shown with two buttons."""

import pytest
from streamlit.testing.v1 import AppTest

from stainbook.book import open_book
from stainbook.pages.result import held_texts as words
from stainbook.work.firing.record import record_files
from tests.pages.driving import press
from tests.work.benches import calibrated, fired


def _script():
    from stainbook.pages.result.held_parts import held_outcomes

    held_outcomes("W-1042")


@pytest.fixture
def page(tmp_path, monkeypatch):
    """The part of the result page that shows them, on a book with one such outcome."""
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    monkeypatch.setenv("STAINBOOK_BOOK", url)
    with open_book(url) as book:
        calibrated(book, tmp_path)
        assert record_files(book, [fired(tmp_path, husk=2.0)]).outcomes[0].held
    return AppTest.from_function(_script).run(timeout=30)


def test_an_outcome_that_is_set_aside_is_shown_no_longer(page, tmp_path):
    assert "nothing is learnt from it yet" in page.markdown[1].value
    page.text_input[0].set_value("12 was read").run()
    press(page, words.WRONG)
    assert page.success[0].value == words.DONE["wrong"].format(name="11 cervical")
    assert [one.label for one in page.button] == []
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as book:
        assert [(one.verdict, one.why) for one in book.decisions().values()] == [("wrong", "12 was read")]


def test_an_outcome_that_was_really_so_is_learnt_from(page):
    press(page, words.SO)
    assert page.success[0].value == words.DONE["true"].format(name="11 cervical")
