"""Runs README's examples: ``python -m tests.tools.fill_readme`` writes what they print into it.

A block that follows a line ending in a file's name in back quotes and a colon (or comma) is saved under that
name first. Commands run in a folder with a copy of ``recipes/`` and a book of its own.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
BLOCK = re.compile(
    r"`(?P<name>[\w.-]+)`:\n\n```(?:csv|yaml)\n(?P<text>.*?)^```|^```console\n(?P<console>.*?)^```",
    re.MULTILINE | re.DOTALL,
)
COMMAND = re.compile(r"^\$ (stainbook .*)\n", re.MULTILINE)


def filled(text: str, folder: Path) -> str:
    """The text with every console block as it prints in a folder now: standard error, then standard output."""
    shutil.copytree(ROOT / "recipes", folder / "recipes")

    def block(found: re.Match[str]) -> str:
        if found["name"]:
            (folder / found["name"]).write_text(found["text"], encoding="utf-8")
            return found[0]
        shown = (f"$ {line}\n{printed(line, folder)}" for line in COMMAND.findall(found["console"]))
        return "```console\n" + "".join(shown) + "```"

    return BLOCK.sub(block, text)


def printed(line: str, folder: Path) -> str:
    """What a command line prints, blank lines at its ends and blanks at the ends of lines left out."""
    book = {"STAINBOOK_BOOK": f"sqlite:///{folder / 'lab.db'}", "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"}
    done = subprocess.run(
        [sys.executable, "-m", *shlex.split(line)],
        cwd=folder,
        env=os.environ | book,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        encoding="utf-8",
        timeout=300,
        check=False,
    )
    lines = [one.rstrip() for one in (done.stderr + done.stdout).splitlines()]
    return "".join(f"{one}\n" for one in lines if one)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        README.write_text(filled(README.read_text(encoding="utf-8"), Path(place)), encoding="utf-8")
