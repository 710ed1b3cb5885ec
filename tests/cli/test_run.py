"""How a command line ends: exit status, one line, closed pipes, Ctrl-C."""

import os
import signal
import subprocess
import sys

import pytest

from stainbook import __version__
from stainbook.cli import run
from stainbook.cli.commands import app
from stainbook.cli.options import Session
from stainbook.errors import BookError, ConditionsError, InputError
from tests.cli.console import RECIPES, ROOT, refusal, stainbook

COMMANDS = sorted(command.name or "" for command in app.registered_commands)


def test_help_and_version(tmp_path):
    listed = stainbook("--help", cwd=tmp_path).stdout
    assert all(f"\n  {name} " in listed for name in COMMANDS)
    assert stainbook("--version", cwd=tmp_path).stdout.strip() == f"stainbook {__version__}"


@pytest.mark.parametrize("command", [one for one in COMMANDS if one != "worker"])  # that one prints until it is ended
def test_every_command_has_help_and_takes_json(tmp_path, command):
    assert "--json" in stainbook(command, "--help", cwd=tmp_path).stdout


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([], "Missing command"),
        (["conver"], "'convert'"),
        (["convert"], "stainbook convert --help"),
        (["convert", "r.csv", "--observr", "2"], "--observer"),
        (["convert", "r.csv", "--observer", "two"], "integer"),
        (["convert", "no-such.csv"], "no-such.csv"),
        (["schema", "converts"], "convert"),
    ],
)
def test_wrong_use_is_one_line_and_status_2(tmp_path, arguments, words):
    assert words in refusal(*arguments, cwd=tmp_path)


@pytest.mark.parametrize(
    ("error", "status"), [(InputError("x"), 2), (ConditionsError("x"), 2), (BookError("x"), 3), (ValueError("x"), 1)]
)
def test_status_of_errors(monkeypatch, capsys, error, status):
    def fails(**_: object) -> None:
        raise error

    monkeypatch.delenv("STAINBOOK_DEBUG", raising=False)
    monkeypatch.setattr(run, "app", fails)
    assert run.main([]) == status
    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.splitlines()) == 1
    assert ("STAINBOOK_DEBUG=1" in err) == (status == 1)


def test_unexpected_errors_are_shown_whole_on_demand(monkeypatch):
    def fails(**_: object) -> None:
        raise ValueError("deep down")

    monkeypatch.setenv("STAINBOOK_DEBUG", "1")
    monkeypatch.setattr(run, "app", fails)
    with pytest.raises(ValueError, match="deep down"):
        run.main([])


@pytest.mark.parametrize(
    ("arguments", "environment", "book"),
    [
        ([], {}, None),
        ([], {"STAINBOOK_BOOK": "sqlite:///a.db"}, "sqlite:///a.db"),
        (["--book", "sqlite:///b.db"], {"STAINBOOK_BOOK": "sqlite:///a.db"}, "sqlite:///b.db"),
        ([], {"STAINBOOK_BOOK": ""}, None),
    ],
)
def test_book_before_the_command(monkeypatch, arguments, environment, book):
    from stainbook.cli import serve

    seen = []
    monkeypatch.delenv("STAINBOOK_BOOK", raising=False)
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(serve, "_say", lambda url, book, folder, json: seen.append(book))
    monkeypatch.setattr(serve, "_become", lambda server, listening, host, names, how: listening.close())
    assert run.main([*arguments, "app", "--no-browser", "--port", "0"]) == 0
    assert seen == [book]
    assert Session().book is None


def test_a_reader_that_leaves_ends_it_quietly(tmp_path):
    command = [sys.executable, "-m", "stainbook", "convert", str(RECIPES / "readings.csv"), "--json"]
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        command, cwd=tmp_path, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait(60) == 1


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGINT to another process there")
def test_ctrl_c_ends_it_quietly(tmp_path):
    fifo = tmp_path / "slow"
    script = (
        "import sys, time\n"
        "from stainbook.cli import run\n"
        "import stainbook.work.reading.convert as work\n"
        "def slow(*_): print('started', flush=True); time.sleep(60)\n"
        "work.convert = slow\n"
        f"sys.exit(run.main(['convert', {str(fifo)!r}]))\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", script], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        assert process.stdout.readline() == b"started\n"
        process.send_signal(signal.SIGINT)
        assert process.wait(60) == 130
        assert process.stderr.read() == b""


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no /dev/full")
def test_a_full_disk_is_named(tmp_path):
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "stainbook", "convert", str(RECIPES / "targets.csv")],
            cwd=tmp_path,
            env=os.environ | {"PYTHONPATH": str(ROOT)},
            stdout=full,
            stderr=subprocess.PIPE,
            encoding="utf-8",
            check=False,
        )
    assert done.returncode == 1
    assert "No space left" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_terminal_without_greek_still_shows_the_table(tmp_path):
    done = stainbook("convert", RECIPES / "targets.csv", cwd=tmp_path, PYTHONIOENCODING="ascii")
    assert "gum-neighbour" in done.stdout
    assert "?" in done.stdout
