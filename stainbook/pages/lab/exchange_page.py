"""Exchange: the book handed on, a bundle taken in thing by thing, a case saved and erased."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import partial
from typing import Any

import streamlit as st

from stainbook.errors import InputError
from stainbook.faces import exchange_types as desk
from stainbook.faces.exchange_types import ImportChoice
from stainbook.faces.reading_types import Dropped
from stainbook.faces.server_types import LEAD
from stainbook.language import capitalised, joined
from stainbook.pages.lab import exchange_texts as words
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.long_work import begin, drop, going_on, is_done, needed
from stainbook.pages.shell.page_frame import forget, keep, keeping, kept, show_page
from stainbook.pages.shell.plain import Ours, counted, plain
from stainbook.pages.shell.pressing import pressed, shut, tell, tell_then
from stainbook.work.documents.book_schemas import ImportItem, ImportResult

_PREVIEW, _TAKE = "bundle:looked", "bundle:taken"
TABLE_PX = 420


def _draw() -> None:
    out, into = st.columns([2, 3], gap="large")
    with into:
        _take_in()
    with out:
        _hand_on()
        _a_case()


def _hand_on() -> None:
    st.subheader(words.GIVE, anchor=False)
    st.markdown(words.GIVE_NOTE)
    exchange = case_source.lab().exchange
    with st.container(horizontal=True):
        given = ((words.BUNDLE, "zip", False), (words.WHOLE, "zip", True), (words.WORKBOOK, "xlsx", False))
        for label, kind, history in given:
            st.download_button(
                label, partial(exchange.packed_book, kind, history=history), desk.book_name(kind, history=history),
                desk.KINDS[kind], on_click="ignore", **shut(),
            )  # fmt: skip


# ---------------------------------------------------------------- in


def _take_in() -> None:
    st.subheader(words.TAKE, anchor=False)
    file = st.file_uploader(
        words.DROP, desk.TAKEN, help=words.DROP_HELP, key=f"bundle {kept('bundle_round', 0)}",
        max_upload_size=desk.MOST_MB,
    )  # fmt: skip
    try:
        is_taking = _is_taking()
    except InputError as error:
        tell(words.REFUSED.format(reason=error))
        is_taking = False
    if file is None or is_taking:
        return
    dropped = Dropped(file.name, file.getvalue())
    try:
        exchange = case_source.lab().exchange
        about = dropped, case_source.lab().newest()
        items = needed(_PREVIEW, about, lambda: exchange.begin(exchange.preview, dropped))
        if items is not None:
            _choose(dropped, items)
    except InputError as error:
        tell(words.REFUSED.format(reason=error))


def _is_taking() -> bool:
    """Whether a bundle is being taken in; what came of it is said once, and what was stopped can be chosen anew."""
    job = going_on(_TAKE).get(_TAKE)
    if job is None:
        return False
    if not is_done(_TAKE, job) and not job.was_stopped:
        return True
    drop(_TAKE)
    if job.was_stopped:
        return False
    done: ImportResult = job.result()
    said = Counter("left" if item.action == "skip" else "taken" for item in done.items)
    told = [
        words.DONE.format(taken=said["taken"], left=said["left"]),
        *(plain(capitalised(one)) for one in done.warnings),
    ]
    tell_then(Ours(" ".join(told)))
    keep("bundle_round", kept("bundle_round", 0) + 1)
    st.rerun()
    return True


def _choose(dropped: Dropped, items: Sequence[ImportItem]) -> None:
    by = Counter(item.status for item in items)
    st.markdown(words.FOUND.format(new=by["new"], differs=by["differs"], same=by["same"]))
    open_items = [item for item in items if item.status != "same"]
    if not open_items:
        st.info(words.NOTHING_NEW)
        return
    rows = st.data_editor(
        [_row(item) for item in open_items], key=f"choices {kept('bundle_round', 0)}", hide_index=True,
        height=min(TABLE_PX, 36 * len(open_items) + 38), disabled=["kind", "name", "status", "in_what"],
        column_config=_columns(),
    )  # fmt: skip
    choices = [_choice(item, row) for item, row in zip(open_items, rows, strict=True)]
    wanted = sum(one.action != "skip" for one in choices)
    if pressed(counted(words.TAKE_THEM, wanted), key="take them", type="primary", disabled=not wanted):
        exchange = case_source.lab().exchange
        begin(_TAKE, None, lambda: exchange.begin(exchange.take_in, dropped, choices))
        st.rerun()


def _row(item: ImportItem) -> dict[str, str]:
    return {
        "kind": words.KINDS.get(item.kind, item.kind),
        "name": item.name,
        "status": words.STATUS[item.status],
        "in_what": item.in_what or "",
        "action": words.ACTIONS[item.action],
        "new_name": "",
    }


def _columns() -> dict[str, Any]:
    columns = {name: st.column_config.TextColumn(label) for name, label in words.COLUMNS.items()}
    choices = list(words.ACTIONS.values())
    return {
        **columns,
        "action": st.column_config.SelectboxColumn(words.COLUMNS["action"], options=choices, required=True),
    }


def _choice(item: ImportItem, row: dict[str, str]) -> ImportChoice:
    action = next(key for key, label in words.ACTIONS.items() if label == row["action"])
    if (action == "erase") != (item.action == "erase") and "skip" not in (action, item.action):
        raise InputError(words.NO_ERASE.format(kind=words.KINDS.get(item.kind, item.kind), name=item.name))
    if action == "rename" and not desk.can_rename(item.kind):
        raise InputError(words.NO_RENAME.format(kind=words.KINDS.get(item.kind, item.kind), name=item.name))
    return ImportChoice(item.kind, item.name, action, row["new_name"] or "")


# ---------------------------------------------------------------- a case that leaves


def _a_case() -> None:
    st.subheader(words.LEAVE, anchor=False)
    exchange = case_source.lab().exchange
    codes = case_source.lab().cases.listed().newest()
    if not codes:
        st.markdown(words.NO_CASE)
        return
    if kept("leaving") not in codes:
        forget("leaving")
    code = st.selectbox(words.CASE, codes, **keeping("leaving", codes[0]))
    st.download_button(
        words.SAVE_CASE.format(case=code), partial(exchange.packed_case, code), desk.safe_name(code, "zip"),
        desk.KINDS["zip"], on_click="ignore", **shut(),
    )  # fmt: skip
    with st.expander(words.ERASE.format(case=code)):
        st.markdown(f"{words.ERASE_NOTE}  \n**{words.DUTY}**")
        sure = st.checkbox(words.SURE.format(case=code), key=f"sure {code}")
        why = st.text_input(words.WHY, **keeping("erase_why"))
        if pressed(words.ERASE.format(case=code), needs=LEAD, disabled=not sure):
            try:
                done = exchange.erase(code, why=why, sure=True, folder=case_source.folder())
            except InputError as error:
                tell(texts.CANNOT.format(reason=error))
                return
            tell_then(words.ERASED.format(records=done.records, warnings=joined(done.warnings, ". ")))
            for key in ("leaving", "erase_why"):
                forget(key)
            st.rerun()


show_page(texts.PAGES["exchange"], _draw, cannot=texts.CANNOT)
