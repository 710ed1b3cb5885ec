"""Zone by zone at the bench: slips, mistakes, half an arch, a reload; and what was painted otherwise, by taps."""

import json

import pytest
from streamlit.testing.v1 import AppTest

from stainbook.faces import desk_face
from stainbook.faces.firing_types import Given
from stainbook.faces.reading_types import Light
from stainbook.lab import Lab
from stainbook.pages.case.page_choices import PageChoices
from stainbook.pages.plan import tick_texts as ticks
from stainbook.pages.readings import one_by_one_texts as reads
from stainbook.pages.result import exception_texts as words
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_list import page_file
from tests.pages.driving import markup, press, type_reading
from tests.pages.made_up import made_up_desk

CASE = "W-1051"
ALL = "Painted as the sheet says: 3 zones"


@pytest.fixture
def bench(own_demo, monkeypatch):
    """A function that opens a page of the single front tooth in a browser session of its own."""
    monkeypatch.setattr(desk_face, "open_desk", lambda book, code, watch: made_up_desk(book, code))
    monkeypatch.setattr(case_source, "PATIENCE", 60)
    Lab.close_all()

    def opened(name):
        page = AppTest.from_file(str(page_file(name)), default_timeout=60)
        page.session_state["case_page_choices"] = PageChoices(CASE)
        page.run()
        assert not page.exception
        return page

    return opened


def stored(zone):
    return [one.lab for one in case_source.lab().book.readings(f"{CASE}-11-{zone}") if one.lab]


def lying():
    painted = case_source.lab().book.painted(CASE)
    return {one.zone: [(dict(layer.pot.shares), layer.coats) for layer in one.layers] for one in painted.zones}


def labels(page):
    return [one.label for one in page.button]


def test_a_slip_is_asked_and_not_stored_until_it_is_answered(bench):
    page = bench("readings")
    type_reading(page, CASE, "11 middle", "27.9 0.5 13.1", where="before")
    assert "27.9, did you mean 72.9?" in page.warning[0].value
    assert not stored("middle")
    assert reads.ASKED in markup(page, "order")
    press(page, "72.9 0.5 13.1 was meant")
    assert stored("middle") == [(72.9, 0.5, 13.1)]
    assert not page.warning


def films():
    """By sample, the film of the reading that holds."""
    held = {name: case_source.lab().book.find_reading(f"{CASE}-11-{name}") for name in ("cervical", "middle")}
    return {name: one.film for name, one in held.items()}


def test_what_is_read_under_a_film_is_said_for_the_rows_that_come_next(bench):
    page = bench("readings")
    assert page.selectbox(key="film").value == "none"
    type_reading(page, CASE, "11 cervical", "70.2 1.9 17.6", where="before")
    page.selectbox(key="film").select("glycerine").run()
    assert "read under glycerine. Clean and dry the piece" in page.info[0].value
    type_reading(page, CASE, "11 middle", "66.4 1.4 19.8", where="before", number=1)  # far from dry: not asked about
    assert not page.warning
    assert films() == {"cervical": None, "middle": "glycerine"}
    page.selectbox(key="film").select("none").run()
    type_reading(page, CASE, "11 middle", "72.4 0.6 13.2", where="before", number=2)  # typed once more, dry
    assert films() == {"cervical": None, "middle": None}
    page.selectbox(key="film").select("water").run()
    assert bench("readings").selectbox(key="film").value == "none"  # another visit begins dry
    measured = case_source.case(CASE).measured
    measured.store(Given("70 2 18\n-\n-", illuminant="D65", observer=10, film="water"))
    assert films() == {"cervical": "water", "middle": None}


def test_what_is_typed_twice_alike_is_so(bench):
    page = bench("readings")
    for turn, text in enumerate(("55.0 6.0 30.0", "55,1 6,0 30,1")):
        type_reading(page, CASE, "11 middle", text, where="before", number=turn)
    assert stored("middle") == [(55.1, 6.0, 30.1)]


def test_what_is_no_colour_is_one_sentence_and_the_next_zone_goes_on(bench):
    page = bench("readings")
    page.session_state[f"reader before {CASE}"] = {
        "typed": [
            {"id": "1", "key": f"{CASE}-11-cervical", "text": "70.1 1.2"},
            {"id": "2", "key": f"{CASE}-11-middle", "text": "72.5 0.6 13.3"},
            {"id": "3", "key": "another case's zone", "text": "72.5 0.6 13.3"},
        ]
    }
    page.run()
    assert "expected L\\*, a\\*, b\\*" in page.warning[0].value
    assert stored("middle") == [(72.5, 0.6, 13.3)]
    press(page, reads.READ_AGAIN)
    assert not page.warning


def test_a_mistake_is_corrected_at_once_and_a_reload_stores_nothing_twice(bench):
    page = bench("readings")
    type_reading(page, CASE, "11 middle", "71.0 0.5 13.1", where="before")
    type_reading(page, CASE, "11 middle", "73.0 0.5 13.1", where="before", number=1)
    assert stored("middle") == [(73.0, 0.5, 13.1)]
    again = bench("readings")  # the browser sends what it does not know to be stored
    type_reading(again, CASE, "11 middle", "73.0 0.5 13.1", where="before", number=1)
    assert stored("middle") == [(73.0, 0.5, 13.1)]
    assert "73.0 0.5 13.1" in markup(again, "order")


def test_a_sheet_that_another_screen_has_fired_meanwhile_stores_nothing(bench):
    sheet, other = bench("sheet"), bench("result")
    press(other, ALL)
    press(other, "Fired, not read yet: record 3 zones")
    assert "Read 3 zones that were fired" in labels(other)  # no coat is proposed on what nobody saw
    press(sheet, ALL)
    assert case_source.lab().book.painted(CASE) is None
    assert [one.value for one in sheet.warning] == [ticks.MOVED_ON]


