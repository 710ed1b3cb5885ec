"""Records as plain YAML and back, for what has no file format of its own: recipes, outcomes, benches.

Fields are keys; what equals its default is left out; pairs such as shares and lots are mappings. Scalars are
read as text and become what the field is, so that a lot ``0117`` stays what it is.
"""

from __future__ import annotations

import dataclasses
import functools
import types
import typing
from typing import Any, TypeVar

import yaml
from pydantic import TypeAdapter, ValidationError

from stainbook.files.yaml_nodes import Node
from stainbook.language import say
from stainbook.records import Pot, Viewing

R = TypeVar("R")
_LEFT_OUT = ("source",)


def format_plain(document: Any) -> str:
    """Give plain values as YAML text: short lists and mappings on one line.

    >>> print(format_plain({"case": "W-7", "lab": [72.0, 1.0, 16.0]}), end="")
    case: W-7
    lab: [72.0, 1.0, 16.0]
    """
    return yaml.safe_dump(document, allow_unicode=True, sort_keys=False, width=120, default_flow_style=None)


def to_plain(record: Any) -> dict[str, Any]:
    """Give a record as plain values, those that are its defaults left out.

    >>> from stainbook.kept import Operator
    >>> to_plain(Operator("bench-1"))
    {'operator': 'bench-1'}
    """
    kind: Any = type(record)
    hints = _hints(kind)
    return {
        one.name: _plain(getattr(record, one.name), hints[one.name])
        for one in dataclasses.fields(record)
        if one.name not in _LEFT_OUT and (kind is Viewing or not _is_default(one, getattr(record, one.name)))
    }


def from_plain(cls: type[R], node: Node) -> R:
    """Give the record of class ``cls`` that a node holds.

    Raises FileError for keys and values that no such record has.

    >>> from stainbook.files.text import NamedFile
    >>> from stainbook.files.yaml_nodes import read_yaml
    >>> from stainbook.kept import Operator
    >>> from_plain(Operator, read_yaml(NamedFile("bench.yaml", b"operator: bench-1"), "a technician"))
    Operator(operator='bench-1', notes=None)
    """
    whole: Any = cls
    adapter: TypeAdapter[R] = _adapter(whole)
    try:
        return adapter.validate_python(_values(node, cls))
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        place = _at(node, first["loc"])
        raise place.fail(
            place.kind, say("another value for {key}: {problem}", key=place.key or cls.__name__, problem=first["msg"])
        ) from error


def _is_default(field: dataclasses.Field[Any], value: Any) -> bool:
    if field.default is not dataclasses.MISSING:
        return bool(value == field.default)
    return field.default_factory is not dataclasses.MISSING and bool(value == field.default_factory())


@functools.cache
def _adapter(cls: type[Any]) -> TypeAdapter[Any]:
    return TypeAdapter(cls)


@functools.cache
def _hints(cls: type[Any]) -> dict[str, Any]:
    return typing.get_type_hints(cls)


def _plain(value: Any, hint: Any) -> Any:
    if isinstance(value, Pot):
        return value.as_dict()
    if dataclasses.is_dataclass(value):
        return to_plain(value)
    if isinstance(value, tuple):
        return dict(value) if _of_pairs(_bare(hint)) else [_plain(one, _item(_bare(hint))) for one in value]
    return value


def _values(node: Node, hint: Any) -> Any:
    """A node as what pydantic makes a record of."""
    kind: Any = _bare(hint)
    if kind is Pot:
        return {"shares": [[name, one.value] for name, one in node.mapping().items()]}
    if hasattr(kind, "__dataclass_fields__"):
        hints = _hints(kind)
        known = [name for name in hints if name not in _LEFT_OUT]
        return {name: _values(one, hints[name]) for name, one in node.mapping(known).items()}
    if typing.get_origin(kind) is tuple:
        if _of_pairs(kind):
            return [[name, one.value] for name, one in node.mapping().items()]
        return [_values(one, _item(kind)) for one in node.items()]
    return node.value


def _bare(hint: Any) -> Any:
    """The one type of ``X | None``."""
    if isinstance(hint, types.UnionType):
        return next(one for one in typing.get_args(hint) if one is not types.NoneType)
    return hint


def _of_pairs(hint: Any) -> bool:
    item = _item(hint)
    return typing.get_origin(item) is tuple and typing.get_args(item)[0] is str


def _item(hint: Any) -> Any:
    return next(iter(typing.get_args(hint)), None)


def _at(node: Node, way: tuple[int | str, ...]) -> Node:
    """The node nearest to where pydantic found a fault."""
    for step in way:
        inside: Any = node.value
        known = step in inside if isinstance(inside, dict) else isinstance(step, int) and step < len(inside or ())
        if not known or isinstance(inside, str):
            break
        node = inside[step]
    return node
