"""What is likely asked for next is begun while a person still looks, and only after they stored something here."""

import pytest
from streamlit.testing.v1 import AppTest

from stainbook.faces import desk_face
from stainbook.lab import Lab
from stainbook.pages.case import case_texts
from stainbook.pages.case.page_choices import PageChoices
from stainbook.pages.readings import one_by_one_texts as reads
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_list import page_file
from tests.pages.driving import press, type_reading
from tests.pages.made_up import made_up_desk

CASE = "W-1051"


@pytest.fixture
def opened(own_demo, monkeypatch):
    """A function that opens a page of the single front tooth."""
    monkeypatch.setattr(desk_face, "open_desk", lambda book, code, watch: made_up_desk(book, code))
    Lab.close_all()

    def one(name):
        page = AppTest.from_file(str(page_file(name)), default_timeout=60)
        page.session_state["case_page_choices"] = PageChoices(CASE)
        page.run()
        assert not page.exception
        return page

    return one


def begun():
    desk = case_source.case(CASE).desk
    return [job for mixes in range(1, desk_face.MOST_MIXES + 1) if (job := desk.plan_begun(mixes)) is not None]


def test_nothing_is_begun_for_who_looks_at_readings(opened):
    page = opened("readings")
    assert any(one.label == case_texts.MAKE_PLAN for one in page.button)
    assert not begun()


def test_after_a_reading_that_completes_the_piece_the_plan_is_under_way(opened):
    page = opened("readings")
    type_reading(page, CASE, "11 middle", "72.6 1.2 14.9", where="before")
    (job,) = begun()
    assert not job.is_asked
    assert job.wait(60)
    assert job.result().case == CASE
    plan = opened("plan")
    assert not any(one.label == case_texts.MAKE_PLAN for one in plan.button)
    assert begun() == [job]


def test_a_newer_reading_makes_it_another_plan(opened):
    page = opened("readings")
    type_reading(page, CASE, "11 middle", "72.6 1.2 14.9", where="before")
    (old,) = begun()
    type_reading(page, CASE, "11 middle", "72.1 1.2 14.9", where="before", number=1)
    (new,) = begun()
    assert new is not old
    assert new.wait(60)
    assert old.wait(60)
    (kept,) = begun()
    assert kept is new


def test_after_a_firing_that_missed_the_plan_comes_before_the_steps(opened):
    page = press(opened("result"), "Painted as the sheet says: 3 zones")
    type_reading(page, CASE, "11 cervical", "60.9 2.6 17.9")
    if page.warning:
        page = press(page, reads.AS_TYPED.format(typed="60.9 2.6 17.9"))
    page = press(page, "Record 3 zones")
    assert any(one.label == case_texts.MAKE_PLAN for one in page.button)
    (job,) = begun()
    assert job.wait(60)
    steps = case_source.case(CASE).desk.job(beforehand=True)
    assert steps.wait(60)
