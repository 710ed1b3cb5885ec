"""Done last time on the case page, without a browser: unfolded, and taken into the mix by hand by one press."""

from streamlit.testing.v1 import AppTest

from stainbook.pages.bench import again_texts as words
from stainbook.pages.case.page_choices import PageChoices
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_list import page_file
from tests.pages.driving import markup


def test_one_press_takes_the_mix_into_the_mixer(own_demo, monkeypatch):
    monkeypatch.setattr(case_source, "PATIENCE", 120)
    page = AppTest.from_file(str(page_file("case")), default_timeout=120)
    page.session_state["case_page_choices"] = PageChoices("W-1051")
    page.run()
    assert words.LEAD not in [one.value for one in page.markdown]  # nothing is looked up until it is unfolded
    page.session_state["again W-1051"] = True
    page.run()
    assert not page.exception
    rows = [one for one in page.button if one.label == words.TAKE]
    assert rows
    said = " ".join(one.value for one in page.markdown)
    assert "it began ΔE00" in said or "no start is written" in said
    next(one for one in rows if not one.disabled).click().run()
    assert not page.exception
    assert page.session_state["case_page_choices"].here.mix
    assert "yours" in markup(page, "mix rows")
