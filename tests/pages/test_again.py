"""Done last time on the case page, without a browser: unfolded, and taken into the mix by hand by one press."""

from stainbook.pages.bench import again_texts as words
from stainbook.pages.case.page_choices import PageChoices
from tests.pages.driving import markup


def test_one_press_takes_the_mix_into_the_mixer(page):
    page.session_state["case_page_choices"] = PageChoices("W-1051")
    page.run()
    assert words.LEAD not in [one.value for one in page.markdown]  # nothing is looked up until it is unfolded
    page.session_state["again W-1051"] = True
    page.run()
    assert not page.exception
    rows = [one for one in page.button if one.label == words.TAKE]
    assert rows
    assert any("it began ΔE00" in one.value or "no start is written" in one.value for one in page.markdown)
    taken = next(one for one in rows if not one.disabled)
    taken.click().run()
    assert not page.exception
    assert page.session_state["case_page_choices"].here.mix
    assert "yours" in markup(page, "mix rows")
