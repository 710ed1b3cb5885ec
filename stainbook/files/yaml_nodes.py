"""Safe YAML whose scalars stay text as written, each node with its place for messages.

YAML would make a number of ``0117``, false of ``no`` and 750 of ``12:30``; here the caller says what is a number.
Built from parse events, so nothing is ever constructed: no tags, no aliases, a limit on depth.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import yaml

from stainbook.errors import FileError, some_of
from stainbook.files.text import MAX_YAML_BYTES, Source, at_row, control_character, nearest, read_text, shown
from stainbook.files.values import SHARE, Numerals
from stainbook.language import joined, say

MAX_DEPTH = 16  # a case nests six deep
_NULLS = ("", "~", "null", "Null", "NULL")
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True)
class Node:
    """A piece of a YAML file: text, a list, a mapping or nothing; ``key`` is the way to it."""

    path: Path
    line: int
    key: str
    value: str | tuple[Node, ...] | dict[str, Node] | None

    def fail(self, found: str, expected: str, *, hint: str | None = None) -> FileError:
        """The error to raise for this node."""
        key = " ".join(self.key.split())[:60]
        where = say("row {line}, key {key}", line=self.line, key=key) if key else at_row(self.line)
        return FileError(self.path, found, expected, where=where, hint=hint)

    @property
    def kind(self) -> str:
        """What this node is, for messages."""
        if isinstance(self.value, str):
            return shown(self.value)
        if self.value is None:
            return say("nothing")
        return say("a list") if isinstance(self.value, tuple) else say("a mapping")

    def mapping(self, known: Collection[str] | None = None, *, required: Sequence[str] = ()) -> dict[str, Node]:
        """The filled entries of a mapping; a key that is not among the known ones is an error naming the nearest."""
        if not isinstance(self.value, dict):
            raise self.fail(self.kind, _mapping_with(required) if required else say("a mapping"))
        for name, node in self.value.items() if known is not None else ():
            if name not in (known or ()):
                hint = nearest(name, known or ())
                raise node.fail(
                    say("the key {name}", name=shown(name)),
                    say("one of {known}", known=some_of(known or ())),
                    hint=hint,
                )
        filled = {name: node for name, node in self.value.items() if node.value is not None}
        for name in required:
            if name not in filled:
                raise self.fail(say("no {key}", key=name), _mapping_with(required))
        return filled

    def items(self) -> tuple[Node, ...]:
        """The entries of a list."""
        if not isinstance(self.value, tuple):
            raise self.fail(self.kind, say("a list"))
        return self.value

    def texts(self) -> tuple[str, ...]:
        """A list of texts; one text alone is a list of one."""
        return (self.text(),) if isinstance(self.value, str) else tuple(item.text() for item in self.items())

    def text(self) -> str:
        """Text as written, on one line."""
        text = self.lines()
        if "\n" in text:
            raise self.fail(self.kind, say("text on one line"))
        return text

    def lines(self) -> str:
        """Text as written, of one line or several."""
        if not isinstance(self.value, str) or not self.value.strip():
            raise self.fail(self.kind, say("some text"))
        return self.value.strip()

    def choice(self, known: Sequence[str]) -> str:
        """One of the known words, in any case."""
        word = self.text().lower()
        if word not in known:
            raise self.fail(self.kind, say("one of {known}", known=some_of(known)), hint=nearest(word, known))
        return word

    def number(self, low: float = float("-inf"), high: float = float("inf")) -> float:
        """A finite number with a decimal point, from ``low`` to ``high``."""
        value = Numerals(".").number(self.text())
        if value is None or not low <= value <= high:
            limited = say("a number from {low:g} to {high:g}", low=low, high=high)
            raise self.fail(self.kind, limited if low > float("-inf") else say("a number"))
        return value

    def integer(self, low: int, high: int) -> int:
        """A whole number from ``low`` to ``high``."""
        text = self.text()
        if not (text.isascii() and text.isdecimal() and len(text) < 7 and low <= int(text) <= high):
            raise self.fail(self.kind, say("a whole number from {low} to {high}", low=low, high=high))
        return int(text)

    def share(self) -> float:
        """A share above 0 and at most 1, as a number or a fraction."""
        value = Numerals(".").share(self.text())
        if value is None:
            raise self.fail(self.kind, SHARE)
        return value


def read_yaml(file: Source, what: str) -> Node:
    r"""Read the one document of a YAML file.

    Raises
    ------
    FileError
        For anything that is not plain YAML: broken syntax, tags, anchors, a key twice, nesting beyond reason.

    >>> from stainbook.files.text import NamedFile
    >>> node = read_yaml(NamedFile("mix.yaml", b"barley: 1/4\nclear: 3/4"), "a mix")
    >>> {key: value.share() for key, value in node.mapping(["barley", "clear"]).items()}
    {'barley': 0.25, 'clear': 0.75}
    """
    path = Path(file)
    text = read_text(file, what, limit=MAX_YAML_BYTES)
    try:
        return _YamlBuilder(path, what, yaml.parse(text, Loader=_LOADER)).document()
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        problem = getattr(error, "problem", None) or getattr(error, "reason", None) or say("broken YAML")
        where = at_row(mark.line + 1) if mark else None
        raise FileError(
            path, say("YAML that cannot be read ({problem})", problem=problem), what, where=where
        ) from error


def _mapping_with(required: Sequence[str]) -> str:
    return say("a mapping with {keys}", keys=joined(required))


class _YamlBuilder:
    def __init__(self, path: Path, what: str, events: Iterator[yaml.Event]) -> None:
        self.path, self.what, self.events = path, what, events

    def document(self) -> Node:
        next(self.events)  # the start of the stream
        if not isinstance(next(self.events), yaml.DocumentStartEvent):
            raise FileError(self.path, say("nothing but comments"), self.what)
        node = self.node(next(self.events), "", 0)
        next(self.events)  # the end of the document
        after = next(self.events)
        if isinstance(after, yaml.DocumentStartEvent):
            raise self.refused(after, say("a second document"), say("one document a file"))
        return node

    def node(self, event: yaml.Event, key: str, depth: int) -> Node:
        line = _line(event)
        if not isinstance(event, yaml.ScalarEvent | yaml.CollectionStartEvent) or event.anchor:
            raise self.refused(event, say("an anchor or alias"), say("each value written out"))
        if event.tag:
            raise self.refused(event, say("the tag {tag}", tag=shown(event.tag)), say("plain values"))
        if depth > MAX_DEPTH:
            raise self.refused(event, say("more than {levels} levels", levels=MAX_DEPTH), self.what)
        if isinstance(event, yaml.ScalarEvent):
            return Node(self.path, line, key, self.scalar(event))
        if isinstance(event, yaml.SequenceStartEvent):
            return Node(self.path, line, key, self.sequence(key, depth))
        return Node(self.path, line, key, self.mapping(key, depth))

    def scalar(self, event: yaml.ScalarEvent) -> str | None:
        if control_character(event.value):
            raise self.refused(event, say("a control character in {text}", text=shown(event.value)), say("text"))
        return None if not event.style and event.value in _NULLS else event.value

    def sequence(self, key: str, depth: int) -> tuple[Node, ...]:
        items = []
        while not isinstance(event := next(self.events), yaml.SequenceEndEvent):
            items.append(self.node(event, key, depth + 1))
        return tuple(items)

    def mapping(self, key: str, depth: int) -> dict[str, Node]:
        entries: dict[str, Node] = {}
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            if not isinstance(event, yaml.ScalarEvent):
                raise self.refused(event, say("a list or mapping as a key"), say("text as a key"))
            self.node(event, key, depth)  # holds keys to the same rules
            name = event.value.strip()
            if name in entries:
                raise self.refused(event, say("the key {name} twice", name=shown(name)), say("each key once"))
            entries[name] = self.node(next(self.events), f"{key}.{name}" if key else name, depth + 1)
        return entries

    def refused(self, event: yaml.Event, found: str, expected: str) -> FileError:
        return FileError(self.path, found, expected, where=at_row(_line(event)))


def _line(event: yaml.Event) -> int:
    return event.start_mark.line + 1 if event.start_mark else 1
