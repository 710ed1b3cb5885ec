"""How many seeded faults the tests of a room find: ``python -m tests.tools.mutants COUNT [SEED] [--seconds CORE]``.

A mutant is one change in a module of ``colour``, ``optics`` or ``match``: a comparison moved to its edge or turned, a
sign, a factor, a number a tenth larger (a whole one by one), ``and`` for ``or``, ``min`` for ``max``. Each is run in a
copy of this process by the test files of its own room that call the function in which it stands, the fastest first,
until one fails. Which those are is seen once before. A mutant that takes ten times as long as they do is found too.
With ``--own`` nothing is seen before: a mutant is run by the test files that are named after its module or name it,
and one that takes longer than ``LONGEST`` counts neither way. What survives is printed; among it is what changes
nothing. The interval is Wilson's, of 95 %.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import importlib.abc
import importlib.util
import io
import json
import os
import random
import re
import resource
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

ROOT = Path(__file__).parents[2]
ROOMS = ("colour", "optics", "match")
HEAVY = ("numpy", "scipy.optimize", "scipy.interpolate", "scipy.stats", "hypothesis", "pytest", "colour")
TURNED: dict[type[Any], type[Any]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Add: ast.Sub, ast.Sub: ast.Add,
    ast.Mult: ast.Div, ast.Div: ast.Mult, ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip
CALLS = {"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum", "any": "all", "all": "any"}
LONGEST = 60.0  # seconds of a core
LEFT_OUT = ("decorator_list", "annotation", "returns")


@dataclass(frozen=True)
class Mutant:
    """One change in one module; ``function`` is the innermost named code it stands in, 0 of the module itself."""

    room: str
    module: str
    line: int
    function: int
    before: str
    after: str
    tree: ast.Module

    @property
    def place(self) -> str:
        return f"{self.room}/{self.module}.py:{self.line}"


def sites_of(path: Path) -> list[int]:
    """The numbers of the places of a module that can be changed."""
    places = list(enumerate(_places(ast.parse(path.read_text("utf-8")), 0)))  # before any of them is changed
    return [number for number, (node, _) in places if _changed(node) is not None]


def mutant_at(room: str, path: Path, number: int) -> Mutant:
    """A module with one place changed."""
    tree = ast.parse(path.read_text("utf-8"))
    there, function = list(_places(tree, 0))[number]
    was = ast.unparse(there)
    _changed(there)
    return Mutant(room, path.stem, getattr(there, "lineno", 0), function, was, ast.unparse(there), tree)


def _places(node: ast.AST, function: int) -> Iterator[tuple[ast.AST, int]]:
    if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
        return
    if isinstance(node, ast.FunctionDef | ast.Lambda):
        function = min([node.lineno, *(one.lineno for one in getattr(node, "decorator_list", []))])
    if isinstance(node, ast.Compare | ast.BinOp | ast.BoolOp | ast.UnaryOp | ast.Constant | ast.Call):
        yield node, function
    for name, value in ast.iter_fields(node):
        if name in LEFT_OUT:
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from _places(child, function)


def _changed(node: ast.AST) -> ast.AST | None:
    """Change a node in place; None where there is nothing to change."""
    if isinstance(node, ast.Compare) and type(node.ops[0]) in TURNED:
        node.ops[0] = TURNED[type(node.ops[0])]()
        return node
    if isinstance(node, ast.BinOp | ast.BoolOp) and type(node.op) in TURNED:
        if isinstance(node, ast.BinOp) and ast.Constant in map(type, (node.left, node.right)) and _of_text(node):
            return None
        node.op = TURNED[type(node.op)]()
        return node
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        if isinstance(node.op, ast.USub):
            node.op = ast.UAdd()
        else:
            node.operand = ast.UnaryOp(ast.Not(), node.operand)
        return node
    if isinstance(node, ast.Constant) and type(node.value) in (int, float, bool):
        if isinstance(node.value, bool):
            node.value = not node.value
        elif isinstance(node.value, int):
            node.value += 1
        else:
            node.value = 1.1 * node.value or 0.1
        return node
    if isinstance(node, ast.Call):
        named = node.func
        if isinstance(named, ast.Name) and named.id in CALLS:
            named.id = CALLS[named.id]
            return node
        if isinstance(named, ast.Attribute) and named.attr in CALLS:
            named.attr = CALLS[named.attr]
            return node
    return None


def _of_text(node: ast.BinOp) -> bool:
    return any(isinstance(one, ast.Constant) and isinstance(one.value, str) for one in (node.left, node.right))


# ---------------------------------------------------------------- a copy of this process that runs tests


class _Finder(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Loads a mutant in its module's place."""

    def __init__(self, mutant: Mutant) -> None:
        self.name, self.tree = f"stainbook.{mutant.room}.{mutant.module}", mutant.tree

    def find_spec(self, name: str, path: Any, target: Any = None) -> Any:
        if name != self.name:
            return None
        file = ROOT / f"{name.replace('.', '/')}.py"
        return importlib.util.spec_from_file_location(name, file, loader=self)

    def create_module(self, spec: Any) -> None:
        return None

    def exec_module(self, module: Any) -> None:
        exec(compile(ast.fix_missing_locations(self.tree), str(module.__file__), "exec"), module.__dict__)


