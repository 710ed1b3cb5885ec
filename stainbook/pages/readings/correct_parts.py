"""Facts corrected on a page: the old one named, the new one, and why. Nothing is erased."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import streamlit as st

from stainbook.errors import InputError
from stainbook.pages.shell import case_source, wording
from stainbook.pages.shell import way_texts as words
from stainbook.pages.shell.light_choice import Light
from stainbook.pages.shell.page_frame import forget, keep, keeping, kept
from stainbook.work.firing.corrections import (
    ReadZone,
    RecordedZone,
    ToldFiring,
    correct_firing,
    correct_reading,
    correct_zone,
    firings_of,
    read_zones,
    recorded_zones,
    take_back_zone,
)
from stainbook.work.reading.instruments import Profiles
from stainbook.work.reading.viewing_conditions import Asked


def correct_result(path: str, light: Light) -> None:
    """What was recorded of the case's firings, to be corrected."""
    place, url = Path(path), case_source.book_url()
    zones = recorded_zones(url, place)
    if not zones:
        return
    with st.expander(words.CORRECT_RESULT):
        what = st.radio(
            words.CORRECT_WHAT, list(words.CORRECT), format_func=words.CORRECT.__getitem__, horizontal=True,
            key=f"correct {path}",
        )  # fmt: skip
        if what == "zone":
            _zone(path, zones, light)
        else:
            _firing(path)


def _zone(path: str, zones: list[RecordedZone], light: Light) -> None:
    names = {f"{one.tooth} {one.zone}, {wording.moment(one.fired_at)}": one for one in zones}
    one = names[st.selectbox(words.CORRECT_WHICH, list(names), key=f"correct zone {path}")]
    st.caption(words.HOLDS_NOW.format(said=f"{one.painted}; {wording.lab(one.colour)}"))
    end = f"{one.name} {hash(one)}"
    lines = one.painted.replace("; ", "\n")
    painted = st.text_area(words.CORRECT_PAINTED, height=96, **keeping(f"corrected {end}", lines))
    lab = st.text_input(words.CORRECT_LAB, help=words.CORRECT_LAB_HELP, **keeping(f"corrected lab {end}"))
    why = st.text_input(words.WHY, **keeping(f"why {path}"))
    url, place = case_source.book_url(), Path(path)
    with st.container(horizontal=True):
        if st.button(words.CORRECT_IT, disabled=not why.strip()):
            asked = _asked(light)
            _do(path, lambda: correct_zone(url, place, one.name, painted=painted, lab=lab, why=why, asked=asked))
        if st.button(words.TAKE_BACK, disabled=not why.strip()):
            _do(path, lambda: take_back_zone(url, place, one.name, why=why))


def _firing(path: str) -> None:
    url, place = case_source.book_url(), Path(path)
    names = {wording.moment(one.fired_at): one for one in firings_of(url, place)}
    one = names[st.selectbox(words.CORRECT_WHICH, list(names), key=f"correct firing {path}")]
    minutes = f"{one.minutes:g}" if one.minutes is not None else ""
    told = (one.operator or "", one.programme or "", one.furnace or "", minutes)
    st.caption(words.HOLDS_NOW.format(said=", ".join(filter(None, told)) or words.NOTHING_TOLD))
    labels = (words.WHO, words.PROGRAMME, words.FURNACE, words.MINUTES)
    columns, end = st.columns(4), f"{one.firing} {hash(one)}"
    fields = [
        column.text_input(label, **keeping(f"corrected {label} {end}", value))
        for column, label, value in zip(columns, labels, told, strict=True)
    ]
    why = st.text_input(words.WHY, **keeping(f"why {path}"))
    if st.button(words.CORRECT_IT, disabled=not why.strip()):
        who, programme, furnace, typed = (one.strip() for one in fields)
        new = ToldFiring(who or None, programme or None, furnace or None, typed)
        _do(path, lambda: correct_firing(url, place, one.fired_at, new, why=why))


def correct_readings(path: str, light: Light) -> None:
    """The readings that hold now, to be corrected or taken back."""
    url, place = case_source.book_url(), Path(path)
    found: list[ReadZone] = read_zones(url, place)
    if not found:
        return
    with st.expander(words.CORRECT_READING):
        names = {f"{one.tooth} {one.zone}": one for one in found}
        one = names[st.selectbox(words.CORRECT_WHICH, list(names), key=f"correct reading {path}")]
        at = f", {wording.moment(one.taken_at)}" if one.taken_at else ""
        st.caption(words.HOLDS_NOW.format(said=f"{wording.lab(one.colour)}{at}"))
        lab = st.text_input(
            words.CORRECT_LAB, help=words.CORRECT_READING_HELP, **keeping(f"corrected {one.sample} {hash(one.colour)}")
        )
        why = st.text_input(words.WHY, **keeping(f"why {path}"))
        if st.button(words.CORRECT_IT if lab.strip() else words.TAKE_BACK, disabled=not why.strip()):
            asked = _asked(light)
            _do(path, lambda: correct_reading(url, place, one.sample, lab=lab, why=why, asked=asked))


def _do(path: str, act: Callable[[], object]) -> None:
    try:
        act()
    except InputError as error:
        st.warning(words.CANNOT_CHANGE.format(reason=error))
        return
    forget(f"why {path}")
    keep("corrections", kept("corrections", 0) + 1)
    st.rerun()


def _asked(light: Light) -> Asked:
    return Asked(
        light.illuminant, light.observer, instrument=light.instrument, instruments=Profiles(case_source.book_url())
    )
