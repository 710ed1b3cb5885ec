"""Prose in code that no catalogue holds: strings that read as sentences and stand in no call of `say`.

Left aside are docstrings, patterns, statements of SQL, log lines, annotations, keys, what is compared, and the messages
of Python's own errors, which speak to programmers.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

SAYING = {"say", "say_n", "say_as", "Numbered"}
_UNSAID = {"compile", "fullmatch", "sub", "text", "execute", "getLogger", "debug", "info", "Field", "Literal", "OneOf"}
_KEYED = {"keep", "kept", "keeping", "forget", "kept_keys", "example"}  # a page's keys; the examples of commands
_PYTHONS_OWN = re.compile(r"(Value|Type|Attribute|Key|Runtime|Lookup|Database|NotImplemented)Error")
_SQL = re.compile(r"\s*(SELECT|PRAGMA|BEGIN|VACUUM|INSERT|UPDATE|DELETE|SET|CREATE|DROP|ALTER)\b")
_WORDS = re.compile(r"[A-Za-z]+")
_FORMATS = re.compile(r"\{[^{}]*\}|</?[a-z][^<>]*>|%[a-zA-Z]")


def reads_as_prose(text: str) -> bool:
    """Whether a string has two words of letters with a space between them, one of them longer than a letter."""
    plain = _FORMATS.sub("", text)
    words = _WORDS.findall(plain)
    side_by_side = re.search(r"[A-Za-z] +[A-Za-z]", plain) is not None
    return len(words) > 1 and side_by_side and max(map(len, words)) > 2 and _SQL.match(plain) is None


def prose_outside(path: Path) -> Iterator[tuple[int, str]]:
    """Line and string of each that reads as prose and stands in no call that makes a text."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    aside = _left_aside(tree)
    for node in ast.walk(tree):
        if id(node) in aside:
            continue
        if isinstance(node, ast.JoinedStr):
            said = "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)  # type: ignore[misc]
            if reads_as_prose(said):
                yield node.lineno, said
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and reads_as_prose(node.value):
            yield node.lineno, node.value


def _left_aside(tree: ast.AST) -> set[int]:
    aside: set[int] = set()
    for node in ast.walk(tree):
        for part in _aside_of(node):
            aside |= {id(one) for one in ast.walk(part)}
    return aside


def _aside_of(node: ast.AST) -> Iterator[ast.AST]:
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        yield node.value  # docstrings, those of attributes too
    elif isinstance(node, ast.JoinedStr):
        yield from (part for part in node.values if isinstance(part, ast.Constant))  # told with the whole
    elif isinstance(node, ast.Call):
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        if name in SAYING:
            yield from node.args
        elif name in _KEYED:
            yield from node.args[:1]
        elif name in _UNSAID or _PYTHONS_OWN.fullmatch(name) or "_log" in ast.unparse(node.func).split("."):
            yield node
    elif isinstance(node, ast.keyword):
        if node.arg == "key":
            yield node.value
    elif isinstance(node, ast.Dict):
        yield from (key for key in node.keys if key is not None)
    elif isinstance(node, ast.Compare):
        yield node
    elif isinstance(node, ast.Subscript):
        yield node.slice
    elif isinstance(node, ast.AnnAssign | ast.arg):
        if node.annotation is not None:
            yield node.annotation
    elif isinstance(node, ast.FunctionDef):
        if node.returns is not None:
            yield node.returns
    elif isinstance(node, ast.MatchValue):
        yield node
