"""The examples in docstrings run, and the public functions of some rooms have one."""

from __future__ import annotations

import ast
import doctest
import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

import stainbook

ROOMS = ("colour", "files", "guide", "match", "optics", "report", "words")
SHOWN = ("colour", "files", "match", "optics", "report", "words")  # whose public functions each have an example
PACKAGE = Path(stainbook.__file__).parent


def modules(room: str) -> list[ModuleType]:
    package = importlib.import_module(f"stainbook.{room}")
    names = (found.name for found in pkgutil.iter_modules(package.__path__, f"stainbook.{room}."))
    return [package, *map(importlib.import_module, names)]


@cache
def nodes(path: Path) -> list[ast.AST]:
    return list(ast.walk(ast.parse(path.read_text("utf-8"))))


def names_taken(path: Path, package: str) -> Iterator[tuple[str, str]]:
    """Module and name of what a file imports from a package, also as an attribute of a module that it imports."""
    aliases: dict[str, str] = {}
    for node in nodes(path):
        if isinstance(node, ast.ImportFrom) and f"{node.module}.".startswith(f"{package}."):
            for one in node.names:
                aliases[one.asname or one.name] = f"{node.module}.{one.name}"
                yield str(node.module), one.name
    for node in nodes(path):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in aliases:
            yield aliases[node.value.id], node.attr


def taken_from(room: str) -> set[tuple[str, str]]:
    """Module and name of what the other rooms import from a room."""
    others = [path for path in PACKAGE.rglob("*.py") if path.relative_to(PACKAGE).parts[0] != room]
    return {pair for path in others for pair in names_taken(path, f"stainbook.{room}")}


def public_functions(room: str) -> set[Callable[..., Any]]:
    """The functions of a room that its package names, or that another room imports."""
    own = {module.__name__: module for module in modules(room)}
    package = own[f"stainbook.{room}"]
    names = taken_from(room) | {(package.__name__, name) for name in getattr(package, "__all__", ())}
    every = [getattr(own[module], name, None) for module, name in names if module in own]
    return {one for one in every if inspect.isfunction(inspect.unwrap(one)) and one.__module__ in own}


@pytest.mark.parametrize("room", ROOMS)
def test_examples_run(room, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    results = [doctest.testmod(one) for one in modules(room)]
    assert sum(one.failed for one in results) == 0
    assert sum(one.attempted for one in results) > 0


@pytest.mark.parametrize("room", SHOWN)
def test_public_functions_have_an_example(room):
    functions = public_functions(room)
    assert len(functions) > 5
    assert sorted(one.__qualname__ for one in functions if ">>>" not in (one.__doc__ or "")) == []