def test_painted_as_the_sheet_says_but_for_what_is_tapped(bench):
    page = press(bench("result"), ALL)
    assert len(lying()) == 3
    page.session_state["kept"][f"result part {CASE}"] = "painted"
    page.session_state["kept"][f"differs {CASE}"] = ["11 incisal"]
    page.run()
    assert words.AS_SHEET in [one.value for one in page.markdown]
    assert words.RESET not in labels(page)
    press(page, words.NOT_PAINTED)
    assert set(lying()) == {"cervical", "middle"}
    assert markup(page, f"painted {CASE}").count(words.DIFFERS) == 1
    other = bench("result")  # a second device
    other.session_state["kept"][f"result part {CASE}"] = "painted"
    other.session_state["kept"][f"differs {CASE}"] = ["11 incisal", "11 middle"]
    other.run()
    coats = next(one for one in other.get("button_group") if one.label == words.COATS.format(number=1))
    coats.set_value(3).run()
    assert lying()["middle"] == [({"saddle": 0.125}, 3)]
    assert "incisal" not in lying()
    press(other, words.RESET)
    assert [layers[0][1] for layers in lying().values()] == [1, 1, 1]
    typed = next(one for one in other.text_area if one.label == words.TYPED)
    typed.set_value("2 coats of nothing-such").run()
    press(other, words.USE_TYPED)
    assert "does not know nothing-such" in other.warning[0].value
    assert len(lying()) == 3


def ticked(page):
    return [json.loads(one.proto.json)["many"] for one in page.get("bidi_component") if "ticks" in one.proto.id]


def tick(page, number, found):
    page.session_state["kept"][f"ticked {CASE}"] = (number, found)
    page.run()
    assert not page.exception


def test_the_sheet_is_ticked_on_the_screen_and_a_second_device_sees_it(bench):
    page = bench("sheet")
    tick(page, 0, ["0"])
    assert len(lying()) == 3
    other = bench("sheet")
    assert ticked(other) == [["0"]]
    assert labels(other).count("All painted: on to the result") == 1
    tick(other, 0, [])
    assert case_source.lab().book.painted(CASE) is None
    page.run()
    assert ticked(page) == [[]]
    press(page, ALL)  # the page that follows is known to the app alone
    assert len(lying()) == 3


def test_a_piece_at_the_clinic_takes_no_tick(bench):
    page = bench("sheet")
    case_source.case(CASE).way.did("try-in")
    tick(page, 0, ["0"])
    assert case_source.lab().book.painted(CASE) is None
    assert any("clinic" in one.value for one in page.warning)


def test_half_an_arch_is_read_the_rest_stands_as_expected(bench):
    page = press(bench("result"), ALL)
    type_reading(page, CASE, "11 cervical", "67.9 2.6 17.9")
    assert "67.9 2.6 17.9" in markup(page, f"read {CASE}")
    other = bench("result")  # a reload: the reading is there
    assert "67.9 2.6 17.9" in markup(other, f"read {CASE}")
    assert any("11 middle" in one.value and "recorded as expected" in one.value for one in other.caption)
    press(other, "Record 3 zones")
    found = {one.zone: one.after for one in case_source.lab().book.outcomes_of(CASE)}
    assert found["cervical"].lab == (67.9, 2.6, 17.9)
    assert found["middle"] is None
    assert stored("cervical")[-1] == (67.9, 2.6, 17.9)


def test_read_far_from_what_the_sheet_expected_is_asked_after_the_firing_too(bench):
    page = press(bench("result"), ALL)
    type_reading(page, CASE, "11 cervical", "86.7 2.6 17.9")
    assert "did you mean" in page.warning[0].value
    assert labels(page).count(reads.READ_AGAIN) == 1
    page = press(page, reads.AS_TYPED.format(typed="86.7 2.6 17.9"))
    assert stored("cervical")[-1] == (86.7, 2.6, 17.9)


def test_a_second_firing_is_read_in_the_same_session(bench):
    """What was typed of a zone after the first firing is no mistake of then, and the same numbers count anew."""
    page = press(bench("result"), ALL)
    type_reading(page, CASE, "11 cervical", "67.9 2.6 17.9")
    type_reading(page, CASE, "11 middle", "72.6 1.2 14.9", number=1)
    press(page, "Record 3 zones")
    page = press(page.run(), ALL)
    type_reading(page, CASE, "11 cervical", "68.4 2.7 18.1", number=2)
    type_reading(page, CASE, "11 middle", "72.6 1.2 14.9", number=3)
    assert not page.warning
    assert stored("cervical")[-2:] == [(67.9, 2.6, 17.9), (68.4, 2.7, 18.1)]
    assert stored("middle")[-2:] == [(72.6, 1.2, 14.9)] * 2
    press(page, "Record 3 zones")
    after = [one.after.lab for one in case_source.lab().book.outcomes_of(CASE) if one.after]
    assert sorted(after) == [(67.9, 2.6, 17.9), (68.4, 2.7, 18.1), (72.6, 1.2, 14.9), (72.6, 1.2, 14.9)]


def test_a_reading_that_was_taken_back_can_be_typed_again(bench):
    page = bench("readings")
    type_reading(page, CASE, "11 middle", "72.6 1.2 14.9", where="before")
    for _ in range(2):  # that one, and the one before it: none holds
        case_source.case(CASE).measured.correct(f"{CASE}-11-middle", lab="", why="wrong zone", light=Light("D65", 10))
    type_reading(page, CASE, "11 middle", "72.9 1.1 14.6", where="before", number=1)
    assert not page.warning
    assert stored("middle")[-1] == (72.9, 1.1, 14.6)
