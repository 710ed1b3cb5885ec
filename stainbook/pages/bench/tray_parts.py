"""The parts of the tray's page: what is in the furnace with its time, and the list of what may go in."""

from __future__ import annotations

from datetime import UTC, datetime

import streamlit as st

from stainbook.faces.tray_types import TrayRow, TrayShown, TrayWish, kinds
from stainbook.language import joined
from stainbook.pages.bench import tray_texts as words
from stainbook.pages.case.page_choices import choices
from stainbook.pages.shell import case_source, wording
from stainbook.pages.shell.page_frame import do, fragment, go_to, keep, kept
from stainbook.pages.shell.plain import counted, plain
from stainbook.pages.shell.pressing import pressed
from stainbook.stage_words import stage_name

TICK = 10.0  # seconds between two looks at the clock
AT_ONCE = 25  # pieces that are listed; more when asked for
OFFERED = 3  # pieces of the tray that was taken out last, each with a press that leads to its readings


# ---------------------------------------------------------------- in the furnace


def in_furnace() -> None:
    """The trays that are in, each with its time and what may be pressed."""
    found = case_source.lab().tray.in_furnace()
    if found:
        st.subheader(words.IN_TITLE, anchor=False)
    for one in found:
        with st.container(border=True):
            _one_in(one)


def _one_in(one: TrayShown) -> None:
    tray, face = one.tray, case_source.lab().tray
    facts = [tray.programme, tray.furnace, tray.operator]
    st.markdown(f"**{words.WHAT.format(kind=kinds()[tray.kind], cases=joined(tray.cases))}**")
    since = words.SINCE.format(at=wording.moment(tray.put_in_at), name=one.by)
    st.markdown(joined([since, *map(plain, filter(None, facts))], " · "))
    time_to_go(one)
    with st.container(horizontal=True):
        if pressed(counted(words.OUT, len(tray.cases)), type="primary", key=f"out {tray.tray}"):
            do(lambda: _out(tray.tray), cannot=words.CANNOT)
        if pressed(words.NEVER_IN, key=f"never {tray.tray}"):
            do(lambda: face.not_in(tray.tray), cannot=words.CANNOT)
        if len(tray.cases) > 1:
            with st.popover(words.ONE_NOT_IN):
                for code in tray.cases:
                    if pressed(words.THIS_ONE.format(case=code), key=f"off {tray.tray} {code}"):
                        do(lambda code=code: face.not_in(tray.tray, code), cannot=words.CANNOT)  # type: ignore[misc]


def _out(name: str) -> None:
    case_source.lab().tray.taken_out(name)
    keep("trays taken out", [*kept("trays taken out", []), name])


def time_to_go(one: TrayShown) -> None:
    """How long it still takes, by this machine's clock; the part draws itself anew while the page is open."""
    fragment(_time, every=TICK)(one)


def _time(one: TrayShown) -> None:
    st.markdown(f"**{said_time(one, datetime.now(UTC))}**")


def said_time(one: TrayShown, now: datetime) -> str:
    """The time of a tray in words: minutes to go and when it is due, by the clock on the wall."""
    if one.due is None:
        since = (now - datetime.fromisoformat(one.tray.put_in_at)).total_seconds()
        return counted(words.FOR, max(0, int(since // 60)))
    due, left = wording.moment(one.due.isoformat())[-5:], (one.due - now).total_seconds()
    if left >= 60:
        return counted(words.TO_GO, round(left / 60), due=due)
    if left > 0:
        return words.LESS.format(due=due)
    over = int(-left // 60)
    return counted(words.OVER, over, due=due) if over else words.DUE_NOW.format(due=due)


def taken_out() -> None:
    """What was taken out last on this bench's day: on to its readings, and the press that undoes it."""
    found = case_source.lab().tray.newest_out()
    if found is None or found.tray.tray not in kept("trays taken out", []):
        return
    tray, face = found.tray, case_source.lab().tray
    at = wording.moment(tray.ended_at or found.at)[-5:]
    st.success(counted(words.RECORDED, len(tray.cases), at=at, cases=joined(tray.cases)))
    with st.container(horizontal=True):
        for code in tray.cases[:OFFERED]:
            if st.button(words.READ.format(case=code), key=f"read {code}"):
                choices().case = code
                go_to("readings_page")
        if pressed(words.UNDO_OUT.format(at=at), key="undo tray"):
            do(lambda: face.back_in(tray.tray), cannot=words.CANNOT)


# ---------------------------------------------------------------- what may go in


def listed(wish: TrayWish) -> list[str]:
    """The pieces, each to be ticked where it may go in; gives those that are ticked and may."""
    ticked = [key.removeprefix(_TICKED) for key in kept("ticked pieces", [])]
    rows = case_source.lab().tray.rows(wish, ticked)
    many = kept("tray_rows_shown", AT_ONCE)
    chosen = [row.case for row in rows[:many] if _row(row)]
    if len(rows) > many and st.button(words.MORE):
        keep("tray_rows_shown", many + AT_ONCE)
        st.rerun()
    return chosen


_TICKED = "tray_piece_"


def _row(row: TrayRow) -> bool:
    """One piece; tells whether it is ticked and may go in."""
    key = f"{_TICKED}{row.case}"
    stage = stage_name(row.stage) if row.stage else words.NO_STAGE
    said = words.ROW.format(case=row.case, stage=stage, material=row.material or words.NO_MATERIAL)
    label = counted(words.ROW_PAINTED, row.painted, row=said) if row.painted else said
    on = key in kept("ticked pieces", [])
    st.session_state[key] = on

    def take() -> None:
        others = [one for one in kept("ticked pieces", []) if one != key]
        keep("ticked pieces", [*others, key] if st.session_state[key] else others)

    found = st.checkbox(label, key=key, on_change=take, disabled=row.why is not None and not on)
    if row.why is not None:
        st.markdown(words.WHY_NOT.format(reason=row.why))
    return bool(found) and row.why is None
