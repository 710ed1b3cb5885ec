"""Who is let in, and what a page may load."""

import pytest

from stainbook.pages.shell.doorkeeper import HEADERS, Doorkeeper, policy_of
from stainbook.pages.shell.serving import options_of
from stainbook.work.app.start_app import app_command

HERE = "127.0.0.1:8501"


def door(*more):
    return Doorkeeper(None, hosts=["localhost", "127.0.0.1", "::1", *more])


@pytest.mark.parametrize(
    ("host", "origin"),
    [
        (HERE, None),
        (HERE, f"http://{HERE}"),
        ("localhost:8501", "http://localhost:8501"),
        ("[::1]:8501", "http://[::1]:8501"),
        ("LOCALHOST:8501", "http://localhost:8501"),
    ],
)
def test_its_own_pages_are_let_in(host, origin):
    assert door().refused(host, origin) is None


@pytest.mark.parametrize(
    "origin",
    [
        "http://127.0.0.1:9999",  # another program of this machine
        "http://localhost:8501",
        "http://127.0.0.1",
        "http://evil.example",
        "http://127.0.0.1:8501.evil.example",
        "null",
        "",
    ],
)
def test_pages_of_another_origin_are_turned_away(origin):
    assert "its own pages alone" in door().refused(HERE, origin)


@pytest.mark.parametrize("host", ["evil.example:8501", "127.0.0.1.evil.example", "", None])
def test_a_name_that_was_not_allowed_is_turned_away_with_what_to_do(host):
    assert "--allow-host" in door().refused(host, None)
    assert door("bench.lab").refused("bench.lab:8501", "http://bench.lab:8501") is None


def test_all_addresses_answer_to_any_name_but_to_their_own_pages_alone():
    assert door("0.0.0.0").refused("bench.lab:8501", "http://bench.lab:8501") is None
    assert door("0.0.0.0").refused("bench.lab:8501", "http://evil.example") is not None


def test_a_page_loads_from_its_own_server_and_stands_in_no_frame():
    policy = policy_of(b"<html><script>let a = 1</script><script src='/x.js'></script></html>")
    assert "frame-ancestors 'none'" in policy
    assert "default-src 'none'" in policy
    assert policy.count("sha256-") == 1
    assert "'unsafe-inline'" not in policy.partition("script-src")[2].partition(";")[0]
    for source in policy.replace(";", "").split():
        assert "://" not in source
        assert source != "*"
    assert HEADERS[b"x-frame-options"] == b"DENY"


def test_the_servers_options_have_their_own_kinds():
    command = app_command(8501, "127.0.0.1", ["bench.lab"])
    found = options_of(command[command.index("run") + 2 :])
    assert found["server.port"] == 8501
    assert found["server.headless"] is True
    assert found["browser.gatherUsageStats"] is False
    assert found["server.allowedHosts"] == ["localhost", "127.0.0.1", "bench.lab"]
