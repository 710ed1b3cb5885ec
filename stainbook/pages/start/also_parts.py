"""What else waits, below the cases: each line leads on with one press."""

from __future__ import annotations

import streamlit as st

from stainbook.faces.app_types import ToDo
from stainbook.pages.case.page_choices import choices
from stainbook.pages.shell import case_source, wording
from stainbook.pages.shell.page_frame import go_to, keep, kept
from stainbook.pages.shell.plain import counted
from stainbook.pages.start import also_texts as words

PAGE_TO = {
    "chip-out": "stains", "chip-due": "stains", "held": "result", "read-first": "readings", "jar-out": "jars",
    "no-stripe": "stains", "try-in": "case",
}  # fmt: skip
AT_FIRST = 6  # lines; more when asked for


def also_waits() -> None:
    """The lines, nothing where there are none."""
    lines = case_source.lab().cases.to_do()
    if not lines:
        return
    st.subheader(words.TITLE, anchor=False)
    shown = lines if kept("all_also", False) else lines[:AT_FIRST]
    for one in shown:
        _line(one)
    if len(shown) < len(lines) and st.button(counted(words.MORE, len(lines) - len(shown)), key="more also"):
        keep("all_also", True)
        st.rerun()


def _line(one: ToDo) -> None:
    said, press = st.columns([9, 3], vertical_alignment="center")
    said.markdown(counted(words.SAID[one.kind], one.n, name=one.name, at=wording.moment(one.at)))
    if press.button(words.LEAD[one.kind], key=f"{one.kind} {one.name}", width="stretch"):
        _lead(one)


def _lead(one: ToDo) -> None:
    if one.case is not None:
        choices().case = one.case
    elif one.kind == "jar-out":
        keep("jar", one.name)
    elif one.kind == "no-stripe":
        keep("stain", one.name.partition(":")[0])
    else:
        keep("control_chip", one.name)
    go_to(f"{PAGE_TO[one.kind]}_page")
