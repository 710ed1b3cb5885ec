"""A tab and a tooth without a browser: from an empty book to before and after; what is half typed, wrong, or double."""

import pytest
from streamlit.testing.v1 import AppTest

from stainbook.book import open_book
from stainbook.faces.firing_types import ZoneResult
from stainbook.faces.reading_types import Light
from stainbook.faces.stain_types import NewStain
from stainbook.faces.wish_types import TabAndTooth
from stainbook.lab import Lab
from stainbook.pages.shell.page_list import page_file
from stainbook.pages.start import first_texts as words
from stainbook.work.app.shipped import shipped
from tests.pages.driving import markup, press, show

ZONES = ("cervical", "middle", "incisal")
TAB = {"cervical": "72,4 1,2 15,0", "middle": "73.5 0.8 13", "incisal": "71 0,1 10"}
TOOTH = {"cervical": "75,1 0,8 12", "middle": "75 0,5 11", "incisal": "73 -0,3 8"}
AFTER = {"cervical": "72,1 1,3 14,6", "middle": "73 0,9 13,2", "incisal": "71,2 0 10,4"}


@pytest.fixture
def lab(monkeypatch, tmp_path):
    """An empty book and an empty folder."""
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    monkeypatch.setenv("STAINBOOK_BOOK", url)
    monkeypatch.setenv("STAINBOOK_FOLDER", str(tmp_path))
    Lab.close_all()
    return url


@pytest.fixture
def app(lab):
    return AppTest.from_file(str(shipped("app.py")), default_timeout=60).run()


def typed(app, name, rows):
    """Rows as the browser sends them."""
    kept = app.session_state["kept"]
    kept[f"typed {name}"] = rows
    app.session_state["kept"] = kept
    app.run()
    assert not app.exception
    return app


def pair(app, tab=TAB, tooth=TOOTH):
    rows = {f"tab {zone}": three for zone, three in tab.items()}
    return typed(app, "pair", rows | {f"tooth {zone}": three for zone, three in tooth.items()})


def button(app, start):
    return next(one for one in app.button if one.label.startswith(start))


def paint(app, code, mix="2 coats of (1 part husk + 7 parts clear)"):
    for zone in ZONES:
        app.text_input(key=f"pair {code} {zone}").set_value(mix)
    app.run()
    return press(app, button(app, words.PAINTED).label)


def said(app):
    return " ".join(one.value for one in app.markdown)


def test_from_the_start_page_to_before_and_after(app, lab):
    press(app, words.READ_PAIR)
    assert 'class="display"' in markup(app, "display")
    assert button(app, words.KEEP).disabled
    pair(app)
    assert "2.7 too light" in markup(app, "pair_gaps")  # before anything is stored
    press(app, words.KEEP)
    assert not list(app.info)  # no opinion of what will be painted
    paint(app, "piece-1")
    typed(app, "after piece-1", AFTER)
    press(app, words.RECORD)
    shown = markup(app, "before_after")
    assert "2.7 too light" in shown
    assert "2 coats of (1 part husk + 7 parts clear)" in shown
    assert "From piece 4 on" in said(app)
    with open_book(lab) as book:
        assert list(book.instruments()) == ["hand"]  # light and observer were asked once
        (firing,) = book.firings()
        assert (firing.case, firing.kind) == ("piece-1", "stain+glaze")
        assert len(book.outcomes()) == 3
        assert book.stains()["husk"].kind == "surface"


def test_from_the_fourth_piece_on_the_program_says_what_it_would_have_done(app, lab):
    light, zone = Light("D65", 10), "middle"
    told = Lab(lab, author="bench-1")
    told.stains.enter(NewStain("husk", family="brown"))
    for number in range(1, 5):
        code = told.cases.make_piece(TabAndTooth({zone: TAB[zone]}, {zone: TOOTH[zone]}, light))
        told.case(code).firing.paint([ZoneResult(11, zone, f"{number} coats of (1 part husk + 7 parts clear)")])
        told.case(code).firing.record_piece({zone: f"{74.6 - 0.4 * number} 0,7 {11 + 0.5 * number}"}, light)
    views = [told.case(f"piece-{number}").firing.piece() for number in range(1, 5)]
    assert [bool(one.said) for one in views] == [False, False, False, True]
    assert [one.number for one in views] == [1, 2, 3, 4]
    app.query_params["case"] = told.cases.listed().ids["piece-4"]
    show(app, "tab_and_tooth")
    assert "11 middle: the program would have taken" in said(app)


