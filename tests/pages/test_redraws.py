"""A redraw that finds nothing new asks one query for the newest row, opens no book and parses nothing."""

from collections import Counter

import pytest
import yaml
from sqlalchemy import Engine, event
from streamlit.testing.v1 import AppTest

from stainbook.book import upgrade
from stainbook.kept import Operator
from stainbook.pages.case import case_texts as words
from stainbook.pages.case.page_choices import CaseChoices, PageChoices
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_list import page_file
from tests.pages.driving import press

PAGES = (
    "start", "case", "plan", "sheet", "targets", "readings", "result", "deliver", "tray", "timeline", "jars",
)  # fmt: skip


@pytest.fixture
def asked(monkeypatch):
    """What is asked of the book from now on: statements, books opened, texts parsed."""
    found = []

    def query(connection, cursor, statement, *_):
        if not statement.startswith(("BEGIN", "PRAGMA")):
            found.append(" ".join(statement.split()))

    def counted(owner, name):
        plain = getattr(owner, name)
        monkeypatch.setattr(owner, name, lambda *given, **more: (found.append(name), plain(*given, **more))[1])

    event.listen(Engine, "before_cursor_execute", query)
    counted(upgrade, "ready")
    counted(yaml, "parse")
    yield found
    event.remove(Engine, "before_cursor_execute", query)


def drawn(name, case="W-1051"):
    """A page drawn until there is nothing new."""
    page = AppTest.from_file(str(page_file(name)), default_timeout=60)
    page.session_state["case_page_choices"] = PageChoices(case, cases={case: CaseChoices(mixes=1)})
    page.run()
    if name == "plan":
        press(page, words.MAKE_PLAN)
    page.run()
    assert not page.exception
    assert not page.warning
    return page


@pytest.mark.parametrize("name", PAGES)
def test_a_redraw_asks_for_the_newest_row_alone(lab, asked, name):
    page = drawn(name)
    asked.clear()
    page.run()
    assert Counter(asked) == {"SELECT max(records.id) AS max_1 FROM records WHERE records.lab = ?": 1}


def test_what_another_bench_stored_is_seen_at_the_next_redraw(own_demo, asked):
    page = drawn("result")
    who = next(one for one in page.selectbox if one.key == "who W-1051")
    assert "bench-9" not in who.options
    case_source.lab().book.add_operators([Operator("bench-9")])
    page.run()
    assert "bench-9" in next(one for one in page.selectbox if one.key == "who W-1051").options
    assert len(asked) > 1
