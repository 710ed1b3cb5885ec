"""The part of the settings page that is about the book: where it is, backed up, checked."""

from __future__ import annotations

from datetime import date

import streamlit as st

from stainbook.faces.setting_types import LabSettings
from stainbook.language import joined
from stainbook.pages.lab import exchange_texts
from stainbook.pages.lab import settings_texts as words
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.pressing import pressed, shut, under_the_press


def about_the_book(found: LabSettings) -> None:
    """Show where the book is and what it holds; let it be backed up and checked."""
    st.subheader(texts.BOOK, anchor=False)
    counts = joined(joined([exchange_texts.KINDS.get(kind, kind), str(number)], " ") for kind, number in found.counts)
    held = texts.HELD_BY_BOOK.format(counts=counts) if counts else texts.EMPTY_BOOK
    st.markdown(f"{words.PLACE.format(place=found.place)}  \n{held}")
    shelf = case_source.lab().shelf
    if found.in_a_file:
        st.download_button(
            words.BACKUP, shelf.backup, f"lab-{date.today():%Y-%m-%d}.db", "application/vnd.sqlite3",
            on_click="ignore", **{"help": words.BACKUP_NOTE, **shut()},
        )  # fmt: skip
    else:
        st.markdown(words.ON_SERVER)
    if pressed(words.VERIFY, looks=True):
        with under_the_press():
            with st.spinner(words.VERIFYING, show_time=True):
                done = shelf.verify()
            if done.ok:
                st.success(words.WHOLE.format(records=done.records, warnings=joined(done.warnings, " ")))
            else:
                st.error(words.FAULTS.format(faults=joined(done.faults, "; ")))
    st.markdown(words.OTHER)
