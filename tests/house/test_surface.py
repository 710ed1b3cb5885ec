"""What the package offers, and that its parts hang together."""

import importlib
import pkgutil
import tomllib
from pathlib import Path

import pytest

import stainbook
from stainbook import errors
from stainbook.cli.commands import app

ROOT = Path(__file__).parents[2]
PARTS = ["stainbook.book", "stainbook.cli", "stainbook.colour", "stainbook.files"]


@pytest.mark.parametrize("part", PARTS)
def test_public_names_are_there(part):
    module = importlib.import_module(part)
    assert module.__all__ == sorted(module.__all__, key=lambda name: (not name.isupper(), name.islower(), name))
    assert [name for name in module.__all__ if not hasattr(module, name)] == []


def test_names_that_others_import():
    from stainbook.colour import delta_e_2000, spectrum_to_lab

    assert delta_e_2000([[50, 0, 0]], [50, 0, 0]).tolist() == [0.0]
    assert spectrum_to_lab([[1.0] * 31], range(400, 701, 10), illuminant="D65", observer=10).shape == (1, 3)


def test_every_module_imports_and_says_what_it_is():
    names = [
        found.name
        for found in pkgutil.walk_packages(stainbook.__path__, "stainbook.")
        if not found.name.startswith(("stainbook.book.migrations.env", "stainbook.pages.", "stainbook.__main__"))
    ]
    assert len(names) > 50
    assert [name for name in names if not importlib.import_module(name).__doc__] == []


def test_the_tree_of_errors_is_the_one_drawn():
    for line in (errors.__doc__ or "").splitlines():
        words = line.strip(" │├└─").split()
        if len(words) > 1 and words[0].endswith("Error") and words[1].isdigit():
            assert getattr(errors, words[0]).exit_code == int(words[1])
    drawn = [name for name in vars(errors) if name.endswith("Error")]
    assert all(f"{name} " in (errors.__doc__ or "") for name in drawn)


def test_commands_by_name():
    names = {command.name for command in app.registered_commands}
    assert {"convert", "compare", "schema", "app", "demo"} <= names


def test_project_file():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    bounded = [*project["dependencies"], *(line for lines in extras.values() for line in lines)]
    assert [line for line in bounded if ">=" not in line or "<" not in line] == []
    assert project["requires-python"].startswith(">=3.11")
    assert (ROOT / "stainbook" / "py.typed").exists()


def test_modules_stay_small():
    long = {
        str(path.relative_to(ROOT)): count
        for path in (ROOT / "stainbook").rglob("*.py")
        if (count := len(path.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert long == {}
