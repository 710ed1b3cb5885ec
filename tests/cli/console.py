"""Runs the command as a user does, in a process of its own.

That process is a fork of one that has loaded the package and its libraries, since loading them takes longer than most
commands: 1.3 s of CPU each. Tests of how the command starts run ``python -m stainbook`` itself.
"""

from __future__ import annotations

import atexit
import json
import os
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
RECIPES = ROOT / "recipes"
PATIENCE = 120  # seconds for one command


def stainbook(
    *arguments: object, cwd: Path, status: int | None = 0, **environment: str
) -> subprocess.CompletedProcess[str]:
    """Run a command; its exit status must be this one, None: any."""
    with tempfile.TemporaryDirectory(prefix="said") as folder:
        out, err = Path(folder, "out"), Path(folder, "err")
        asked = {
            "arguments": [*map(str, arguments)],
            "cwd": str(cwd),
            "env": os.environ | {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"} | environment,
            "out": str(out),
            "err": str(err),
            "patience": PATIENCE,
        }
        loaded = _loaded()
        assert loaded.stdin is not None
        assert loaded.stdout is not None
        loaded.stdin.write(json.dumps(asked) + "\n")
        loaded.stdin.flush()
        code = int(loaded.stdout.readline())
        said, told = out.read_bytes().decode("utf-8"), err.read_bytes().decode("utf-8")
    assert status in (None, code), told
    return subprocess.CompletedProcess(asked["arguments"], code, said, told)


@cache
def _loaded() -> subprocess.Popen[str]:
    """The process that has loaded all and makes a fork for each command; one for each process of the tests."""
    found = subprocess.Popen(
        [sys.executable, "-m", "tests.cli.forks"],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        encoding="utf-8",
    )
    atexit.register(_end, found)
    return found


def _end(found: subprocess.Popen[str]) -> None:
    assert found.stdin is not None
    found.stdin.close()
    found.wait(10)


def document(*arguments: object, cwd: Path) -> dict[str, Any]:
    """The one JSON document that a command prints."""
    return dict(json.loads(stainbook(*arguments, "--json", cwd=cwd).stdout))


def refusal(*arguments: object, cwd: Path, status: int = 2) -> str:
    """The one line that a command ends with, nothing on standard output."""
    done = stainbook(*arguments, cwd=cwd, status=status)
    assert done.stdout == ""
    (line,) = done.stderr.splitlines()
    assert line.startswith("stainbook: ")
    return line


def write(path: Path, *rows: str) -> Path:
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path
