"""Every page with hostile names: shown as they are, drawn as nothing else, asking nobody for anything."""

import json
import re
import sqlite3
import sys
from contextlib import closing
from html.parser import HTMLParser
from pathlib import Path
from types import ModuleType

import pytest
from markdown_it import MarkdownIt
from streamlit.testing.v1 import AppTest

from stainbook.book import access, open_book
from stainbook.errors import InputError
from stainbook.faces import desk_face
from stainbook.lab import Lab
from stainbook.pages.shell import texts
from stainbook.pages.shell.page_list import page_file
from stainbook.pages.shell.plain import Ours, ours, plain
from stainbook.records import Case, CaseZone, Effect, LabRef, Reading, Target, Viewing
from tests.pages.made_up import made_up_desk

EVIL = "evil.example"
SIGNS = (
    f"![x](http://{EVIL}/a.png)",
    f"<img src=http://{EVIL}/b>",
    '"><svg onload=x>',
    f"[l](http://{EVIL})",
    f"http://{EVIL}/c",
    f"www.{EVIL}",
    f"me@{EVIL}",
    "**bold** _it_ `code` ~~gone~~",
    "$x^2$ $$y$$",
    ":material/home: :icon: :red[r] :blue-background[b]",
    "# head",
    "- item",
    "1. one",
    "> said",
    "| a | b |\n| - | - |",
    "&lt;b&gt; &#42;a&#42;",
    "\u202eturned\u2066",
    "two\nlines\n---",
)
NAME = " ".join(one for one in SIGNS if "\n" not in one)
LONG = "x" * 5000
READER = MarkdownIt("commonmark").enable(["table", "strikethrough"])
DRAWN = {
    "image", "link_open", "html_inline", "html_block", "strong_open", "em_open", "code_inline", "s_open", "table_open",
    "fence", "code_block", "heading_open", "bullet_list_open", "ordered_list_open", "blockquote_open", "hr",
}  # fmt: skip
MADE_OF_TEXT = re.compile(r"https?://|\bwww\.|\w@\w|:material/\w+:|:\w[\w-]*\[|:\w+:", re.IGNORECASE)  # by the browser


def drawn(text):
    """What a text draws beside itself, by a reader of Markdown that is not ours, and by what browsers make of text."""
    found, said = set(), ""
    for token in READER.parse(text):
        for one in (token, *(token.children or ())):
            found |= {one.type} & DRAWN
            said += one.content if one.type == "text" else ""
    found |= {"made of text"} if MADE_OF_TEXT.search(said) else set()
    return found | ({"math"} if re.search(r"(?<!\\)\$", text) else set())


@pytest.mark.parametrize("sign", SIGNS)
def test_a_sign_is_shown_as_it_is(sign):
    assert drawn(sign) or "\u202e" in sign or "&" in sign
    for text in (sign, f"so {sign}", f"{sign} and"):
        assert drawn(plain(text)) == set()
    assert not set("\u202e\u2066") & set(plain(sign))


def test_plain_names_stay_and_what_is_long_is_cut():
    for name in ("W-1042", "husk", "warm neck", "24-117", "2026-03-02 10:40", "ΔE00 1.2 (9 in 10)", "café"):
        assert plain(name) == name
    assert len(plain(LONG)) == 300
    assert plain(LONG, longest=None) == LONG


def test_what_is_put_into_our_words_is_made_plain_once(monkeypatch):
    made = ModuleType("made_texts")
    made.A, made.B, made.N = "**{name}** is here", {"x": "so: {said}"}, 3
    monkeypatch.setitem(sys.modules, "made_texts", made)
    ours("made_texts")
    words = {name: getattr(made, name) for name in "ABN"}
    inner = words["A"].format(name="*a*")
    assert inner == "**\\*a\\*** is here"
    assert words["B"]["x"].format(said=inner) == f"so: {inner}"
    assert isinstance(inner, Ours)
    assert words["A"].format(name=InputError("<b>")) == "**&lt;b&gt;** is here"
    assert words["N"] == 3


# ---------------------------------------------------------------- every page

RENAMED = {
    "garnet": f"w {NAME}",
    "bench-1": f"b {NAME}",
    "bench-2": f"c {NAME}",
    "warm neck": f"r {NAME}",
    "W-1017": f"k {NAME}",
    "W-0988": f"m {LONG}",
}


