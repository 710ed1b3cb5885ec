"""Who may import whom, and what the light commands load."""

import subprocess
import sys
from pathlib import Path

import pytest

from stainbook.cli.commands import app

ROOT = Path(__file__).parents[2]
HEAVY = {"alembic", "altair", "colour", "numpy", "pandas", "pydantic", "scipy", "sqlalchemy", "streamlit", "yaml"}


def loaded(script: str) -> set[str]:
    """Top-level packages that a script has loaded at its end."""
    ending = "\nimport sys\nprint('loaded', *sorted({name.partition('.')[0] for name in sys.modules}))"
    done = subprocess.run([sys.executable, "-c", script + ending], cwd=ROOT, capture_output=True, text=True, check=True)
    last = done.stdout.splitlines()[-1].split()
    assert last[0] == "loaded"
    return set(last[1:])


def command(*arguments: str) -> str:
    return f"from stainbook.cli import main\nassert main({list(arguments)!r}) == 0"


def test_import_rules_hold():
    done = subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports_command as run; run(['--no-cache'])"],
        cwd=ROOT,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "3 kept, 0 broken" in done.stdout  # all contracts of pyproject.toml


@pytest.mark.parametrize("module", ["stainbook", "stainbook.records", "stainbook.errors", "stainbook.cli"])
def test_light_imports(module):
    assert loaded(f"import {module}") & (HEAVY | {"rich"}) == set()


@pytest.mark.parametrize("arguments", [["--help"], ["--version"]])
def test_lightest_commands(arguments):
    assert loaded(command(*arguments)) & (HEAVY | {"rich"}) == set()


@pytest.mark.parametrize("name", [one.name for one in app.registered_commands])
def test_help_of_a_command(name):
    assert loaded(command(name, "--help")) & (HEAVY | {"rich"}) <= {"pydantic"}  # Typer's own use of it


def test_readings_need_no_book_and_no_library_of_illuminants():
    found = loaded(command("convert", "recipes/targets.csv", "--illuminant", "F11"))
    assert found & HEAVY == {"numpy", "pydantic", "yaml"}


def test_a_schema_needs_no_numbers():
    assert loaded(command("schema", "advise")) & HEAVY == {"pydantic"}
