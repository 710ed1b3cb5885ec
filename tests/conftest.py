"""A throw-away PostgreSQL server, and both stores as one fixture."""

from __future__ import annotations

import contextlib
import os
import shutil
import socket
import subprocess
import tempfile
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile("untimed", deadline=None)  # a busy machine is no fault
settings.load_profile("untimed")


def _server_binaries() -> Path | None:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[4]))
    on_path = shutil.which("initdb")
    return found[-1].parent if found else Path(on_path).parent if on_path else None


@contextlib.contextmanager
def _throwaway_server(binaries: Path) -> Iterator[str]:
    folder = tempfile.mkdtemp(prefix="pg", dir="/tmp")  # a short path: sockets have at most 107 characters
    as_user: list[str] = []
    if os.geteuid() == 0:  # the server refuses to run as root
        shutil.chown(folder, "postgres", "postgres")
        as_user = ["runuser", "-u", "postgres", "--"]
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]

    def run(tool: str, *arguments: str) -> None:
        # no pipe on stdout: the server inherits it and would keep it open
        command = [*as_user, str(binaries / tool), "-D", f"{folder}/data", *arguments]
        quiet = {"stdin": subprocess.DEVNULL, "stdout": subprocess.DEVNULL, "stderr": subprocess.PIPE}
        subprocess.run(command, check=True, cwd=folder, timeout=60, **quiet)

    settings = f"-p {port} -c listen_addresses=127.0.0.1 -k {folder} -c fsync=off -c full_page_writes=off"
    try:
        run("initdb", "-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync")
        run("pg_ctl", "-w", "-t", "30", "-l", f"{folder}/log", "-o", settings, "start")
        yield f"postgresql+psycopg://postgres@127.0.0.1:{port}"
    finally:
        with contextlib.suppress(subprocess.SubprocessError):
            run("pg_ctl", "-m", "immediate", "-w", "stop")
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="session", autouse=True)
def _own_data_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """A data folder for the tests alone; the demonstration book that is kept there is made once for all of them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        yield


@pytest.fixture(scope="session")
def pseudo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of catalogues with the pseudo-language."""
    from tests.tools.catalogue import write_pseudo

    return write_pseudo(tmp_path_factory.mktemp("catalogues"))


@pytest.fixture
def in_pseudo(pseudo_folder: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Texts are shown in the pseudo-language inside a test."""
    from stainbook.language import speaking
    from tests.tools.catalogue import PSEUDO

    monkeypatch.setenv("STAINBOOK_CATALOGUES", str(pseudo_folder))
    with speaking(PSEUDO):
        yield


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    pytest.importorskip("psycopg", reason="the PostgreSQL driver is not installed")
    binaries = _server_binaries()
    if binaries is None:
        pytest.skip("no PostgreSQL server on this machine (apt-get install postgresql)")
    with _throwaway_server(binaries) as url:
        yield url


@pytest.fixture
def postgresql_url(postgresql_server: str) -> Iterator[str]:
    """An empty database of its own, dropped afterwards: a hundred of them take a minute to delete at the end."""
    import psycopg

    name = f"t{uuid.uuid4().hex[:12]}"
    server = postgresql_server.replace("+psycopg", "")
    with psycopg.connect(f"{server}/postgres", autocommit=True) as connection:
        connection.execute(f"create database {name}")
        yield f"{postgresql_server}/{name}"
        connection.execute(f"drop database {name} with (force)")


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def book_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The URL of a book that does not exist yet, on each store."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'lab.db'}"
    return str(request.getfixturevalue("postgresql_url"))
