"""XML from outside as plain nodes, each with its row for messages.

A document type declaration, which is where entities and outside files come in, is refused before anything in it is
acted on; namespaces are checked by the caller and names are kept without them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from xml.parsers import expat

from stainbook.errors import FileError
from stainbook.files.text import at_row
from stainbook.language import say

MAX_DEPTH = 32  # CxF3 nests about eight deep
MAX_NODES = 1_000_000


@dataclass(slots=True)
class XmlNode:
    """An element: its name without namespace, the namespace, attributes, text and children."""

    path: Path
    line: int
    name: str
    namespace: str
    attributes: dict[str, str]
    children: list[XmlNode] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        """The text directly inside, white space at its ends taken off."""
        return "".join(self.texts).strip()

    def fail(self, found: str, expected: str, *, hint: str | None = None) -> FileError:
        """The error to raise for this element."""
        return FileError(
            self.path,
            found,
            expected,
            where=say("row {line}, element {element}", line=self.line, element=self.name[:60]),
            hint=hint,
        )

    def all(self, name: str) -> Iterator[XmlNode]:
        """The children of a name."""
        return (child for child in self.children if child.name == name)

    def find(self, *names: str) -> XmlNode | None:
        """The first element on a way of names, or None."""
        node: XmlNode | None = self
        for name in names:
            node = next(node.all(name), None) if node else None
        return node

    def value(self, *names: str) -> str | None:
        """The text at the end of a way of names, None where it is missing or empty."""
        node = self.find(*names)
        return (node.text or None) if node else None


def parse_xml(text: str, path: Path, what: str) -> XmlNode:
    """The root of a document.

    Raises
    ------
    FileError
        For broken XML, a document type declaration, an entity, nesting or size beyond reason.
    """
    builder = _XmlBuilder(path, what)
    try:
        builder.parser.Parse(text, True)
    except expat.ExpatError as error:
        problem = expat.ErrorString(error.code)
        raise FileError(
            path,
            say("XML that cannot be read ({problem})", problem=problem),
            what,
            where=at_row(error.lineno),
        ) from error
    return builder.root


class _XmlBuilder:
    def __init__(self, path: Path, what: str) -> None:
        self.path, self.what = path, what
        self.root = XmlNode(path, 1, "", "", {})
        self.open: list[XmlNode] = []
        self.count = 0
        self.parser = parser = expat.ParserCreate(namespace_separator=" ")
        parser.StartDoctypeDeclHandler = self.doctype
        parser.StartElementHandler = self.start
        parser.EndElementHandler = self.end
        parser.CharacterDataHandler = self.characters
        parser.buffer_text = True

    def doctype(self, *_: object) -> None:
        raise self.refused(say("a document type declaration"), say("XML without one, and without entities"))

    def start(self, name: str, attributes: dict[str, str]) -> None:
        namespace, _, short = name.rpartition(" ")
        node = XmlNode(self.path, self.parser.CurrentLineNumber, short, namespace, attributes)
        self.count += 1
        if len(self.open) >= MAX_DEPTH or self.count > MAX_NODES:
            raise self.refused(
                say("more than {levels} levels or {elements} elements", levels=MAX_DEPTH, elements=MAX_NODES),
                self.what,
            )
        if self.open:
            self.open[-1].children.append(node)
        else:
            self.root = node
        self.open.append(node)

    def end(self, _: str) -> None:
        self.open.pop()

    def characters(self, data: str) -> None:
        if self.open:
            self.open[-1].texts.append(data)

    def refused(self, found: str, expected: str) -> FileError:
        return FileError(
            self.path,
            found,
            expected,
            where=at_row(self.parser.CurrentLineNumber),
        )
