"""What came of a press stands at the button that was pressed, whatever else is drawn after it."""

import re
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

HEAD = """
import streamlit as st
from stainbook.errors import InputError
from stainbook.pages.shell.page_frame import do
from stainbook.pages.shell.pressing import Telling, pressed, tell, tell_then

telling = Telling()
"""
SCRIPT = (
    HEAD
    + """
first, second = st.container(), st.container()

def fail():
    raise InputError("no such thing")

if pressed("Fails", place=first):
    do(fail, cannot="Not done: {reason}")
label = f"Counts {st.session_state.get('n', 0)}"
if pressed(label, key="counts", place=second):
    st.session_state["n"] = st.session_state.get("n", 0) + 1
    do(lambda: None, cannot="", done="Counted.")
st.write("after")
telling.end()
"""
)
GONE = (
    HEAD
    + """
if not st.session_state.get("gone") and pressed("Goes"):
    st.session_state["gone"] = True
    do(lambda: None, cannot="", done="Gone.")
st.write("after")
telling.end()
"""
)


def told(page):
    return [[one.value for one in kind] for kind in (page.warning, page.success)]


def walked(node):
    for child in getattr(node, "children", {}).values():
        if getattr(child, "children", None):
            yield from walked(child)
        elif child.type in ("button", "warning", "success", "markdown"):
            yield getattr(child, "label", None) or child.value


def test_a_failure_stands_directly_under_its_button():
    page = AppTest.from_string(SCRIPT).run()
    page.button[0].click().run()
    assert list(walked(page.main)) == ["Fails", "Not done: no such thing", "Counts 0", "after"]


def test_what_was_done_is_said_under_the_button_of_the_page_drawn_anew():
    page = AppTest.from_string(SCRIPT).run()
    page.button(key="counts").click().run()
    assert list(walked(page.main)) == ["Fails", "Counts 1", "Counted.", "after"]
    page.button[0].click().run()
    assert told(page) == [["Not done: no such thing"], []]


def test_what_lost_its_button_is_said_at_the_top():
    page = AppTest.from_string(GONE).run()
    page.button[0].click().run()
    assert list(walked(page.main)) == ["Gone.", "after"]


SILENT = {"settings_page", "exchange_page", "timeline_page", "discs_page", "plan_page", "sheet_page"}
STORES = re.compile(r"st\.button\((?!\w*words\.TO_|texts\.TO_|words\.BACK|words\.OPEN)[^)]*\)")


@pytest.mark.parametrize("page", sorted(SILENT))
def test_a_button_that_stores_says_so_at_itself(page):
    """A plain button only leads to another page: what stores or fails goes through `pressed`."""
    (file,) = Path("stainbook/pages").rglob(f"{page}.py")
    assert STORES.findall(file.read_text(encoding="utf-8")) == []