def enter(app, name, rows):
    """Rows as the browser sends them, each with its Enter."""
    entries = [{"id": f"{key} {text}", "key": key, "text": text} for key, text in rows.items()]
    app.session_state[f"reader {name}"] = {"typed": entries}
    app.run()
    assert not app.exception
    return app


def test_what_is_typed_outlives_another_page_and_a_zone_of_the_tab_alone_is_not_saved(app):
    press(app, words.READ_PAIR)
    enter(app, "pair", {"tab middle": "73,5 0,8 13"})
    show(app, "start")
    show(app, "tab_and_tooth")
    assert typed_in(app)["tab middle"] == "73,5 0,8 13"
    assert button(app, words.KEEP).disabled


def typed_in(app):
    return app.session_state["kept"]["typed pair"]


def test_a_number_that_no_colour_has_is_asked_about_and_never_stored(app, lab):
    press(app, words.READ_PAIR)
    pair(app)
    enter(app, "pair", {"tab cervical": "774 1,2 15"})
    assert "774, did you mean 77.4?" in app.warning[0].value
    assert button(app, words.KEEP).disabled  # until it is answered
    press(app, "77.4 1,2 15 was meant")
    assert typed_in(app)["tab cervical"] == "77.4 1,2 15"
    assert not button(app, words.KEEP).disabled
    enter(app, "pair", {"tab cervical": "774 1,2 15 "})
    assert not [one.label for one in app.button if one.label.startswith("It is")]  # nothing has that colour
    assert button(app, words.KEEP).disabled
    with open_book(lab) as book:
        assert book.names("case") == []
        assert book.readings() == ()


def test_a_reload_shows_the_piece_that_the_address_names(app, lab):
    press(app, words.READ_PAIR)
    pair(app)
    press(app, words.KEEP)
    named = Lab(lab).cases.listed().ids["piece-1"]
    again = AppTest.from_file(str(page_file("tab_and_tooth")), default_timeout=60)
    again.query_params["case"] = named
    again.run()
    assert words.PAINT in said(again)
    assert [one.key for one in again.text_input][:3] == [f"pair piece-1 {zone}" for zone in ZONES]


def test_two_tabs_make_two_pieces(app, lab):
    other = AppTest.from_file(str(page_file("tab_and_tooth")), default_timeout=60).run()
    press(app, words.READ_PAIR)
    for one in (app, other):
        pair(one)
        press(one, words.KEEP)
    with open_book(lab) as book:
        assert book.names("case") == ["piece-1", "piece-2"]
        assert list(book.instruments()) == ["hand"]


def test_what_two_tabs_tell_of_one_firing_is_stored_once(app, lab):
    press(app, words.READ_PAIR)
    pair(app)
    press(app, words.KEEP)
    paint(app, "piece-1")
    other = AppTest.from_file(str(page_file("tab_and_tooth")), default_timeout=60)
    other.query_params["case"] = Lab(lab).cases.listed().ids["piece-1"]
    other.run()
    for one in (app, other):
        typed(one, "after piece-1", AFTER)
        if any(two.label == words.RECORD for two in one.button):
            press(one, words.RECORD)
    assert markup(other, "before_after")
    with open_book(lab) as book:
        assert len(book.firings()) == 1


def test_a_paint_that_cannot_be_read_is_one_sentence(app):
    press(app, words.READ_PAIR)
    pair(app)
    press(app, words.KEEP)
    app.text_input(key="pair piece-1 middle").set_value("1/8 husk + 3 parts clear").run()
    assert not app.exception
    assert "shares and parts" in app.warning[0].value
