"""Hostile names in a real browser: no request leaves, nothing that they name is drawn."""

import pytest

from tests.browser.conftest import served, settle
from tests.pages.conftest import demo_book  # noqa: F401  (a fixture)
from tests.pages.test_hostile import EVIL, hostile_book  # noqa: F401  (a fixture)


@pytest.fixture(scope="module")
def hostile_url(hostile_book, tmp_path_factory):  # noqa: F811
    """Where the app listens with a book whose names are hostile."""
    with served("--book", hostile_book, "app", "--folder", str(tmp_path_factory.mktemp("cases"))) as url:
        yield url


@pytest.mark.parametrize("name", ["", "recipes", "stains", "targets", "numbers"])
def test_no_request_leaves_and_nothing_is_drawn(opened, hostile_url, name):
    page = opened(hostile_url)
    page.goto(f"{hostile_url}/{name}")
    page.locator("[data-testid=stMainBlockContainer]").wait_for()
    settle(page)
    assert page.locator(f"img[src*='{EVIL}'], a[href*='{EVIL}'], [onload], .katex").count() == 0
