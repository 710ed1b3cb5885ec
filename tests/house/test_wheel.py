"""The wheel, installed where the test extras are not, carries all it needs and runs every command.

By default the environment borrows the dependencies of this one and hides the test extras; with
``STAINBOOK_CLEAN_INSTALL=1``, as in ``.ci/run``, they are installed afresh.
"""

import http.client
import json
import os
import signal
import subprocess
import sys
import sysconfig
import time
import urllib.request
import venv
import zipfile
from contextlib import closing
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from stainbook.cli.commands import app

ROOT = Path(__file__).parents[2]
HIDDEN = [
    "argon2",
    "authlib",
    "babel",
    "colour",
    "hatchling",
    "hypothesis",
    "iadpython",
    "importlinter",
    "mypy",
    "playwright",
    "procrastinate",
    "psycopg",
    "pytest",
    "ruff",
]
COMMANDS = sorted(command.name or "" for command in app.registered_commands)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(build, cwd=ROOT, check=True, capture_output=True)
    (found,) = folder.glob("stainbook-*.whl")
    return found


@pytest.fixture(scope="module")
def installed(wheel, tmp_path_factory):
    """The folder of an environment's programs that has the wheel."""
    place = tmp_path_factory.mktemp("clean")
    afresh = os.environ.get("STAINBOOK_CLEAN_INSTALL") == "1"
    venv.create(place, with_pip=False, symlinks=True)
    python = place / "bin" / "python"
    if not afresh:
        borrow(place)
    options = ["--no-compile"] if afresh else ["--no-deps"]  # most of what is installed is never loaded
    subprocess.run(
        [sys.executable, "-m", "pip", "--python", str(python), "install", "--quiet", *options, str(wheel)],
        check=True,
        capture_output=True,
    )
    return place / "bin"


def borrow(place: Path) -> None:
    (site,) = place.glob("lib/python*/site-packages")
    hide = f"import sys; sys.modules.update(dict.fromkeys({HIDDEN!r}))"
    (site / "borrowed.pth").write_text(f"{sysconfig.get_path('purelib')}\n{hide}\n", encoding="utf-8")


def run(installed, *arguments, cwd, check=True):
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    return subprocess.run(
        [str(installed / "stainbook"), *map(str, arguments)],
        cwd=cwd,
        env=environment | {"STAINBOOK_BOOK": f"sqlite:///{cwd / 'lab.db'}"},
        capture_output=True,
        encoding="utf-8",
        timeout=180,
        check=check,
    )


def recipes(installed) -> Path:
    (found,) = installed.parent.glob("lib/python*/site-packages/stainbook/_shipped/recipes")
    return Path(found)


def test_what_the_wheel_carries(wheel):
    names = set(zipfile.ZipFile(wheel).namelist())
    lab = [path for path in (ROOT / "recipes").rglob("*") if path.is_file()]
    shipped = {f"stainbook/_shipped/{path.relative_to(ROOT).as_posix()}" for path in lab}
    assert (
        shipped
        | {
            "stainbook/py.typed",
            "stainbook/_shipped/app.py",
            "stainbook/_shipped/.streamlit/config.toml",
            "stainbook/colour/data/cie_1nm.csv",
            "stainbook/colour/data/other_lights_1nm.csv",
            "stainbook/colour/data/LICENCE.txt",
        }
        <= names
    )
    catalogues = {
        path.relative_to(ROOT).as_posix() for path in (ROOT / "stainbook/locale").glob("*/LC_MESSAGES/stainbook.[mp]o")
    }
    assert catalogues <= names
    versions = {
        path.relative_to(ROOT).as_posix() for path in (ROOT / "stainbook/book/migrations/versions").glob("r*.py")
    }
    assert versions
    assert versions <= names
    assert not any(name.startswith("tests/") for name in names)


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_is_there(installed, tmp_path, command):
    assert f"stainbook {command}" in run(installed, command, "--help", cwd=tmp_path).stdout


