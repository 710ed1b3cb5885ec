"""The result of a firing: what was painted and read, then what was expected, what came out, and what was learnt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import streamlit as st

from stainbook.errors import InputError
from stainbook.faces.firing_types import FiringNow, FiringResult, Given, Preview, Since, ZoneResult
from stainbook.faces.reading_types import Light
from stainbook.language import joined
from stainbook.pages.case.case_head import case_head
from stainbook.pages.readings.correct_parts import correct_result
from stainbook.pages.result.held_parts import held_outcomes
from stainbook.pages.result.result_parts import (
    FiringFields,
    ResultRow,
    firing_fields,
    list_of,
    proposed,
    show_recorded,
    zone_form,
)
from stainbook.pages.shell import case_source, texts, wording
from stainbook.pages.shell import way_texts as words
from stainbook.pages.shell.caution_parts import show_cautions
from stainbook.pages.shell.light_choice import light_choice
from stainbook.pages.shell.page_frame import do, forget, go_to, keep, keeping, kept, show_page
from stainbook.pages.shell.plain import counted, plain
from stainbook.pages.shell.pressing import pressed, tell
from stainbook.words import safety
from stainbook.words.places import place as place_name


@dataclass(frozen=True, slots=True)
class _Read:
    """What there is of readings after the firing: pasted or dropped now, and in the book since."""

    given: Given | None
    found: Preview | None
    since: Mapping[tuple[int, str], Since]


def _draw() -> None:
    head = case_head(texts.PAGES["result"])
    if head is None:
        return
    code, under = head.code, light_choice(head.code)
    desk, firing = case_source.waited_for(code), case_source.case(code).firing.now()
    told = firing_fields(code, firing, desk.view.case.operator)
    lying, came_out = st.container(), st.container()
    if kept(f"recorded {code}", None) is not None:
        st.subheader(words.NEXT_FIRING, anchor=False)
    st.markdown(words.RESULT_LEAD)
    show_cautions((*safety.AT["fire"], *safety.AT["two coats"]))
    table, forms = st.columns([8, 5], gap="large")
    with forms:
        one = st.container()
        read = _readings(code, firing, under)
    rows = _rows(code, proposed(code, firing, desk), read)
    with table:
        list_of(code, rows)
    with one:
        zone_form(code, rows)
    new = _new_stains(code, rows)
    with lying:
        _lying(code, firing)
    with head.press:
        _act(code, rows, read, new, under, told, lies=firing.lying is not None)
    _left_out(rows)
    with came_out:
        show_recorded(code, busy=any(row.painted.strip() and row.read for row in rows))
    held_outcomes(code)
    correct_result(code, under)


# ---------------------------------------------------------------- readings after the firing


def _readings(code: str, firing: FiringNow, under: Light) -> _Read:
    """Pasted, dropped, or read since in the book, of all zones at once."""
    number = kept(f"firings {code}", 0)
    st.markdown(f"**{words.ALL_READ}**")
    since = _since(code, firing, number)
    text = st.text_area(
        words.TYPE_ALL, height=110, placeholder=texts.TYPE_EXAMPLE, **keeping(f"after all {code} {number}")
    )
    file = st.file_uploader(words.FILE_ALL, key=f"after file {code} {number}")
    if st.button(words.TO_PHOTO, width="stretch"):
        go_to("photo_page")
    if file is None and not text.strip():
        return _Read(None, None, since)
    given = Given("", file.name, file.getvalue(), *under) if file else Given(text, "", b"", *under)
    try:
        found = case_source.case(code).measured.preview(given)
    except InputError as error:
        st.warning(texts.CANNOT_READ.format(reason=error))
        return _Read(None, None, since)
    st.caption(texts.ASSIGNED[found.by])
    for warning in found.warnings:
        st.caption(plain(warning))
    return _Read(given, found, since)


def _since(code: str, firing: FiringNow, number: int) -> Mapping[tuple[int, str], Since]:
    since = firing.since
    if not since:
        return {}
    photo = sum(one.u is not None for one in since.values())
    said = words.TAKE_SINCE_PHOTO if photo else words.TAKE_SINCE
    sure = firing.lying is not None  # then they were read after the painting
    label = counted(said, len(since), photo=photo)
    return since if st.checkbox(label, **keeping(f"since {code} {number} {len(since)}", sure)) else {}


def _rows(code: str, steps: Mapping[tuple[int, str], str], read: _Read) -> list[ResultRow]:
    """A row a zone in the order of the sheet: what is typed for it goes before what is pasted, that before the book."""
    number = kept(f"firings {code}", 0)
    order = [(one.tooth, one.zone) for one in case_source.case(code).measured.order() if one.tooth and one.zone]
    pasted = {(one.place.tooth, one.place.zone): one.colour for one in read.found.rows} if read.found else {}
    rows = []
    for key in dict.fromkeys([*order, *steps]):
        tooth, zone = key
        painted = kept(f"painted {code} {tooth} {zone} {number}", steps.get(key, ""))
        lab = kept(f"after {code} {tooth} {zone} {number}", "").strip()
        rows.append(
            ResultRow(tooth, zone, painted, lab, pasted.get(key), read.since.get(key), steps.get(key, ""), number)
        )
    return rows


# ---------------------------------------------------------------- the one thing to press


def _act(
    code: str,
    rows: Sequence[ResultRow],
    read: _Read,
    new: list[str] | None,
    under: Light,
    told: FiringFields,
    *,
    lies: bool,
) -> None:
    """Record all that was painted, read or not; note it before it is fired; once recorded go on."""
    painted = [row for row in rows if row.painted.strip()]
    read_after = any(row.read for row in painted)
    if read_after or (lies and painted):
        label = counted(words.RECORD if read_after else words.RECORD_UNREAD, len(painted))
        look: Literal["primary", "secondary"] = "primary" if read_after else "secondary"
        if pressed(label, key="record", type=look, disabled=new is None):
            _record(code, painted, read, new or [], under, told)
    else:
        label = counted(words.NOTE_PAINTED, len(painted))
        kind: Literal["primary", "secondary"] = "primary" if kept(f"recorded {code}", None) is None else "secondary"
        if pressed(label, key="note painted", type=kind, disabled=new is None or not painted):
            _note(code, painted, new or [], told.operator)


def _record(
    code: str,
    painted: Sequence[ResultRow],
    read: _Read,
    new: Sequence[str],
    under: Light,
    told: FiringFields,
) -> None:
    zones = [ZoneResult(row.tooth, row.zone, row.painted, row.lab, row.since) for row in painted]
    given = read.given if any(row.pasted for row in painted) else None
    try:
        asked = FiringResult(
            zones, told.operator, told.programme, told.furnace, told.minutes, *under, new_stains=new, tray=told.tray
        )
        result = case_source.case(code).firing.record(asked, given)
    except InputError as error:
        tell(words.CANNOT_RECORD.format(reason=error))
        return
    keep(f"recorded {code}", result)
    keep(f"firings {code}", kept(f"firings {code}", 0) + 1)
    for field in ("minutes", "tray"):
        forget(f"{field} {code}")
    st.rerun()


def _note(code: str, painted: Sequence[ResultRow], new: Sequence[str], who: str | None) -> None:
    zones = [ZoneResult(row.tooth, row.zone, row.painted) for row in painted]
    do(lambda: case_source.case(code).firing.paint(zones, who, new_stains=new), cannot=words.CANNOT_RECORD)


def _lying(code: str, firing: FiringNow) -> None:
    """What lies on the piece unfired, and the way out where it was wiped off."""
    found = firing.lying
    if found is None:
        return
    names = joined(place_name(one.tooth, one.zone) for one in found.zones)
    said, wipe = st.columns([9, 3], vertical_alignment="center")
    said.info(words.LYING.format(at=wording.moment(found.painted_at), zones=names))
    if wipe.button(words.WIPED, width="stretch"):
        case_source.case(code).firing.paint([], found.operator)
        st.rerun()


def _new_stains(code: str, rows: Sequence[ResultRow]) -> list[str] | None:
    """Stains to be entered into the lab's list; None while one is unknown or a mix cannot be read."""
    zones = [ZoneResult(row.tooth, row.zone, row.painted) for row in rows if row.painted.strip()]
    try:
        unknown = case_source.case(code).firing.unknown_stains(zones)
    except InputError as error:
        st.warning(words.CANNOT_RECORD.format(reason=error))
        return None
    if not unknown:
        return []
    names = ", ".join(unknown)
    st.info(words.UNKNOWN_STAIN.format(names=names))
    sure = st.checkbox(words.NEW_STAIN.format(names=names), **keeping(f"new stains {code} {names}", False))
    return unknown if sure else None


def _left_out(rows: Sequence[ResultRow]) -> None:
    read = [row for row in rows if row.read]
    unread = [place_name(row.tooth, row.zone) for row in rows if row.painted.strip() and not row.read]
    bare = [place_name(row.tooth, row.zone) for row in read if not row.painted.strip()]
    if read and unread:
        st.caption(words.NO_READING_AFTER.format(names=joined(unread)))
    if bare:
        st.caption(words.READ_NOT_PAINTED.format(names=joined(bare)))


show_page(texts.PAGES["result"], _draw, cannot=texts.CANNOT, headed=True)
