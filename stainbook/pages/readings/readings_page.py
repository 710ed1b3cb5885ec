"""Readings of a case: typed, pasted or dropped, looked at, stored; then how far each zone is from its target."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from stainbook.errors import InputError
from stainbook.faces.firing_types import Given, Preview, ReadingPlace
from stainbook.faces.reading_types import Light
from stainbook.language import joined
from stainbook.pages.case.case_head import case_head
from stainbook.pages.case.case_parts import bench_sheet
from stainbook.pages.case.page_choices import choices
from stainbook.pages.plan.plan_way import may_plan, to_plan
from stainbook.pages.readings.correct_parts import correct_readings
from stainbook.pages.readings.one_by_one import OneByOne
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell import way_texts as words
from stainbook.pages.shell.caution_parts import show_cautions
from stainbook.pages.shell.light_choice import light_choice
from stainbook.pages.shell.page_frame import forget, go_to, keep, keeping, kept, show_page, visit
from stainbook.pages.shell.plain import bare, counted, plain
from stainbook.pages.shell.pressing import pressed
from stainbook.pages.widgets.arch_svg import key_text
from stainbook.pages.widgets.markup import pick, show_markup
from stainbook.pages.widgets.tables import assigned_markup, lab_cells, order_markup
from stainbook.pages.widgets.touch import finger_targets
from stainbook.pages.widgets.zone_list import list_markup
from stainbook.words import safety
from stainbook.words.places import place as place_name

ROW = 24  # px, of the field for typing


def _draw() -> None:
    head = case_head(texts.PAGES["readings"])
    if head is None:
        return
    finger_targets()
    code, above = head.code, st.container()
    places = case_source.case(code).measured.order()
    sheet, field = st.container(key="bench_screen").columns([6, 5], gap="large")
    below = st.container()
    pad, over, listed = sheet.container(), sheet.container(), sheet.container()
    with over:
        film = _film()
    with field:
        under = light_choice(code)
        reader = OneByOne(code, "before", under, film)
        reader.take(case_source.case(code).measured.to_read())
        given = _given(code, places, under)
        if given is not None:
            given = replace(given, film=film)
    given, found = _sheet(code, places, given, reader, (pad, listed))
    zones = case_source.case(code).measured.to_read()
    whole = given is None and bool(zones) and all(one.got for one in zones)
    with head.press:
        _store(code, given, found, whole=whole)
    if whole:
        with pad.container(key="narrow_next"):
            _next(code, "below")
    if given is None:
        with above if whole else below:  # while zones are typed nothing pushes the field down
            _gaps(code)
        correct_readings(code, under)
    show_cautions(safety.AT["readings"])


def _film() -> str | None:
    """What lies over the face while it is read: nothing, each time that the page is opened anew."""
    if kept("film visit", None) != visit():
        keep("film visit", visit())
        forget("film")
    found = st.selectbox(
        texts.FILM_LABEL, list(texts.FILMS), format_func=texts.FILMS.__getitem__, help=texts.FILM_HELP,
        **keeping("film", "none"),
    )  # fmt: skip
    if found == "none":
        return None
    st.info(texts.UNDER_FILM.format(film=texts.FILMS[found]))
    return str(found)


def _given(code: str, places: tuple[ReadingPlace, ...], light: Light) -> Given | None:
    """What was typed or dropped; None where there is nothing yet."""
    key, round_ = f"typed {code}", kept(f"round {code}", 0)
    text = st.text_area(
        texts.TYPE_HERE, height=ROW * (max(len(places), 4) + 1), placeholder=texts.TYPE_EXAMPLE, **keeping(key)
    )
    file = st.file_uploader(texts.DROP_HERE, key=f"file {code} {round_}")
    order = _order(code, places)
    if file is not None:
        return Given("", file.name, file.getvalue(), *light, order)
    return Given(text, "", b"", *light, order) if text.strip() else None


def _order(code: str, places: tuple[ReadingPlace, ...]) -> tuple[str, ...]:
    """The samples in the order in which they were read; () is that of the sheet."""
    names = {joined([str(row), said(place)], "  "): place.sample for row, place in enumerate(places, 1)}
    with st.expander(texts.OTHER_ORDER):
        key = f"order {code}"
        chosen = st.multiselect(texts.OTHER_ORDER_LABEL, list(names), format_func=bare, **keeping(key, []))
    return tuple(names[one] for one in chosen)


def said(place: ReadingPlace) -> str:
    """``11 cervical``; a sample without a place by its own name."""
    return place_name(place.tooth, place.zone) if place.tooth and place.zone else place.sample


def _sheet(
    code: str,
    places: tuple[ReadingPlace, ...],
    given: Given | None,
    reader: OneByOne,
    into: tuple[DeltaGenerator, DeltaGenerator],
) -> tuple[Given | None, Preview | None]:
    """Zone by zone in order; once something was pasted or dropped, what was recognised and to which zone it goes.

    into : where the row in large letters stands, and where the list
    """
    pad, listed = into
    if given is None:
        zones = case_source.case(code).measured.to_read()
        with pad:
            reader.show(zones)
        with listed:
            reader.show_list(zones, key="order")
        return None, None
    with listed:
        return _recognised(code, places, given)


def _recognised(code: str, places: tuple[ReadingPlace, ...], given: Given) -> tuple[Given, Preview | None]:
    try:
        if st.toggle(words.BY_HAND, **keeping(f"by hand {code}", False)):
            given = _by_hand(code, places, given)
        found = case_source.case(code).measured.preview(given)
    except InputError as error:
        st.warning(texts.CANNOT_READ.format(reason=error))
        show_markup(order_markup(places), key="order")
        return given, None
    st.markdown(texts.ASSIGNED[found.by])
    show_markup(assigned_markup(found), key="assigned")
    _told(found)
    return given, found


def _by_hand(code: str, places: tuple[ReadingPlace, ...], given: Given) -> Given:
    """A row of a table for each reading, with the zone that it is given to."""
    import pandas as pd

    samples = {bare(said(place)): place.sample for place in places}
    names = {sample: name for name, sample in samples.items()}
    read = case_source.case(code).measured.rows(given)
    order = [*names.values()] + [words.LEFT_OUT] * len(read)
    rows = [
        (one.name, *lab_cells(one.colour), names.get(one.name, words.LEFT_OUT if one.name else order[number]))
        for number, one in enumerate(read)
    ]
    table = pd.DataFrame(rows, columns=list(words.HAND_COLUMNS), dtype=str)
    last = words.HAND_COLUMNS[-1]
    chosen = st.data_editor(
        table,
        hide_index=True,
        disabled=list(words.HAND_COLUMNS[:-1]),
        column_config={last: st.column_config.SelectboxColumn(options=[*samples, words.LEFT_OUT], required=True)},
        key=f"by hand {hash((given.text, given.name, given.data))}",
    )
    return replace(given, hand=tuple(samples.get(one, "") for one in chosen[last]))


def _told(found: Preview) -> None:
    if found.left_out:
        st.info(texts.LEFT_OUT.format(names=joined(found.left_out)))
    if found.missing:
        st.info(texts.STILL_MISSING.format(names=joined(map(said, found.missing))))
    for warning in found.warnings:
        st.caption(plain(warning))


def _store(code: str, given: Given | None, found: Preview | None, *, whole: bool) -> None:
    """The one thing to press: store, and once that is done go on to the case."""
    if found is not None and given is not None:
        label = counted(texts.STORE, len(found.rows))
        if pressed(label, key="store", type="primary", disabled=not found.rows):
            new = case_source.case(code).measured.store(given)
            keep(f"stored {code}", new)
            forget(f"typed {code}")
            keep(f"round {code}", kept(f"round {code}", 0) + 1)
            st.rerun()
        return
    if whole and may_plan(code):
        _next(code)
        if st.button(texts.TO_CASE):
            go_to("case_page")
        return
    done = kept(f"stored {code}", None) is not None
    if st.button(texts.TO_CASE, type="primary" if done else "secondary"):
        go_to("case_page")


def _next(code: str, where: str = "") -> None:
    """All is read: on to delivery where no zone is off, else to the plan."""
    if not may_plan(code):
        return
    (waits,) = case_source.lab().cases.standing([code])
    met = waits.job == "judge"
    if met and st.button(words.TO_DELIVER, type="primary", width="stretch", key=f"to deliver {where}"):
        go_to("deliver_page")
    to_plan(code, look="secondary" if met else "primary", where=where)


def _gaps(code: str) -> None:
    """Every zone that was read, in words and numbers."""
    stored = kept(f"stored {code}", None)
    case = code
    if stored is not None:
        st.info(counted(texts.STORED, stored, case=case) if stored else texts.NOTHING_NEW.format(case=case))
    view = case_source.case(code).desk.gaps()
    if not any(zone.gap for zone in view.advised.zones):
        return
    st.subheader(texts.GAP_NOW, anchor=False)

    def take(found: str) -> None:
        tooth, zone = found.split(" ", 1)
        choices().here.zone = int(tooth), zone

    here = choices().here.zone
    pick(
        list_markup(view.advised.zones), label=texts.LIST_LABEL, chosen=key_text(here) if here else None, key="gaps",
        on_pick=take,
    )  # fmt: skip
    bench_sheet(code)


show_page(texts.PAGES["readings"], _draw, cannot=texts.CANNOT, headed=True)
