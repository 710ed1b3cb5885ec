"""The demonstration app and a real Chromium; a page that asks anything of another machine fails its test."""

import json
import shutil
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request

import pytest

ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
PATIENCE = 180_000  # ms, for a whole arch to be worked out on a busy machine
BENCH, DIM = "light", "dark"


def pytest_collection_modifyitems(items):
    for item in items:
        if "tests/browser" in item.nodeid:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def app_url():
    """Where ``stainbook demo`` listens."""
    command = [sys.executable, "-m", "stainbook", "demo", "--port", "0", "--json"]
    app = subprocess.Popen(
        command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    )
    try:
        url = _printed_url(app)
        _wait_until_healthy(url)
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


def _wait_until_healthy(url, seconds=60):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        try:
            with urllib.request.urlopen(f"{url}/_stcore/health", timeout=2) as answer:
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
def open_page(browser, app_url):
    """A function that opens the app, by theme and size; afterwards no request may have left this machine."""
    contexts, asked, wrong = [], [], []

    def open_it(theme=BENCH, size=(1280, 800), touch=False):
        width, height = size
        context = browser.new_context(color_scheme=theme, viewport={"width": width, "height": height}, has_touch=touch)
        contexts.append(context)
        page = context.new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(app_url)
        page.locator(".facts").wait_for(timeout=PATIENCE)
        settle(page)
        return page

    yield open_it
    for context in contexts:
        context.close()
    here = (app_url, app_url.replace("http", "ws", 1), "data:", "blob:")
    assert [url for url in asked if not url.startswith(here)] == []
    assert wrong == []


def settle(page):
    """Wait until the page has answered."""
    page.wait_for_timeout(250)
    page.locator('[data-testid=stApp][data-test-script-state="notRunning"]').wait_for(timeout=PATIENCE)
    page.wait_for_timeout(150)
