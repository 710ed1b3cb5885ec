"""The app in the pseudo-language, a third longer than English: nothing is cut off, and the sheet stays on one page."""

import re
from pathlib import Path

import pytest

from stainbook.language import language_name, speaking
from stainbook.pages.lab import settings_texts
from stainbook.pages.shell import texts
from tests.browser.conftest import PATIENCE, served, settle
from tests.browser.test_photo_page import choose
from tests.tools.catalogue import PSEUDO, shipped_languages, write_pseudo

FITS = (Path(__file__).parent / "fits.js").read_text(encoding="utf-8")
SMALL = "W-1051"  # three zones: advice for a whole arch takes its time
# px: a tablet held upright; a desk, where a page sets more side by side there
WIDTHS = {"start": 820, "targets": 820, "case": 1280, "plan": 820, "result": 820, "recipes": 1280}


@pytest.fixture(scope="module")
def pseudo_url(tmp_path_factory):
    """Where ``stainbook demo`` listens, in the pseudo-language."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("STAINBOOK_CATALOGUES", str(write_pseudo(tmp_path_factory.mktemp("catalogues"))))
        patch.setenv("STAINBOOK_LANG", PSEUDO)
        with served("demo") as url:
            yield url


def test_nothing_is_cut_off_in_a_longer_language(pseudo_url, opened, tmp_path):
    page = opened(pseudo_url)
    wrong, address = {}, {name: name.replace("_", "-") for name in texts.PAGES} | {"start": ""}
    page.goto(f"{pseudo_url}/targets")
    settle(page)
    choose(page, texts.CHOOSE_CASE, SMALL)
    address["case"] = page.url.removeprefix(pseudo_url).replace("targets", "case").lstrip("/")
    for name, width in WIDTHS.items():
        page.goto(f"{pseudo_url}/{address[name]}")
        page.locator("[data-testid=stExpander]").last.wait_for(timeout=PATIENCE)
        settle(page)
        page.locator("[data-testid=stExpander] summary").last.click()  # the help
        settle(page)
        page.set_viewport_size({"width": width, "height": 1180})
        page.wait_for_timeout(400)  # plots and columns settle
        if found := page.evaluate(FITS):
            wrong[name] = found
            page.screenshot(path=tmp_path / f"{name}-{width}.png")
    assert wrong == {}


def test_the_bench_sheet_of_an_arch_stays_on_one_page(pseudo_url, opened):
    page = opened(pseudo_url)
    page.goto(f"{pseudo_url}/sheet")
    page.locator(".sheet").first.wait_for(timeout=PATIENCE)
    settle(page)
    with page.expect_download() as sheet:
        page.locator("[data-testid=stDownloadButton] button").last.click()
    page.set_content(Path(sheet.value.path()).read_text(encoding="utf-8"))
    printed = page.pdf(prefer_css_page_size=True, format="A4")
    assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 1


@pytest.mark.parametrize("language", shipped_languages())
def test_a_language_is_chosen_on_the_settings_page_and_fits_there(pseudo_url, opened, language):
    page = opened(pseudo_url, size=(820, 1180))
    page.goto(f"{pseudo_url}/settings")
    settle(page)
    page.locator(".st-key-set_language input").click()
    page.get_by_role("option", name=language_name(language)).click()
    settle(page)
    with speaking(language):
        page.get_by_role("tab", name=settings_texts.TABS[0]).wait_for(timeout=PATIENCE)
    assert page.evaluate(FITS) == []
