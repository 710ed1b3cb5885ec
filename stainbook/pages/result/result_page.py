"""The result of a firing: painted as the sheet says but for what is tapped, read zone by zone, then what came out."""

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
from stainbook.pages.plan.plan_way import may_plan, plan_beforehand
from stainbook.pages.readings.correct_parts import correct_result
from stainbook.pages.readings.one_by_one import OneByOne
from stainbook.pages.result.exception_parts import sheet_plan_of, show_exceptions, written_of
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
from stainbook.pages.shell.long_work import show_pace
from stainbook.pages.shell.page_frame import do, forget, go_to, keep, keeping, kept, show_page
from stainbook.pages.shell.plain import counted, plain
from stainbook.pages.shell.pressing import pressed, tell, writing_button
from stainbook.pages.widgets.markup import pick, segments
from stainbook.pages.widgets.touch import finger_targets
from stainbook.words import safety
from stainbook.words.places import place as place_name
from stainbook.work.documents.book_schemas import RecordResult

NAMED = 4  # zones that are named where many are painted


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
    finger_targets()
    code = head.code
    firing = case_source.case(code).firing.now()
    lying, came_out = st.container(), st.container()
    if kept(f"recorded {code}", None) is not None and firing.lying is None:
        st.subheader(words.NEXT_FIRING, anchor=False)
    if firing.lying is None:
        rows, read, told, under = _to_paint(code, firing)
    else:
        rows, read, told, under = _to_read(code, firing)
    new = _new_stains(code, rows)
    with lying:
        _lying(code, firing)
    with head.press:
        if firing.unread and firing.lying is None:
            _read_first(firing.unread)
        elif rows:
            _act(code, rows, read, new, under, told, lies=firing.lying is not None)
    _left_out(rows)
    with came_out:
        show_recorded(code, busy=any(row.painted.strip() and row.read for row in rows))
    held_outcomes(code)
    correct_result(code, under)


_Told = tuple[list[ResultRow], _Read, FiringFields, Light]


def _to_paint(code: str, firing: FiringNow) -> _Told:
    """Nothing lies on the piece as far as the book knows: what is to be painted, and one press for all of it.

    While the steps are worked out there is nothing to be painted yet; all else of the page is there.
    """
    st.markdown(words.RESULT_LEAD)
    show_cautions((*safety.AT["fire"], *safety.AT["two coats"]))
    desk = case_source.case(code).desk
    result: RecordResult | None = kept(f"recorded {code}", None)
    after = result is not None
    if result is not None and any(one.accepted is False for one in result.outcomes) and may_plan(code):
        plan_beforehand(code)  # it is likelier asked for than these steps
    job = desk.job(beforehand=after)
    known = job.glance(case_source.PATIENCE) if after else job.settled(case_source.PATIENCE)
    if not known:
        show_pace(job)
    table, forms = st.container(key="bench_screen").columns([8, 5], gap="large")
    with forms:
        one = st.container()
        under = light_choice(code)
        told = firing_fields(code, firing, desk.gaps().case)
        read = _readings(code, firing, under)
    if not known:
        return [], read, told, under
    rows = _rows(code, proposed(code, desk.found(job)), read)
    with table:
        list_of(code, rows)
    with one:
        zone_form(code, rows)
    return rows, read, told, under


def _to_read(code: str, firing: FiringNow) -> _Told:
    """Something lies on the piece: what came out is read zone by zone, and what was painted otherwise is tapped."""
    plan = sheet_plan_of(code)
    main, forms = st.container(key="bench_screen").columns([8, 5], gap="large")
    with forms:
        under = light_choice(code)
    reader = OneByOne(code, "after", under)
    face = case_source.case(code).firing
    reader.take(face.to_read(plan))
    firing = face.now()
    part = kept(f"result part {code}", "read")
    view = case_source.case(code).desk.gaps()
    with main:
        pick(
            segments(words.RESULT_PART_LABEL, words.RESULT_PARTS), label=words.RESULT_PART_LABEL, chosen=part,
            key="result part", on_pick=lambda found: keep(f"result part {code}", found),
        )  # fmt: skip
        if part == "painted":
            show_exceptions(code, firing, plan)
        else:
            zones = face.to_read(plan)
            reader.show(zones)
            reader.show_list(zones, key=f"read {code}")
    with forms:
        told = firing_fields(code, firing, view.case)
        read = _readings(code, firing, under)
    show_cautions((*safety.AT["fire"], *safety.AT["two coats"]))
    return _rows(code, written_of(firing), read), read, told, under


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
    if not since or (firing.lying is not None and not any(one.u is not None for one in since.values())):
        return since  # what was read since it was painted was read of this firing; a photo's colours may be left out
    photo = sum(one.u is not None for one in since.values())
    said = words.TAKE_SINCE_PHOTO if photo else words.TAKE_SINCE
    sure = firing.lying is not None  # then they were read after the painting
    label = counted(said, len(since), photo=photo)
    return since if st.checkbox(label, **keeping(f"since {code} {number} {len(since)}", sure)) else {}


def _rows(code: str, steps: Mapping[tuple[int, str], str], read: _Read) -> list[ResultRow]:
    """A row a zone in the order of the sheet: what is pasted goes before what is in the book."""
    number = kept(f"firings {code}", 0)
    order = [(one.tooth, one.zone) for one in case_source.case(code).measured.order() if one.tooth and one.zone]
    pasted = {(one.place.tooth, one.place.zone): one.colour for one in read.found.rows} if read.found else {}
    rows = []
    for key in dict.fromkeys([*order, *steps]):
        tooth, zone = key
        painted = kept(f"painted {code} {tooth} {zone} {number}", steps.get(key, ""))
        rows.append(ResultRow(tooth, zone, painted, pasted.get(key), read.since.get(key), steps.get(key, ""), number))
    return rows


# ---------------------------------------------------------------- the one thing to press


def _read_first(zones: int) -> None:
    """Of a piece that was fired nothing was read yet: the next coat would be painted on a colour that nobody saw."""
    if st.button(counted(words.READ_FIRST, zones), key="read first", type="primary"):
        go_to("readings_page")


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
        as_said = all(row.painted.strip() == row.step.strip() for row in rows)
        label = counted(words.PAINTED_AS_SHEET if as_said else words.NOTE_PAINTED, len(painted))
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
    zones = [ZoneResult(row.tooth, row.zone, row.painted, since=row.since) for row in painted]
    given = read.given if any(row.pasted for row in painted) else None
    try:
        asked = FiringResult(
            zones,
            told.operator,
            told.programme,
            told.furnace,
            told.minutes,
            *under,
            new_stains=new,
            tray=told.tray,
            checked_by=told.checked_by,
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
    keep(f"recorded {code}", None)
    keep(f"firings {code}", kept(f"firings {code}", 0) + 1)  # fields of their own for what is read after
    do(lambda: case_source.case(code).firing.paint(zones, who, new_stains=new), cannot=words.CANNOT_RECORD)


def _lying(code: str, firing: FiringNow) -> None:
    """What lies on the piece unfired, and the way out where it was wiped off."""
    found = firing.lying
    if found is None:
        return
    named = [place_name(one.tooth, one.zone) for one in found.zones]
    names = joined([*named[:NAMED], *(["…"] if len(named) > NAMED else [])])
    said, wipe = st.columns([9, 3], vertical_alignment="center")
    said.info(counted(words.LYING, len(named), at=wording.moment(found.painted_at), zones=names))
    if writing_button(words.WIPED, place=wipe, width="stretch"):
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