def run(files: list[str], *, mutant: Mutant | None = None, seconds: float = 0.0) -> tuple[int, float]:
    """Run test files in a copy of this process; gives its exit status (-1: killed for its time) and its seconds."""
    child = os.fork()
    if child == 0:
        with open(os.devnull, "w") as nothing, contextlib.redirect_stdout(nothing), contextlib.redirect_stderr(nothing):
            os.dup2(nothing.fileno(), 1)
            os.dup2(nothing.fileno(), 2)
            if seconds:
                resource.setrlimit(resource.RLIMIT_CPU, (int(seconds) + 1, int(seconds) + 2))
            if mutant is not None:
                sys.meta_path.insert(0, _Finder(mutant))
            status = _pytest(files)
        os._exit(status)
    _, status, spent = os.wait4(child, 0)
    return os.waitstatus_to_exitcode(status), spent.ru_utime + spent.ru_stime


def _pytest(files: list[str]) -> int:
    import pytest

    try:
        known = ("-W", "ignore::pytest.PytestAssertRewriteWarning")  # what is loaded before is not rewritten
        return int(pytest.main(["-x", "-q", "--no-header", "-p", "no:cacheprovider", "-p", "no:xdist", *known, *files]))
    except BaseException:
        return 99


def called(file: str) -> tuple[float, set[tuple[str, int]]]:
    """Seconds of a test file, and the functions of the rooms that are called while it is loaded and run."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        found: set[CodeType] = set()

        def see(frame: FrameType, event: str, _: Any) -> None:
            if event == "call":
                found.add(frame.f_code)

        os.close(reader)
        with open(os.devnull, "w") as nothing, contextlib.redirect_stdout(io.StringIO()):
            os.dup2(nothing.fileno(), 1)
            os.dup2(nothing.fileno(), 2)
            began = time.process_time()
            sys.setprofile(see)
            status = _pytest([file])
            sys.setprofile(None)
        places = [
            (Path(one.co_filename).parent.name + "/" + Path(one.co_filename).stem, one.co_firstlineno)
            for one in found
            if "/stainbook/" in one.co_filename
        ]
        with os.fdopen(writer, "w") as stream:
            json.dump([status, time.process_time() - began, places], stream)
        os._exit(0)
    os.close(writer)
    with os.fdopen(reader) as stream:
        said = stream.read()
    os.waitpid(child, 0)
    status, spent, places = json.loads(said)
    if status != 0:
        raise SystemExit(f"{file} fails by itself")
    return spent, {(module, line) for module, line in places}


def wilson(some: int, of: int) -> tuple[float, float]:
    """The interval of 95 % of a share."""
    z, share = 1.96, some / of
    middle = (share + z * z / (2 * of)) / (1 + z * z / of)
    half = z / (1 + z * z / of) * (share * (1 - share) / of + z * z / (4 * of * of)) ** 0.5
    return middle - half, middle + half


def main() -> None:
    """Sample, run, and print what survives."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", type=int)
    parser.add_argument("seed", type=int, nargs="?", default=20261127)
    parser.add_argument("--seconds", type=float, default=float("inf"), help="of a core; then it stops where it is")
    parser.add_argument("--rooms", nargs="*", choices=ROOMS, default=ROOMS)
    parser.add_argument("--own", action="store_true", help="by the tests of its module alone")
    parser.add_argument("--known", type=Path, help="a file that keeps which tests call what")
    asked = parser.parse_args()
    os.chdir(ROOT)
    for name in HEAVY:
        importlib.import_module(name)
    files = [
        str(one.relative_to(ROOT)) for room in asked.rooms for one in sorted((ROOT / "tests" / room).glob("test_*.py"))
    ]
    known = {} if asked.own else _known(asked.known, files)
    every = [
        (room, path, number)
        for room in asked.rooms
        for path in sorted((ROOT / "stainbook" / room).glob("*.py"))
        for number in sites_of(path)
    ]
    random.Random(asked.seed).shuffle(every)
    print(f"{len(every)} mutants in all", flush=True)
    spent, done, lived, late = 0.0, 0, 0, 0
    for place in every[: asked.count]:
        if spent > asked.seconds:
            break
        mutant = mutant_at(*place)
        chosen = _own(mutant, files) if asked.own else _chosen(mutant, known)
        least = LONGEST if asked.own else 10 * sum(known[one][0] for one in chosen) + 20
        status, took = run(chosen, mutant=mutant, seconds=least) if chosen else (0, 0.0)
        spent += took
        if asked.own and status < 0:
            late += 1
            continue
        done += 1
        if done % 10 == 0:
            print(f"{done} run, {lived + (status == 0)} survive, {late} took too long, {spent:.0f} s", flush=True)
        if status == 0:
            lived += 1
            print(f"survives {mutant.place}: {mutant.before}  ->  {mutant.after}  ({len(chosen)} files)", flush=True)
    low, high = wilson(lived, done)
    print(
        f"{lived} of {done} survive, {100 * lived / done:.1f} % ({100 * low:.1f} to {100 * high:.1f} %), {spent:.0f} s"
    )


