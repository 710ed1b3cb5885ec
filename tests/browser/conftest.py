"""The demonstration app and a real Chromium; a page that asks anything of another machine fails its test."""

import contextlib
import json
import shutil
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request

import pytest

from tests.__main__ import browser as browser_here

ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
CHROMIUM = browser_here() or "chromium"
PATIENCE = 180_000  # ms, for a whole arch to be worked out on a busy machine
BENCH, DIM = "light", "dark"


def pytest_collection_modifyitems(items):
    for item in items:
        if "tests/browser" in item.nodeid:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def app_url():
    """Where ``stainbook demo`` listens."""
    with served("demo") as url:
        yield url


@pytest.fixture
def first_day_url(tmp_path):
    """Where ``stainbook app`` listens with an empty book and an empty folder."""
    with served("--book", f"sqlite:///{tmp_path / 'lab.db'}", "app", "--folder", str(tmp_path)) as url:
        yield url


@contextlib.contextmanager
def served(*arguments, tls=None, port=0):
    """The app in a process of its own; ``tls`` knows its certificate."""
    command = [sys.executable, "-m", "stainbook", *arguments, "--port", str(port), "--json"]
    app = subprocess.Popen(
        command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    )
    try:
        url = _printed_url(app)
        _wait_until_healthy(url, tls)
        yield url
    finally:
        app.send_signal(signal.SIGINT)
        try:
            app.wait(timeout=20)
        except subprocess.TimeoutExpired:
            app.kill()
            app.wait()
        app.stdout.close()


def _printed_url(app):
    lines = []
    for line in app.stdout:
        lines.append(line)
        try:
            return json.loads("".join(lines))["url"]
        except ValueError:
            continue
    pytest.fail(f"the app ended without saying where it listens: {''.join(lines)}")


def _wait_until_healthy(url, tls=None, seconds=60):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        try:
            with urllib.request.urlopen(f"{url}/_stcore/health", timeout=2, context=tls) as answer:
                if answer.status == 200:
                    return
        except (urllib.error.URLError, OSError):
            time.sleep(0.2)
    pytest.fail(f"{url} does not answer")


@pytest.fixture(scope="session")
def browser():
    """Debian's Chromium."""
    sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    if not shutil.which(CHROMIUM):
        pytest.skip("Chromium is not installed")
    with sync_api.sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.fixture
def open_page(browser, app_url, opened):
    """A function that opens the case page of the demonstration, by theme and size."""

    def open_it(theme=BENCH, size=(1280, 800), touch=False):
        page = opened(app_url, theme, size, touch)
        page.goto(f"{app_url}/case")
        page.locator(".next-step").wait_for(timeout=PATIENCE)
        settle(page)
        return page

    return open_it


@pytest.fixture(scope="session")
def shared(browser):
    """A function that gives a context, touched or not: tabs of one context share what was loaded and compiled."""
    contexts = {}

    def shared_by(touch):
        if touch not in contexts:
            contexts[touch] = browser.new_context(has_touch=touch, reduced_motion="reduce")
        return contexts[touch]

    yield shared_by
    for context in contexts.values():
        context.close()


@pytest.fixture
def opened(shared):
    """A function that opens a tab for an app; afterwards no request may have left this machine, and nothing is kept."""
    pages, asked, wrong, here = [], [], [], ["data:", "blob:"]

    def open_it(url, theme=BENCH, size=(1280, 800), touch=False):
        page = shared(touch).new_page()
        pages.append(page)
        page.emulate_media(color_scheme=theme)
        page.set_viewport_size(dict(zip(("width", "height"), size, strict=True)))
        page.on("request", lambda request: asked.append(request.url))
        page.on("pageerror", lambda error: wrong.append(str(error)))
        here.extend((url, url.replace("http", "ws", 1)))
        return page

    yield open_it
    for context in {page.context for page in pages}:
        context.clear_cookies()
        for page in context.pages:
            if page.url.startswith("http"):
                page.evaluate("() => { localStorage.clear(); sessionStorage.clear(); }")
            page.close()
    assert [url for url in asked if not url.startswith(tuple(here))] == []
    assert wrong == []


def settle(page):
    """Wait until the page has answered, long work is done, and nothing more comes: a page may draw itself anew."""
    page.wait_for_timeout(250)
    idle = page.locator('[data-testid=stApp][data-test-script-state="notRunning"]')
    calm = 0
    while calm < 2:
        idle.wait_for(timeout=PATIENCE)
        page.wait_for_function("() => !document.querySelector('[data-testid=stProgress]')", timeout=PATIENCE)
        page.wait_for_timeout(120)
        calm = calm + 1 if idle.count() else 0


def turn_to(page, title):
    """Open another page by the menu, which names all of them."""
    entry_of(page, title).click()
    settle(page)


def entry_of(page, title):
    """The entry of a page in the menu, unfolded on a phone."""
    folded = page.locator(".st-key-menu_phone button")
    if folded.is_visible():
        folded.click()
    return page.get_by_role("link", name=title, exact=True)
