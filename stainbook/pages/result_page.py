"""The result of a firing: what was painted and read, then what was expected, what came out, and what was learnt."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import streamlit as st

from stainbook.errors import InputError
from stainbook.pages import case_source, texts, wording
from stainbook.pages.case_choice import some_case
from stainbook.pages.case_parts import chosen_move
from stainbook.pages.case_state import choices
from stainbook.pages.frame import forget, go_to, keep, keeping, kept, show_page, visit
from stainbook.pages.light_choice import Light, light_choice
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.tables import recorded_markup
from stainbook.work.book_schemas import RecordResult
from stainbook.work.painted import written
from stainbook.work.results import FiringResult, ZoneResult, record_result, unknown_stains
from stainbook.work.typed_readings import order_of
from stainbook.work.views import CaseView

if TYPE_CHECKING:
    import pandas as pd

LAB = ("L", "a", "b")


def _draw() -> None:
    case, light, who, do = st.columns([4, 3, 3, 4], vertical_alignment="bottom")
    with case:
        path = some_case(choices())
    if path is None:
        return
    with light:
        under = light_choice(path)
    view = case_source.case_view(path)
    name = who.text_input(texts.WHO, **keeping(f"who {path}", view.case.operator or ""))
    st.markdown(texts.RESULT_LEAD)
    rows = _typed(path, view)
    zones = [row for row in rows if any(row.lab)]
    new = _new_stains(path, zones)
    with do:
        result = _record(path, zones, new, under, name.strip() or None)
    if isinstance(result, InputError):
        st.warning(texts.CANNOT_RECORD.format(reason=result))
    _left_out(rows)
    _shown(path)


def _typed(path: str, view: CaseView) -> list[ZoneResult]:
    """One row a zone that is read: what was painted, and L*, a*, b* after."""
    key = f"result {path}"
    if kept("result shown", None) != (visit(), path):  # what it starts from must not change while it is edited
        keep("result shown", (visit(), path))
        keep(f"{key} base", _table(path, view, kept(f"{key} typed", None)))
    typed = st.data_editor(
        kept(f"{key} base"),
        key=f"{key} {kept('firings recorded', 0)}",  # an editor of its own for each firing
        hide_index=True,
        disabled=["zone"],
        column_config={
            "zone": st.column_config.TextColumn(texts.RESULT_COLUMNS["zone"], width="small"),
            "painted": st.column_config.TextColumn(
                texts.RESULT_COLUMNS["painted"], help=texts.PAINTED_HELP, width="large"
            ),
            **{axis: st.column_config.TextColumn(texts.RESULT_COLUMNS[axis], width="small") for axis in LAB},
        },
    )
    keep(f"{key} typed", typed)
    return [_zone_result(row) for row in typed.to_dict("records")]


def _table(path: str, view: CaseView, typed: pd.DataFrame | None) -> pd.DataFrame:
    """What was typed before, else the chosen steps; a step that was not touched follows the choice on the case page."""
    import pandas as pd

    chosen = choices()
    steps = {}
    for zone in view.advised.zones:
        move = chosen_move(zone, chosen)
        steps[f"{zone.tooth} {zone.zone}"] = written(move.layers) if move is not None and move.kind == "add" else ""
    order = order_of(case_source.book_url(), Path(path))
    places = dict.fromkeys(f"{one.tooth} {one.zone}" for one in order if one.tooth)
    before = {row["zone"]: row for row in typed.to_dict("records")} if typed is not None else {}
    proposed = kept(f"result {path} proposed", {})
    keep(f"result {path} proposed", steps)
    rows = []
    for place in places:
        old = before.get(place)
        touched = old is not None and old["painted"] != proposed.get(place, "")
        painted = old["painted"] if old is not None and touched else steps.get(place, "")
        rows.append({"zone": place, "painted": painted, **{axis: old[axis] if old is not None else "" for axis in LAB}})
    return pd.DataFrame(rows, columns=["zone", "painted", *LAB], dtype=str)


def _zone_result(row: dict[str, str]) -> ZoneResult:
    tooth, zone = row["zone"].split(" ", 1)
    L, a, b = (str(row[axis] or "").strip() for axis in LAB)
    return ZoneResult(int(tooth), zone, str(row["painted"] or "").strip(), (L, a, b))


def _new_stains(path: str, zones: Sequence[ZoneResult]) -> list[str] | None:
    """Stains to be entered into the lab's list; None while one is unknown or a mix cannot be read."""
    try:
        unknown = unknown_stains(case_source.book_url(), zones)
    except InputError as error:
        st.warning(texts.CANNOT_RECORD.format(reason=error))
        return None
    if not unknown:
        return []
    names = ", ".join(unknown)
    st.info(texts.UNKNOWN_STAIN.format(names=names))
    sure = st.checkbox(texts.NEW_STAIN.format(names=names), **keeping(f"new stains {path} {names}", False))
    return unknown if sure else None


def _record(
    path: str, zones: Sequence[ZoneResult], new: list[str] | None, light: Light, who: str | None
) -> InputError | None:
    """The one thing to press: record, and once that is done go back to the case; what stands in the way."""
    if not zones and kept(f"recorded {path}", None) is not None:
        if st.button(texts.TO_CASE, type="primary", width="stretch"):
            go_to("case_page")
        return None
    said = wording.counted(texts.RECORD, len(zones))
    if not st.button(said, type="primary", width="stretch", disabled=not zones or new is None):
        return None
    told = FiringResult(zones, who, None, None, None, *light, new_stains=new or [])
    try:
        result = record_result(case_source.book_url(), Path(path), told)
    except InputError as error:
        return error
    keep(f"recorded {path}", result)
    keep("firings recorded", kept("firings recorded", 0) + 1)
    for key in (f"result {path} typed", "result shown"):
        forget(key)
    st.rerun()
    return None


def _left_out(rows: Sequence[ZoneResult]) -> None:
    names = [f"{row.tooth} {row.zone}" for row in rows if row.painted and not any(row.lab)]
    if names and len(names) < len(rows):
        st.caption(texts.NO_READING_AFTER.format(names=", ".join(names)))


def _shown(path: str) -> None:
    """What was expected, what came out, and what was learnt, of the last firing recorded here."""
    result: RecordResult | None = kept(f"recorded {path}", None)
    if result is None:
        return
    st.subheader(wording.counted(texts.RECORDED, len(result.outcomes), case=case_source.case_name(path)), anchor=False)
    show_markup(recorded_markup(result.outcomes), key="recorded")
    if all(one.expected is None for one in result.outcomes):
        st.caption(texts.NOT_EXPECTED)
        return
    st.markdown(f"**{texts.LEARNT}**")
    for one in result.learnt:
        st.markdown(f"- {one.sentence}")
    if not result.learnt:
        st.markdown(texts.NOTHING_LEARNT)


show_page(texts.PAGES["result"], _draw, cannot=texts.CANNOT)
