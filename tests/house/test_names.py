"""One name for one thing: classes and modules of the package have names of their own."""

import ast
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).parents[2]
MODULES = sorted((ROOT / "stainbook").rglob("*.py"))


def twice(found: list[tuple[str, str]]) -> dict[str, list[str]]:
    """The places of each name that is there more than once."""
    places = defaultdict(list)
    for name, place in found:
        places[name].append(place)
    return {name: where for name, where in places.items() if len(where) > 1}


def classes(path: Path) -> list[tuple[str, str]]:
    nodes = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    where = path.relative_to(ROOT).as_posix()
    return [(node.name, f"{where}:{node.lineno}") for node in nodes if isinstance(node, ast.ClassDef)]


def test_each_class_has_a_name_of_its_own():
    found = [one for path in MODULES for one in classes(path)]
    assert len(found) > 300
    assert twice(found) == {}


def test_each_module_has_a_name_of_its_own():
    found = [(path.stem, path.relative_to(ROOT).as_posix()) for path in MODULES if path.stem != "__init__"]
    assert len(found) > 300
    assert twice(found) == {}


def test_a_second_one_is_found():
    assert twice([("Gap", "a.py:1"), ("Move", "a.py:9"), ("Gap", "b.py:3")]) == {"Gap": ["a.py:1", "b.py:3"]}
