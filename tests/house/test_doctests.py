"""The examples in docstrings run, and the public functions of some rooms have one."""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil
from types import ModuleType

import pytest

ROOMS = ("colour", "files", "guide", "match", "optics", "words")
SHOWN = ("colour", "files")  # whose public functions each have an example


def modules(room: str) -> list[ModuleType]:
    package = importlib.import_module(f"stainbook.{room}")
    names = (found.name for found in pkgutil.iter_modules(package.__path__, f"stainbook.{room}."))
    return [package, *map(importlib.import_module, names)]


@pytest.mark.parametrize("room", ROOMS)
def test_examples_run(room, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    results = [doctest.testmod(one) for one in modules(room)]
    assert sum(one.failed for one in results) == 0
    assert sum(one.attempted for one in results) > 0


@pytest.mark.parametrize("room", SHOWN)
def test_public_functions_have_an_example(room):
    package = importlib.import_module(f"stainbook.{room}")
    functions = [one for name in package.__all__ if inspect.isfunction(one := getattr(package, name))]
    assert len(functions) > 10
    assert [one.__name__ for one in functions if ">>>" not in (one.__doc__ or "")] == []
