"""Every page of the demonstration on a tablet: drawn, readable, nothing cut off, nothing asked of another machine."""

from urllib.parse import urljoin

import pytest

from stainbook.pages.shell import help_texts as words
from stainbook.pages.shell import texts
from tests.browser.conftest import BENCH, DIM, settle, turn_to
from tests.browser.test_case_page import CONTRASTS

WIDER = """() => [...document.querySelectorAll('[data-testid=stMainBlockContainer] *')]
  .flatMap(e => e.shadowRoot ? [...e.shadowRoot.querySelectorAll('.table, .zones')] : [])
  .filter(e => e.scrollWidth > e.clientWidth + 1).map(e => e.className)"""


@pytest.mark.parametrize("theme", [BENCH, DIM])
def test_each_page_is_readable_on_a_tablet(open_page, theme, tmp_path):
    page = open_page(theme, (1024, 768))
    for name, title in texts.PAGES.items():
        if name in texts.HIDDEN_PAGES:  # other pages lead there
            page.goto(urljoin(page.url, name.replace("_", "-")))
        else:
            turn_to(page, title)
        page.wait_for_function("title => document.title.startsWith(title)", arg=title)
        page.get_by_text(words.HOW, exact=True).click()
        settle(page)
        assert page.locator(".help-topics svg").count() == len(words.PAGES[name]), name
        page.screenshot(path=tmp_path / f"{name}.png")
        assert not page.get_by_text(texts.FAILED).count(), name
        assert page.evaluate(WIDER) == [], name
        contrasts = page.evaluate(CONTRASTS)
        assert {word: round(contrast, 2) for word, contrast in contrasts if contrast < 4.5} == {}, name
        assert page.locator('[data-testid="stBaseButton-primary"]').count() <= 1, name
