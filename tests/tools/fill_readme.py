"""Runs the examples of README and the guide: ``python -m tests.tools.fill_readme`` writes what they print into them.

A block that follows a line ending in a file's name in back quotes and a full stop, colon or comma is saved under that
name first. All run in one folder with a copy of ``recipes/`` and a book of its own, README first, then the guide.
"""

from __future__ import annotations

import ast
import contextlib
import io
import os
import re
import shlex
import shutil
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from stainbook.guide import PAGES

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
DOCUMENTS = (README, *(ROOT / "stainbook" / "guide" / f"{name}.md" for name in PAGES))
BLOCK = re.compile(
    r"`(?P<name>[\w.-]+)`[^\n`]*:\n\n```(?:csv|yaml)\n(?P<text>.*?)^```"
    r"|^```console\n(?P<console>.*?)^```|^```python\n(?P<python>>>> .*?)^```",
    re.MULTILINE | re.DOTALL,
)
COMMAND = re.compile(r"^\$ (stainbook .*)\n", re.MULTILINE)
STEADY = "…"  # for what is another at each run: the time of now, the end of a chain
_NOW = re.compile(rf"{datetime.now(UTC):%Y-%m-%d} \d\d:\d\d|\b(?=[0-9a-f]*[a-f])[0-9a-f]{{16}}\b")
STATEMENT = re.compile(r"^>>> (.*(?:\n\.\.\. .*)*)$", re.MULTILINE)


def all_filled(folder: Path) -> dict[Path, str]:
    """Every document with what its examples print in a folder now."""
    shutil.copytree(ROOT / "recipes", folder / "recipes")
    return {one: filled(one.read_text(encoding="utf-8"), folder) for one in DOCUMENTS}


def filled(text: str, folder: Path) -> str:
    """The text with every example as it prints in a folder now: of commands standard error, then standard output."""

    def block(found: re.Match[str]) -> str:
        if found["name"]:
            (folder / found["name"]).write_text(found["text"], encoding="utf-8")
            return found[0]
        if found["python"]:
            return f"```python\n{spoken(STATEMENT.findall(found['python']), folder)}```"
        shown = (f"$ {line}\n{printed(line, folder)}" for line in COMMAND.findall(found["console"]))
        return "```console\n" + "".join(shown) + "```"

    return BLOCK.sub(block, text)


def printed(line: str, folder: Path) -> str:
    """What a command line prints, run in this process; blank lines and blanks at the ends of lines left out."""
    from stainbook.cli import main

    out, said = io.TextIOWrapper(io.BytesIO(), encoding="utf-8"), io.StringIO()
    with _there(folder), contextlib.redirect_stdout(out), contextlib.redirect_stderr(said):
        main(shlex.split(line)[1:])
        out.flush()
    written = said.getvalue() + out.buffer.getvalue().decode("utf-8")  # type: ignore[attr-defined]
    lines = [one.rstrip() for one in _NOW.sub(STEADY, written).splitlines()]
    return "".join(f"{one}\n" for one in lines if one)


@contextlib.contextmanager
def _there(folder: Path) -> Iterator[None]:
    """In a folder, with its own book, in no time zone."""
    own = {"STAINBOOK_BOOK": f"sqlite:///{folder / 'lab.db'}", "TZ": "UTC"}
    before = {name: os.environ.get(name) for name in own}
    os.environ.update(own)
    time.tzset()
    try:
        with contextlib.chdir(folder):
            yield
    finally:
        for name, value in before.items():
            os.environ.pop(name) if value is None else os.environ.update({name: value})
        time.tzset()


def spoken(statements: list[str], folder: Path) -> str:
    """Statements as a session shows them, each with what its value prints."""
    names: dict[str, Any] = {}
    said = io.StringIO()
    with _there(folder), contextlib.redirect_stdout(said):
        for one in statements:
            said.write(f">>> {one}\n")
            code = one.replace("\n... ", "\n")
            whole = ast.parse(code)
            if isinstance(whole.body[-1], ast.Expr):
                value = eval(compile(ast.Expression(whole.body[-1].value), "<guide>", "eval"), names)
                said.write(f"{value!r}\n" if value is not None else "")
            else:
                exec(compile(whole, "<guide>", "exec"), names)
    return said.getvalue()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        for path, text in all_filled(Path(place)).items():
            path.write_text(text, encoding="utf-8")
