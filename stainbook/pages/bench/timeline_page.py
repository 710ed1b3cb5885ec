"""The timeline of a case: painted, read, expected, got, photos before and after side by side, notes."""

from __future__ import annotations

from itertools import groupby

import streamlit as st

from stainbook.faces.timeline_types import TimelineEntry
from stainbook.pages.bench import timeline_texts as words
from stainbook.pages.bench.label_parts import label_button
from stainbook.pages.bench.timeline_markup import entries_markup
from stainbook.pages.case.case_head import case_head
from stainbook.pages.shell import case_source, texts, wording
from stainbook.pages.shell.page_frame import do, forget, go_to, keeping, show_page
from stainbook.pages.shell.pressing import pressed
from stainbook.pages.widgets.markup import show_markup


def _draw() -> None:
    head = case_head(texts.PAGES["timeline"])
    if head is None:
        return
    code = head.code
    if head.press.button(words.BACK):
        go_to("case_page")
    entries = case_source.case(code).timeline.all()
    with st.container(horizontal=True):
        label_button(code)
    _note(code, entries)
    if not entries:
        st.info(words.NOTHING)
        return
    st.markdown(words.NEWEST)
    parts = [list(some) for _, some in groupby(entries, key=lambda one: _is_drawn_alone(one, entries))]
    for number, some in enumerate(parts):
        show_markup(entries_markup(some), key=f"timeline {number}")
        for one in some:
            _photos(code, one)


def _is_drawn_alone(entry: TimelineEntry, entries: tuple[TimelineEntry, ...]) -> int:
    """A number that differs for entries with photos, which stand below them; the others are drawn together."""
    place = entries.index(entry)
    return 2 * sum(bool(one.before or one.after) for one in entries[:place]) + bool(entry.before or entry.after)


def _note(code: str, entries: tuple[TimelineEntry, ...]) -> None:
    timeline = case_source.case(code).timeline
    key = f"note {code}"
    text = st.text_area(words.NOTE, help=words.NOTE_HELP, height=80, **keeping(key))
    with st.container(horizontal=True):
        if pressed(words.ADD_NOTE, type="primary", disabled=not text.strip()):
            do(lambda: _add(code, text, key), cannot=words.NOT_NOTED, done=words.NOTED)
        last = next((one for one in entries if one.kind == "noted"), None)
        if last is not None and pressed(words.UNDO_NOTE.format(at=wording.moment(last.at)), key="undo note"):
            do(lambda: timeline.undo_note(last.id), cannot=words.NOT_NOTED)


def _add(code: str, text: str, key: str) -> None:
    case_source.case(code).timeline.note(text)
    forget(key)


def _photos(code: str, entry: TimelineEntry) -> None:
    """The photos around a firing side by side, or one alone."""
    if not (entry.before or entry.after):
        return
    kept_copies = case_source.case(code).timeline.photos()
    both = entry.before is not None and entry.after is not None
    shown = [(name, said) for name, said in ((entry.before, words.BEFORE), (entry.after, words.AFTER)) if name]
    for place, (name, said) in zip(st.columns(2), shown, strict=False):
        at = wording.moment(name.rpartition(" ")[2])
        if name in kept_copies:
            place.image(kept_copies[name], caption=(said if both else words.PHOTO).format(at=at), width="stretch")


show_page(texts.PAGES["timeline"], _draw, cannot=texts.CANNOT, headed=True)