def test_commands_that_need_no_book(installed, tmp_path):
    lab = recipes(installed)
    found = json.loads(run(installed, "convert", lab / "readings.csv", "--json", cwd=tmp_path).stdout)
    assert len(found["readings"]) > 100
    found = json.loads(
        run(installed, "compare", lab / "targets.csv", lab / "targets.csv", "--json", cwd=tmp_path).stdout
    )
    assert {pair["grade"] for pair in found["pairs"]} == {"within"}
    assert "$defs" in run(installed, "schema", "advise", cwd=tmp_path).stdout
    assert run(installed, "convert", "none.csv", cwd=tmp_path, check=False).returncode == 2
    assert not (tmp_path / "lab.db").exists()


def test_commands_on_the_book(installed, tmp_path):
    lab = recipes(installed)
    files = [lab / "chips.csv", lab / "readings.csv", "--stains", lab / "stains.yaml", "--bodies", lab / "bodies.csv"]
    found = json.loads(run(installed, "calibrate", *files, "--json", cwd=tmp_path).stdout)
    assert len(found["stains"]) > 10
    found = json.loads(
        run(installed, "predict", lab / "recipes.csv", lab / "readings.csv", "--json", cwd=tmp_path).stdout
    )
    assert found["recipes"][0]["recipe"] == "warm-neck"
    found = json.loads(run(installed, "advise", lab / "W-1051.yaml", "--json", cwd=tmp_path).stdout)
    assert [zone["zone"] for zone in found["cases"][0]["zones"]] == ["cervical", "middle", "incisal"]
    assert (tmp_path / "lab.db").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGINT to another process there")
@pytest.mark.parametrize("command", ["app", "demo"])
def test_the_app_answers_on_this_machine_only(installed, tmp_path, command):
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    environment |= {"STAINBOOK_BOOK": f"sqlite:///{tmp_path / 'lab.db'}", "TMPDIR": str(tmp_path)}
    arguments = [str(installed / "stainbook"), command, "--port", "0", "--json"]
    quiet = {"stdin": subprocess.DEVNULL, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    with subprocess.Popen(arguments, cwd=tmp_path, env=environment, encoding="utf-8", **quiet) as process:
        try:
            url = read_document(process)["url"]
            assert url.startswith("http://127.0.0.1:")
            assert answer(f"{url}/_stcore/health") == (200, "ok")
            assert stream(url, host="127.0.0.1") == 101
            assert stream(url, host="elsewhere.example") == 403  # a page elsewhere that calls this machine its own
        finally:
            process.send_signal(signal.SIGINT)
            try:
                rest = process.communicate(timeout=30)[0]
            except subprocess.TimeoutExpired:
                process.kill()
                raise
    assert rest == ""
    assert process.returncode == 0
    if command == "demo":
        assert list(tmp_path.glob("stainbook-demo-*/lab.db"))


def read_document(process) -> dict:
    text = ""
    for line in process.stdout:
        text += line
        if line.rstrip() == "}":
            return json.loads(text)
    raise AssertionError(process.stderr.read())


def stream(url: str, *, host: str) -> int:
    """The status that a browser's WebSocket gets which asks for a host by name."""
    connection = http.client.HTTPConnection(urlsplit(url).netloc, timeout=10)
    headers = {"Host": host, "Origin": f"http://{host}", "Connection": "Upgrade", "Upgrade": "websocket"}
    headers |= {"Sec-WebSocket-Version": "13", "Sec-WebSocket-Key": "AAAAAAAAAAAAAAAAAAAAAA=="}
    with closing(connection):
        connection.request("GET", "/_stcore/stream", headers=headers)
        return connection.getresponse().status


def answer(url: str) -> tuple[int, str]:
    """Status and text of an address, once its server listens."""
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    for _ in range(300):
        try:
            with opener.open(url, timeout=10) as response:
                return response.status, response.read().decode()
        except OSError:
            time.sleep(0.1)
    raise AssertionError(f"nothing answers at {url}")
