"""The page that answers while the app loads: what waits, how far it is, to this machine's own pages alone."""

from __future__ import annotations

import http.client
import json
import socket

import pytest

from stainbook.work.app.at_once import HEALTH, AtOnce
from stainbook.work.app.start_app import listening


@pytest.fixture
def found():
    with listening(0, "127.0.0.1") as one:
        yield one


@pytest.fixture
def page(found):
    made = AtOnce(found, ["127.0.0.1", "localhost"])
    yield made
    made.leave()


def ask(found: socket.socket, path: str, **headers: str) -> tuple[int, str, dict[str, str]]:
    asked = http.client.HTTPConnection("127.0.0.1", found.getsockname()[1], timeout=10)
    try:
        asked.request("GET", path, headers=headers)
        answer = asked.getresponse()
        return answer.status, answer.read().decode(), {name.lower(): one for name, one in answer.getheaders()}
    finally:
        asked.close()


def test_it_names_the_cases_and_says_how_far_it_is(found, page):
    page.tell("Making the demonstration lab, 1 of 3")
    page.list_cases(["W-1042", "<b>&"])
    status, body, headers = ask(found, "/case?case=w")
    assert status == 200
    assert "Making the demonstration lab, 1 of 3" in body
    assert "<li>W-1042</li><li>&lt;b&gt;&amp;</li>" in body
    assert "'sha256-" in headers["content-security-policy"]
    assert headers["x-frame-options"] == "DENY"
    assert headers["cache-control"] == "no-store"


def test_at_the_health_address_the_app_is_not_up(found, page):
    page.list_cases(["W-1042"])
    status, body, _ = ask(found, HEALTH)
    assert status == 503
    assert json.loads(body) == {"said": "Opening the lab …", "cases": ["W-1042"]}


@pytest.mark.parametrize(
    "headers", [{"Host": "elsewhere.example"}, {"Origin": "http://elsewhere.example"}, {"Origin": "http://127.0.0.1:1"}]
)
def test_others_are_turned_away(found, page, headers):
    page.list_cases(["W-1042"])
    for path in ("/", HEALTH):
        status, body, _ = ask(found, path, **headers)
        assert status == 403
        assert "W-1042" not in body


def test_who_comes_between_two_servers_waits(found):
    first = AtOnce(found, ["127.0.0.1"])
    first.leave()
    with socket.create_connection(found.getsockname(), timeout=10) as early:
        early.sendall(b"GET / HTTP/1.0\r\nHost: 127.0.0.1\r\n\r\n")
        second = AtOnce(found, ["127.0.0.1"])
        assert early.recv(12) == b"HTTP/1.0 200"
        second.leave()
