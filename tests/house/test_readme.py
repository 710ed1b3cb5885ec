"""README and DEVELOPERS: every example runs and prints what is shown; every command is in the table."""

import json
import re
import subprocess

import jsonschema
import pytest

from stainbook.cli.commands import app
from stainbook.work.documents.schemas import COMMANDS
from tests.tools.fill_readme import BLOCK, ROOT, filled

README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_examples_print_what_is_shown(tmp_path):
    """Word by word: columns may be wider, and the last digits of JSON are the machine's."""
    now = consoles(filled(README, tmp_path))
    shown = consoles(README)
    assert len(now) == len(shown) >= 4
    for found, expected in zip(now, shown, strict=True):
        assert len(expected) > 6
        assert [word(one) for one in found] == [word(one) for one in expected]


def consoles(text: str) -> list[list[str]]:
    return [found["console"].split() for found in BLOCK.finditer(text) if found["console"]]


def word(text: str) -> str:
    try:
        return f"{float(text.rstrip(',')):.9g}"
    except ValueError:
        return text


def test_json_that_is_shown_fits_its_schema():
    examples = re.findall(
        r"^\$ stainbook (\w+) .*--json\n(?:stainbook: .*\n)*(\{\n.*?^\})", README, re.MULTILINE | re.DOTALL
    )
    assert examples
    for command, text in examples:
        jsonschema.validate(json.loads(text), COMMANDS[command].model_json_schema())


def test_every_command_is_in_the_table():
    rows = set(re.findall(r"^\| `stainbook (\w+)", README, re.MULTILINE))
    groups = {group.name for group in app.registered_groups}
    assert rows == {command.name for command in app.registered_commands} | groups


def test_two_set_up_lines():
    lines = re.findall(r"^```sh\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
    assert [len(block.splitlines()) for block in lines] == [1, 1]
    assert [block.rpartition("&& ")[2].strip() for block in lines] == [
        ".venv/bin/stainbook demo",
        ".venv/bin/python -m tests",
    ]
    for block in lines:
        assert subprocess.run(["bash", "-n"], input=block, text=True, check=False).returncode == 0


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_places_that_are_named_exist(text):
    links = re.findall(r"\]\(([^)#:]+)\)", text)
    places = re.findall(r"`((?:stainbook|tests|recipes|\.ci|\.streamlit)/[\w./-]*)`", text)
    assert [name for name in (*links, *places) if not (ROOT / name).exists()] == []


def test_developers_has_its_tables():
    headings = re.findall(r"^## (.*)$", DEVELOPERS, re.MULTILINE)
    assert {"Colour", "Optics", "Match", "Speed"} <= set(headings)
