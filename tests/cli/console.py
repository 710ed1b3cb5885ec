"""Runs the command as a user does, in a process of its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
RECIPES = ROOT / "recipes"


def stainbook(*arguments: object, cwd: Path, status: int = 0, **environment: str) -> subprocess.CompletedProcess[str]:
    done = subprocess.run(
        [sys.executable, "-m", "stainbook", *map(str, arguments)],
        cwd=cwd,
        env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"} | environment,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )
    assert done.returncode == status, done.stderr
    return done


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
