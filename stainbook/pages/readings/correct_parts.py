"""Facts corrected on a page: the old one named, the new one, and why. Nothing is erased."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import streamlit as st

from stainbook.faces.firing_types import RecordedZone, ToldFiring
from stainbook.faces.reading_types import Light
from stainbook.language import joined
from stainbook.pages.shell import case_source, wording
from stainbook.pages.shell import way_texts as words
from stainbook.pages.shell.number_field import typed_as
from stainbook.pages.shell.page_frame import do, forget, keeping
from stainbook.pages.shell.plain import bare
from stainbook.pages.shell.pressing import writing_button
from stainbook.words.places import place as place_name

_FIELDS = ("who", "programme", "furnace", "minutes")  # of a firing


def correct_result(code: str, light: Light) -> None:
    """What was recorded of the case's firings, to be corrected."""
    zones = case_source.case(code).firing.zones()
    if not zones:
        return
    with st.expander(words.CORRECT_RESULT):
        what = st.radio(
            words.CORRECT_WHAT, list(words.CORRECT), format_func=words.CORRECT.__getitem__, horizontal=True,
            key=f"correct {code}",
        )  # fmt: skip
        if what == "zone":
            _zone(code, zones, light)
        else:
            _firing(code)


def _zone(code: str, zones: Sequence[RecordedZone], light: Light) -> None:
    names = {joined([place_name(one.tooth, one.zone), wording.moment(one.fired_at)]): one for one in zones}
    one = names[st.selectbox(words.CORRECT_WHICH, list(names), format_func=bare, key=f"correct zone {code}")]
    st.caption(words.HOLDS_NOW.format(said=joined([one.painted, wording.lab(one.colour)], "; ")))
    end = f"{one.name} {hash(one)}"
    lines = bare(one.painted).replace("; ", "\n")
    painted = st.text_area(words.CORRECT_PAINTED, height=96, **keeping(f"corrected {end}", lines))
    lab = st.text_input(words.CORRECT_LAB, help=words.CORRECT_LAB_HELP, **keeping(f"corrected lab {end}"))
    why = st.text_input(words.WHY, **keeping(f"why {code}"))
    firing = case_source.case(code).firing
    with st.container(horizontal=True):
        if writing_button(words.CORRECT_IT, disabled=not why.strip()):
            _do(code, lambda: firing.correct_zone(one.name, painted=painted, lab=lab, why=why, light=light))
        if writing_button(words.TAKE_BACK, disabled=not why.strip()):
            _do(code, lambda: firing.take_back_zone(one.name, why=why))


def _firing(code: str) -> None:
    case = case_source.case(code)
    names = {wording.moment(one.fired_at): one for one in case.firing.all()}
    one = names[st.selectbox(words.CORRECT_WHICH, list(names), key=f"correct firing {code}")]
    minutes = typed_as(one.minutes) if one.minutes is not None else ""
    told = (one.operator or "", one.programme or "", one.furnace or "", minutes)
    st.caption(words.HOLDS_NOW.format(said=joined(filter(None, told)) or words.NOTHING_TOLD))
    labels = (words.WHO, words.PROGRAMME, words.FURNACE, words.MINUTES)
    columns, end = st.columns(4), f"{one.firing} {hash(one)}"
    fields = [
        column.text_input(label, **keeping(f"corrected {name} {end}", value))
        for column, name, label, value in zip(columns, _FIELDS, labels, told, strict=True)
    ]
    why = st.text_input(words.WHY, **keeping(f"why {code}"))
    with st.container(horizontal=True):
        if writing_button(words.CORRECT_IT, disabled=not why.strip()):
            who, programme, furnace, typed = (one.strip() for one in fields)
            new = ToldFiring(who or None, programme or None, furnace or None, typed)
            _do(code, lambda: case.firing.correct(one.fired_at, new, why=why))
        if writing_button(words.TAKE_BACK_FIRING, disabled=not why.strip()):
            _do(code, lambda: case.way.take_back_firing(one.fired_at, why=why))


def correct_readings(code: str, light: Light) -> None:
    """The readings that hold now, to be corrected or taken back."""
    measured = case_source.case(code).measured
    found = measured.read()
    if not found:
        return
    with st.expander(words.CORRECT_READING):
        names = {place_name(one.tooth, one.zone): one for one in found}
        one = names[st.selectbox(words.CORRECT_WHICH, list(names), format_func=bare, key=f"correct reading {code}")]
        at = [wording.moment(one.taken_at)] if one.taken_at else []
        st.caption(words.HOLDS_NOW.format(said=joined([wording.lab(one.colour), *at])))
        lab = st.text_input(
            words.CORRECT_LAB, help=words.CORRECT_READING_HELP, **keeping(f"corrected {one.sample} {hash(one.colour)}")
        )
        why = st.text_input(words.WHY, **keeping(f"why {code}"))
        if writing_button(words.CORRECT_IT if lab.strip() else words.TAKE_BACK, disabled=not why.strip()):
            _do(code, lambda: measured.correct(one.sample, lab=lab, why=why, light=light))


def _do(code: str, act: Callable[[], object]) -> None:
    def done() -> None:
        act()
        forget(f"why {code}")

    do(done, cannot=words.CANNOT_CHANGE)
