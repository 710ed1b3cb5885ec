"""The command that serves the app, and its port."""

import socket
from pathlib import Path

import pytest

from stainbook.errors import InputError
from stainbook.work.app.shipped import shipped
from stainbook.work.app.start_app import app_command, free_port


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
            free_port(port, "127.0.0.1")
    assert free_port(port, "127.0.0.1") == port
    assert free_port(0, "127.0.0.1") > 1023


def test_a_host_that_is_not_this_machine_is_one_line():
    with pytest.raises(InputError, match=r"192\.0\.2\.7"):
        free_port(0, "192.0.2.7")


def test_what_ships_is_found():
    assert shipped("app.py").is_file()
    assert (shipped("recipes") / "stains.yaml").is_file()
    assert isinstance(shipped("app.py"), Path)
