"""The timeline's page and the label's button without a browser."""

import io

import pytest
from PIL import Image

from stainbook.book import open_book
from stainbook.kept import Photo
from stainbook.lab import Lab
from stainbook.pages.bench import timeline_texts as words
from stainbook.pages.lab import settings_texts
from tests.pages.driving import markup, press


@pytest.fixture
def timeline(open_page):
    page = open_page("timeline")
    page.session_state["case_page_choices"].case = "W-0971"
    page.run()
    return page


def jpeg():
    made = io.BytesIO()
    Image.new("RGB", (60, 40), (150, 150, 150)).save(made, "JPEG")
    return made.getvalue()


def test_what_happened_notes_and_photos(timeline, own_demo):
    drawn = markup(timeline, "timeline 0")
    assert "delivered" in drawn
    assert "expected L*" in drawn
    assert "apart" in drawn
    with open_book(own_demo) as book:
        for at in ("2026-02-03T13:00:00Z", "2026-02-03T15:00:00Z"):
            book.add_photo(Photo("W-0971", at, "piece", 60, 40, ()), jpeg())
    timeline.text_area(key="note W-0971").set_value("asked for a **warmer** neck").run()
    press(timeline, words.ADD_NOTE)
    assert "asked for a **warmer** neck" in markup(timeline, "timeline 0")
    assert timeline.text_area(key="note W-0971").value == ""
    assert len(timeline.get("image")) >= 2  # before and after side by side
    press(timeline, next(one.label for one in timeline.button if one.key == "undo note"))
    assert "warmer" not in markup(timeline, "timeline 0")


def test_the_label_says_what_to_set_until_it_is_set(timeline, open_page, own_demo):
    button = next(one for one in timeline.get("download_button") if one.label == words.LABEL)
    assert button.proto.help == words.NO_HOST
    page = open_page("settings")
    page.text_input(key="set_host").set_value("localhost:8501").run()
    page.button(key="keep host").click().run()
    assert "this machine alone" in page.warning[0].value
    page.text_input(key="set_host").set_value("bench.local:8501").run()
    page.button(key="keep host").click().run()
    assert page.success[0].value == settings_texts.KEPT
    with Lab(own_demo) as lab:
        assert lab.settings.now().host == "http://bench.local:8501"
    timeline.run()
    button = next(one for one in timeline.get("download_button") if one.label == words.LABEL)
    assert not button.proto.help
