"""The real server: its headers, what it loads, and who is turned away."""

import base64
import http.client
import os
import socket
import urllib.error
import urllib.request

import pytest

from tests.browser.conftest import settle


def asked(url, **headers):
    try:
        return urllib.request.urlopen(urllib.request.Request(url, headers=headers), timeout=10)
    except urllib.error.HTTPError as refused:
        return refused


def shake_hands(url, origin):
    """The status with which the server answers a websocket of an origin."""
    host = url.removeprefix("http://")
    key = base64.b64encode(os.urandom(16)).decode()
    lines = [
        "GET /_stcore/stream HTTP/1.1", f"Host: {host}", "Upgrade: websocket", "Connection: Upgrade",
        f"Sec-WebSocket-Key: {key}", "Sec-WebSocket-Version: 13", *([f"Origin: {origin}"] if origin else []),
    ]  # fmt: skip
    with socket.create_connection(host.rsplit(":", 1), timeout=10) as connection:
        connection.sendall(("\r\n".join(lines) + "\r\n\r\n").encode())
        answer = http.client.HTTPResponse(connection)
        answer.begin()
        return answer.status


def test_a_page_says_what_it_may_load_and_that_it_stands_in_no_frame(app_url):
    with asked(app_url) as answer:
        assert answer.status == 200
        assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]
        assert "sha256-" in answer.headers["content-security-policy"]
        assert answer.headers["x-frame-options"] == "DENY"


def test_a_websocket_of_another_port_or_site_is_turned_away_and_its_own_let_in(app_url):
    assert shake_hands(app_url, app_url) == 101
    for origin in ("http://127.0.0.1:1", "http://localhost:8501", "http://evil.example", "null"):
        assert shake_hands(app_url, origin) == 403


def test_a_name_that_was_not_allowed_is_told_what_to_do(app_url):
    with asked(app_url, Host="bench.lab") as refused:
        assert refused.status == 403
        assert b"--allow-host 'bench.lab'" in refused.read()
    with asked(f"{app_url}/_stcore/health", Origin="http://evil.example") as refused:
        assert refused.status == 403


@pytest.mark.parametrize("name", ["", "case", "photo", "numbers", "recipes"])
def test_nothing_that_a_page_needs_is_forbidden(opened, app_url, name):
    page = opened(app_url)
    said = []
    page.on("console", lambda one: said.append(one.text))
    page.goto(f"{app_url}/{name}")
    page.locator("[data-testid=stMainBlockContainer]").wait_for()
    settle(page)
    assert [one for one in said if "Content Security Policy" in one or "violates" in one] == []