def _known(kept: Path | None, files: list[str]) -> dict[str, tuple[float, set[tuple[str, int]]]]:
    if kept and kept.exists():
        return {one: (took, {(a, b) for a, b in seen}) for one, (took, seen) in json.loads(kept.read_text()).items()}
    found = {}
    for one in files:
        found[one] = called(one)
        print(f"{found[one][0]:6.1f} s  {one}", flush=True)
    if kept:
        kept.write_text(json.dumps({one: (took, sorted(seen)) for one, (took, seen) in found.items()}))
    return found


def _own(mutant: Mutant, files: list[str]) -> list[str]:
    """The test files of the room that are named after a module, first, or name it."""
    room = [one for one in files if one.startswith(f"tests/{mutant.room}/")]
    named = [one for one in room if re.search(rf"\b{mutant.module}\b", Path(one).read_text("utf-8"))]
    return sorted(named or room, key=lambda one: (one != f"tests/{mutant.room}/test_{mutant.module}.py", one))


def _chosen(mutant: Mutant, known: dict[str, tuple[float, set[tuple[str, int]]]]) -> list[str]:
    """The test files of the room that call the mutant's function, or its module where it stands outside of any."""
    module = f"{mutant.room}/{mutant.module}"
    own = {one: took for one, (took, _) in known.items() if one.startswith(f"tests/{mutant.room}/")}
    touched = {one for one in own if (module, mutant.function) in known[one][1]}
    if not touched:
        touched = {one for one in own if any(place == module for place, _ in known[one][1])}
    return sorted(touched, key=lambda one: own[one])


if __name__ == "__main__":
    main()
