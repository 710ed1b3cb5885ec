"""Jars and bottles: opened, run out, the maker's lot, and which open cases each concerns."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from stainbook.apparatus import Jar
from stainbook.language import joined
from stainbook.pages.case.page_choices import choices
from stainbook.pages.lab import jars_texts as words
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.name_field import name_field
from stainbook.pages.shell.page_frame import do, forget, go_to, keep, keeping, kept, show_page
from stainbook.pages.shell.plain import counted, plain
from stainbook.pages.shell.pressing import pressed
from stainbook.pages.widgets.markup import pick
from stainbook.words.escaping import escape
from stainbook.work.documents.jar_schemas import JarShown

OFFERED = 6  # cases that a press leads to
TYPED = ("jar_stain", "jar_lot", "jar_makers", "jar_day", "jar_note")


def _draw() -> None:
    listed, detail = st.columns([3, 2], gap="large")
    jars = case_source.lab().stains.jars.all().jars
    with listed:
        if jars:
            st.markdown(words.LEAD)
        else:
            st.info(words.NONE)
        chosen = _list(jars) if jars else None
    with detail:
        if chosen is not None:
            _one(chosen)
        _new(jars)


def _list(jars: Sequence[JarShown]) -> JarShown | None:
    """The jars as rows to choose from; gives the chosen one."""
    with st.container(horizontal=True, vertical_alignment="bottom"):
        found = st.text_input(words.FIND, **keeping("find_jar")).strip().casefold()
        left = st.checkbox(words.ONLY_LEFT, **keeping("jars_left", False))
    rows = [one for one in jars if found in _name(one).casefold() and not (left and one.run_out_on)]
    heads = "".join(f"<span>{escape(head)}</span>" for head in words.HEADS)
    body = "".join(map(_row, rows))
    chosen = next((one for one in rows if _name(one) == kept("jar")), rows[0] if rows else None)
    pick(
        f'<div class="table jars"><div class="heads" aria-hidden="true">{heads}</div>{body}</div>',
        label=words.LABEL, chosen=_name(chosen) if chosen else None, key="jars",
        on_pick=lambda name: keep("jar", name),
    )  # fmt: skip
    return chosen


def _name(jar: JarShown) -> str:
    return f"{jar.stain}: {jar.lot}"


def _state(jar: JarShown) -> str:
    """Run out, open, or only named by work; and what else is to be known of it."""
    said = words.EMPTY if jar.run_out_on else words.IN_STOCK if jar.entered else words.NOT_ENTERED
    more = [words.USED] * (jar.in_use and not jar.run_out_on) + [words.NO_STRIPE] * (not jar.stripes)
    return joined([said, *more])


def _row(jar: JarShown) -> str:
    cells = (jar.stain, jar.lot, _state(jar), jar.opened_on or "–", jar.run_out_on or "–", str(len(jar.cases) or "–"))
    label = escape(joined([_name(jar), _state(jar)], ": "))
    body = "".join(f"<span>{escape(cell)}</span>" for cell in cells)
    return f'<div class="table-row" data-key="{escape(_name(jar))}" aria-label="{label}">{body}</div>'


# ---------------------------------------------------------------- one of them


def _one(jar: JarShown) -> None:
    face = case_source.lab().stains.jars
    kind = words.BOTTLE if jar.liquid else words.JAR
    st.subheader(plain(joined([_name(jar), kind])), anchor=False)
    for head, said in ((words.MAKERS_LOT, jar.makers_lot), (words.NOTE, jar.note)):
        if said:
            st.markdown(joined([head, plain(said)], ": "))
    st.markdown(counted(words.CONCERNS, len(jar.cases)) if jar.cases else words.NO_CASE)
    if jar.run_out_on and jar.cases:
        st.info(words.STILL_MEANT.format(jar=_name(jar)))
    with st.container(horizontal=True):
        for code in jar.cases[:OFFERED]:
            if st.button(words.OPEN_CASE.format(case=code), key=f"jar of {code}"):
                choices().case = code
                go_to("targets_page" if jar.run_out_on else "case_page")
    with st.container(horizontal=True):
        if jar.run_out_on is None:
            if pressed(words.RUN_OUT_TODAY, key="run out"):
                do(lambda: face.run_out(jar.stain, jar.lot), cannot=words.NOT_KEPT)
        elif pressed(words.NOT_RUN_OUT, key="not run out"):
            do(lambda: face.not_run_out(jar.stain, jar.lot), cannot=words.NOT_KEPT)
        if not jar.stripes and st.button(words.TO_STRIPES):
            keep("stain", jar.stain)
            go_to("stains_page")


def _new(jars: Sequence[JarShown]) -> None:
    """A jar opened: the stain is chosen, a lot that nobody knows is confirmed."""
    with st.expander(words.NEW, expanded=not jars):
        stains = [one.name for one in case_source.lab().stains.rows()]
        stain = st.selectbox(words.STAIN, stains, index=None, placeholder="", **keeping("jar_stain", None))
        lots = case_source.lab().stains.jars.known().get(stain or "", [])
        lot = name_field(st, words.LOT, lots, "jar_lot")
        makers = st.text_input(words.MAKERS_LOT, **keeping("jar_makers"))
        day = st.text_input(words.OPENED_ON, help=words.DAY_HELP, **keeping("jar_day"))
        note = st.text_input(words.NOTE, **keeping("jar_note"))
        sure = _is_sure(stain, lot)
        if pressed(words.KEEP, type="primary", disabled=not (stain and lot and sure)):
            face = case_source.lab().stains.jars
            on, why = day.strip() or face.today(), note.strip() or None
            told = Jar(stain or "", lot or "", makers.strip() or None, on, note=why)
            do(lambda: _keep(told), cannot=words.NOT_KEPT)


def _is_sure(stain: str | None, lot: str | None) -> bool:
    if not stain or not lot:
        return False
    new = case_source.lab().stains.jars.unknown([(stain, lot)])
    if not new:
        st.markdown(words.KNOWN.format(jar=f"{stain}: {lot}"))
        return True
    return bool(st.checkbox(words.SURE.format(jar=new[0]), **keeping(f"jar_sure {new[0]}", False)))


def _keep(jar: Jar) -> None:
    case_source.lab().stains.jars.keep(jar)
    keep("jar", jar.jar)
    for name in TYPED:
        forget(name)


show_page(texts.PAGES["jars"], _draw, cannot=texts.CANNOT)
