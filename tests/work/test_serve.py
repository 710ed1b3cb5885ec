"""The command that serves the app, and its port."""

import socket
from pathlib import Path

import pytest

from stainbook.errors import InputError
from stainbook.work.app.shipped import shipped
from stainbook.work.app.start_app import app_command, hand_over, handed_over, listening, open_browser


def options(command: list[str]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    flags = command[command.index("run") + 2 :]
    for name, value in zip(flags[::2], flags[1::2], strict=True):
        found.setdefault(name, []).append(value)
    return found


def test_it_listens_here_and_sends_nothing():
    found = options(app_command(8501, "127.0.0.1"))
    assert found["--server.address"] == ["127.0.0.1"]
    assert found["--server.allowedHosts"] == ["localhost", "127.0.0.1"]
    assert found["--browser.gatherUsageStats"] == ["false"]
    assert found["--client.showErrorDetails"] == ["none"]
    assert found["--client.toolbarMode"] == ["viewer"]


def test_streamlit_knows_every_option():
    from streamlit import config

    known = set(config.get_config_options())
    assert {name.removeprefix("--") for name in options(app_command(1, "127.0.0.1"))} <= known


def test_further_names_must_be_given():
    found = options(app_command(8501, "192.0.2.7", ["bench.lab"]))
    assert found["--server.allowedHosts"] == ["localhost", "127.0.0.1", "192.0.2.7", "bench.lab"]


def test_a_port_in_use_is_one_line():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(InputError, match=rf"port {port} on 127\.0\.0\.1: Address already in use.*--port"):
            listening(port, "127.0.0.1")
    with listening(port, "127.0.0.1") as found:
        assert found.getsockname()[1] == port
    with listening(0, "127.0.0.1") as found:
        assert found.getsockname()[1] > 1023


def test_a_host_that_is_not_this_machine_is_one_line():
    with pytest.raises(InputError, match=r"192\.0\.2\.7"):
        listening(0, "192.0.2.7")


def test_a_socket_is_handed_over_once():
    environment: dict[str, str] = {}
    with listening(0, "127.0.0.1") as found:
        hand_over(found, environment)
        assert found.get_inheritable()
        taken = handed_over(environment)
        assert taken is not None
        assert taken.getsockname() == found.getsockname()
        assert not taken.get_inheritable()
        assert handed_over(environment) is None
        taken.detach()


@pytest.mark.parametrize("screen", [True, False])
def test_a_browser_is_opened_where_there_is_a_screen(monkeypatch, screen):
    opened: list[str] = []
    monkeypatch.setattr("webbrowser.open", lambda url: bool(opened.append(url)) or True)
    monkeypatch.setattr("sys.platform", "linux")
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "BROWSER"):
        monkeypatch.delenv(name, raising=False)
    if screen:
        monkeypatch.setenv("DISPLAY", ":0")
    assert open_browser("http://127.0.0.1:8501") is screen
    assert opened == (["http://127.0.0.1:8501"] if screen else [])


def test_what_ships_is_found():
    assert shipped("app.py").is_file()
    assert (shipped("recipes") / "stains.yaml").is_file()
    assert isinstance(shipped("app.py"), Path)
