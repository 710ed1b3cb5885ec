"""What stands on a page, by where it stands: for tests that read it word by word."""

import json
import re
from html.parser import HTMLParser

from google.protobuf.message import Message

SHOWN = {
    "body", "label", "help", "caption", "placeholder", "text", "options", "content", "title", "alt", "captions",
}  # fmt: skip
SPOKEN = ("aria-label", "title", "alt")  # what a screen reader says of an element
DRAWN = {"title", "name", "text", "reason", "signals"}  # of a chart: what is read in it


class _Words(HTMLParser):
    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attributes):
        self.found += [value for name, value in attributes if name in SPOKEN and value]

    def handle_data(self, data):
        self.found.append(data)


def in_markup(markup):
    """What stands in markup, and what a screen reader says of it."""
    reader = _Words()
    reader.feed(markup)
    return [one for one in reader.found if one.strip()]


def in_chart(spec):
    """Titles, names and tips of a chart."""
    if isinstance(spec, list):
        return [one for part in spec for one in in_chart(part)]
    if not isinstance(spec, dict):
        return []
    own = [value for key, value in spec.items() if key in DRAWN and isinstance(value, str) and spec.get("type") != "x"]
    return own + [one for value in spec.values() for one in in_chart(value)]


def on_page(page):
    """All texts of a page that AppTest has drawn, as pairs of where and what."""
    found = []
    _walk(page._tree, found)
    return found


def _walk(node, found):
    for child in getattr(node, "children", {}).values():
        _walk(child, found)
    proto = getattr(node, "proto", None)
    if proto is None:
        return
    kind = type(proto).__name__
    if kind == "BidiComponent":
        data = json.loads(proto.json) if proto.json else {}
        found += [("markup", one) for one in [*in_markup(data.get("markup") or ""), data.get("label") or ""]]
    elif kind == "ArrowVegaLiteChart":
        found += [("chart", one) for one in [*in_chart(json.loads(proto.spec)), proto.alt]]
    else:
        found += [(f"{kind}.{name}", one) for name, one in _strings(proto)]


def _strings(proto):
    for field, value in proto.ListFields():
        for one in value if field.is_repeated else [value]:
            if isinstance(one, Message):
                yield from _strings(one)
            elif isinstance(one, str) and field.name in SHOWN:
                yield field.name, re.sub(r"`[^`]*`", "", one)  # what is typed in a terminal
