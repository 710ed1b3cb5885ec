"""What waits: the cases of the lab with stage, worst zone and next job, and the way in on a first day."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import streamlit as st

from stainbook.faces.app_types import Waiting
from stainbook.faces.wish_types import is_piece
from stainbook.language import joined
from stainbook.pages.case.page_choices import PageChoices, choices
from stainbook.pages.shell import case_source, practice_texts, texts
from stainbook.pages.shell.page_frame import go_to, keep, keeping, kept, show_page
from stainbook.pages.shell.plain import counted
from stainbook.pages.shell.practice import begin_practice
from stainbook.pages.shell.pressing import writing_button
from stainbook.pages.start import first_texts as words_first
from stainbook.pages.start.also_parts import also_waits
from stainbook.pages.widgets.markup import pick, segments
from stainbook.pages.widgets.waits import waits_markup

SHOWN = {"open": False, "out": True, "all": None}  # whether the cases left the lab
PAGE_OF = {
    "target": "targets", "read": "readings", "returned": "readings", "fire": "result", "record": "result",
    "sinter": "case", "back": "case", "judge": "deliver", "deliver": "deliver", "bonded": "deliver",
    "delivered": "deliver",
}  # fmt: skip
AT_ONCE = 20  # cases shown; more when asked for


def _bring_in() -> None:
    """Case files of the folder that the book does not know: brought in by one press."""
    cases = case_source.lab().cases
    files = cases.files_to_bring_in(case_source.folder())
    for line in kept("not brought in", []):
        st.warning(texts.CANNOT.format(reason=line))
    if not files:
        return
    said, do = st.columns([8, 3], vertical_alignment="center")
    said.info(counted(texts.FILES_FOUND, len(files), names=joined(path.name for path in files[:6])))
    if writing_button(texts.BRING_IN, place=do, width="stretch"):
        keep("not brought in", cases.bring_in(files))
        st.rerun()


def _draw() -> None:
    _bring_in()
    shown = kept("show_cases", "open")
    known = case_source.lab().cases.listed()
    codes = known.newest(kept("find_case"), out=SHOWN[shown])
    if not known.heads:
        _first_day()
        return
    find, which, open_it = st.columns([3, 5, 3], vertical_alignment="bottom")
    with find:
        words = st.text_input(texts.FIND_CASE, **keeping("find_case"))
    with which:
        pick(
            segments(texts.SHOW_CASES_LABEL, texts.SHOW_CASES), label=texts.SHOW_CASES_LABEL, chosen=shown,
            key="show cases", on_pick=lambda found: keep("show_cases", found),
        )  # fmt: skip
    if not codes:
        st.info(texts.NONE_FOUND.format(words=words) if words else texts.NONE_OPEN)
        if st.button(texts.MAKE_CASE, type="primary"):
            go_to("new_case_page")
        return
    many = kept("cases_shown", AT_ONCE)
    cases = _looked_at(codes[:many])
    with open_it:
        _open(cases, choices())
    _list(cases, choices())
    also_waits()
    with st.container(horizontal=True):
        if len(codes) > many and st.button(texts.MORE_CASES):
            keep("cases_shown", many + AT_ONCE)
            st.rerun()
        if st.button(texts.MAKE_CASE):
            go_to("new_case_page")
        _read_pair("secondary", "content")


def _first_day() -> None:
    text, do = st.columns([7, 4], vertical_alignment="top")
    text.markdown(words_first.FIRST_DAYS)
    with do:
        _read_pair("primary")
        if st.button(texts.MAKE_FIRST_CASE, width="stretch"):
            go_to("new_case_page")
        if st.button(practice_texts.TRY, width="stretch"):
            begin_practice()
            st.rerun()


def _read_pair(look: Literal["primary", "secondary"], width: Literal["stretch", "content"] = "stretch") -> None:
    if st.button(words_first.READ_PAIR, type=look, width=width):
        keep("piece", "")
        go_to("tab_and_tooth_page")


def _looked_at(codes: list[str]) -> Sequence[Waiting]:
    with st.spinner(texts.LOOKING.format(case=codes[0]), show_time=True):
        return case_source.lab().cases.standing(codes)


def _here(cases: Sequence[Waiting], chosen: PageChoices) -> int:
    return next((place for place, one in enumerate(cases) if one.case == chosen.case), 0)


def _open(cases: Sequence[Waiting], chosen: PageChoices) -> None:
    case = cases[_here(cases, chosen)]
    if case.broken:
        st.button(texts.OPEN_CASE["step"].format(case=case.case), disabled=True, width="stretch")
        return
    said = texts.OPEN_CASE[case.job].format(case=case.case)
    if st.button(said, type="primary", width="stretch"):
        chosen.case = case.case
        if is_piece(case.case):
            keep("piece", case.case)
            go_to("tab_and_tooth_page")
        go_to(f"{PAGE_OF.get(case.job, 'case')}_page")


def _list(cases: Sequence[Waiting], chosen: PageChoices) -> None:
    def take(found: str) -> None:
        chosen.case = cases[int(found)].case

    place = _here(cases, chosen)
    pick(waits_markup(cases), label=texts.WAITS_LABEL, chosen=str(place), key="waits", on_pick=take)


show_page(texts.START_TITLE, _draw, cannot=texts.CANNOT)