@pytest.fixture(scope="module")
def hostile_book(tmp_path_factory, demo_book):
    """The demonstration book as an older version may have left it: its names are hostile."""
    path = tmp_path_factory.mktemp("hostile") / "lab.db"
    with closing(sqlite3.connect(path)) as connection:
        with closing(sqlite3.connect(Path(demo_book.removeprefix("sqlite:///")))) as demo:
            demo.backup(connection)
        known = "".join(f"{row}" for row in connection.execute("SELECT name, content FROM records"))
        for name, evil in RENAMED.items():
            written = json.dumps(evil)[1:-1]
            connection.execute("UPDATE records SET name = replace(name, ?, ?)", (name, evil))
            connection.execute("UPDATE records SET content = replace(content, ?, ?)", (name, written))
        note = json.dumps(NAME)[1:-1]
        connection.execute('UPDATE records SET content = replace(content, \'"notes":"\', ?)', (f'"notes":"{note} ',))
        connection.commit()
    assert [name for name in RENAMED if name not in known] == []
    zone = CaseZone(
        11, f"z {NAME}", "tooth", LabRef((70.0, 1.0, 15.0), Viewing()), Target(LabRef((74.0, 1.0, 12.0), Viewing()))
    )
    effect = Effect(11, f"e {NAME}", place=NAME, note=NAME)
    code = f"o {NAME}"
    with open_book(f"sqlite:///{path}") as book, pytest.MonkeyPatch.context() as patch:
        book.rebuild_index()
        patch.setattr(access, "settled", lambda record: record)  # as before there was a gate
        book.add_cases([Case(code, (zone,), material="zirconia", stage="blasted", operator=NAME, effects=(effect,))])
        book.add_readings([Reading(f"{code}-11-{zone.zone}", lab=(70.0, 1.0, 15.0), viewing=Viewing(), notes=NAME)])
    return f"sqlite:///{path}"


MARKDOWN_FIELDS = ("body", "label", "help", "caption", "markdown")


def texts_of(node, found):
    """All Markdown of a page, by what shows it; the markup of components apart."""
    for child in getattr(node, "children", {}).values():
        texts_of(child, found)
    proto = getattr(node, "proto", None)
    if proto is None:
        return
    kind = type(proto).__name__
    if kind == "BidiComponent":
        found.append(("markup", json.loads(proto.json).get("markup", "") if proto.json else ""))
        return
    for field, value in proto.ListFields():
        if field.name in MARKDOWN_FIELDS and isinstance(value, str):
            found.append((f"{kind}.{field.name}", value))
        if field.name in ("options", "captions") and kind in ("Radio", "ButtonGroup"):
            found.extend((f"{kind}.{field.name}", str(getattr(one, "content", one))) for one in value)


class _Tags(HTMLParser):
    def __init__(self):
        super().__init__()
        self.wrong = []

    def handle_starttag(self, tag, attributes):
        bad = tag in ("img", "script", "iframe", "a", "link", "object", "embed", "form")
        calls = [name for name, value in attributes if name.startswith("on") or (name in ("src", "href") and value)]
        self.wrong += [tag] if bad else calls


def wrong_in(kind, text):
    if kind == "markup":
        tags = _Tags()
        tags.feed(text)
        return tags.wrong
    if EVIL not in text and "turned" not in text:
        return []
    ours_too = {"strong_open", "em_open", "bullet_list_open"}  # our own words around a name
    return sorted(drawn(text) - ours_too) + (["turned"] if set("\u202e\u2066") & set(text) else [])


@pytest.mark.parametrize("name", texts.PAGES)
def test_no_page_draws_a_hostile_name(hostile_book, monkeypatch, tmp_path, name):
    monkeypatch.setenv("STAINBOOK_BOOK", hostile_book)
    monkeypatch.setenv("STAINBOOK_FOLDER", str(tmp_path))
    monkeypatch.setattr(desk_face, "open_desk", lambda url, path, watch: made_up_desk(url, path))
    Lab.close_all()
    page = AppTest.from_file(str(page_file(name)), default_timeout=120).run()
    assert not page.exception
    assert texts.FAILED not in [one.value for one in page.warning]
    found = []
    texts_of(page._tree, found)
    wrong = {(kind, text[:160]): bad for kind, text in found if (bad := wrong_in(kind, text))}
    assert wrong == {}
