"""The examples of photo, book and Lab run on what is opened for them, and each public function and method has one."""

from __future__ import annotations

import inspect
import shutil
from collections.abc import Iterator
from pathlib import Path
from types import FunctionType, ModuleType

import pytest

from stainbook import faces, lab
from stainbook.faces.lab_view import LabFace, LabView
from stainbook.faces.permits import WRITES
from stainbook.lab import Lab
from tests.house.opened import demonstration, opened_by, run_examples
from tests.house.test_doctests import modules, public_functions
from tests.house.written import writers

ROOMS = ("book", "photo")
LAB = (lab, *modules("faces"))
SHOWN = (FunctionType, classmethod, staticmethod, property)


@pytest.mark.parametrize("room", ROOMS)
def test_examples_run_on_what_the_room_opens(room, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    opened = opened_by(room)
    results = [run_examples(module, opened) for module in modules(room)[1:]]
    assert sum(one.failed for one in results) == 0
    assert sum(one.attempted for one in results) > 10


@pytest.mark.parametrize("room", ROOMS)
def test_public_functions_have_an_example(room):
    functions = public_functions(room)
    assert len(functions) > 10
    assert sorted(one.__name__ for one in functions if ">>>" not in (one.__doc__ or "")) == []


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> Path:
    folder: Path = tmp_path_factory.mktemp("demo")
    demonstration(folder)
    return folder


def shown(module: ModuleType) -> Iterator[tuple[str, object]]:
    """The public functions of a module, and the public methods and properties of what notebooks are given."""
    own = [one for one in vars(module).values() if getattr(one, "__module__", None) == module.__name__]
    for one in own:
        if inspect.isfunction(one) and not one.__name__.startswith("_"):
            yield one.__name__, one
        elif inspect.isclass(one) and (issubclass(one, LabView | LabFace) or module.__name__.endswith("_results")):
            members = ((name, member) for name, member in vars(one).items() if not name.startswith("_"))
            yield from ((f"{one.__name__}.{name}", member) for name, member in members if isinstance(member, SHOWN))


@pytest.mark.parametrize("module", LAB, ids=lambda module: module.__name__)
def test_examples_of_lab_run_on_the_demonstration(module, demo, tmp_path, monkeypatch):
    """Each module on a copy, since examples store; in the order of their names they leave each other alone."""
    monkeypatch.delenv("STAINBOOK_LAB", raising=False)
    shutil.copytree(demo, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    with Lab.open("lab.db", author="bench-1") as opened, writers() as wrote:
        results = run_examples(module, {"lab": opened}, but=lab.__name__)  # that one is run by tests/test_lab.py
    Lab.close_all()
    assert results.failed == 0
    assert sorted(wrote - WRITES) == [], "each names its role in faces/permits.py"


def test_methods_of_lab_have_an_example():
    found = {name: one.__doc__ or "" for module in LAB if module is not faces for name, one in shown(module)}
    assert len(found) > 150
    assert sorted(name for name, doc in found.items() if ">>>" not in doc) == []
