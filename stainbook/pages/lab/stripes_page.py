"""From a jar to its curve: stains added, plates laid out and printed, rows typed, what a stain does and opens."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import streamlit as st

from stainbook.errors import InputError
from stainbook.faces.exchange_types import safe_name
from stainbook.faces.reading_types import Light, Slip
from stainbook.faces.stain_types import (
    PLAN,
    SOAKING_PLAN,
    NewStain,
    PlannedPlate,
    PlateOrder,
    PlateRow,
    StainRow,
    TypedPlates,
)
from stainbook.language import joined
from stainbook.pages.lab import stripes_texts as words
from stainbook.pages.lab.stain_fields import family_field, form_field
from stainbook.pages.readings.typing_parts import Question, drop_drafts, forget_typed, show_form, typed_in
from stainbook.pages.shell import case_source, texts, wording
from stainbook.pages.shell.light_choice import light_choice
from stainbook.pages.shell.page_frame import do, forget, in_this_language, keep, keeping, kept, show_page, visit
from stainbook.pages.shell.plain import bare, counted, plain
from stainbook.pages.shell.pressing import pressed, tell, tell_then
from stainbook.pages.widgets.markup import pick, segments, show_markup
from stainbook.pages.widgets.reach_plot import share_plot
from stainbook.pages.widgets.reader import TypedEntry
from stainbook.pages.widgets.stripe_tables import kind_words, listed_markup, opened_markup, plan_markup

ENTRY = ("name", "lot", "family", "form")  # fields of a stain that are emptied once it is entered
CLEAR = "clear"
UNDONE = 4  # removed plates that can be brought back by a press
FORM, FORM_AGAIN = "plates", "plates_again"  # under which typed rows are kept


def _draw() -> None:
    stains = case_source.lab().stains
    rows, waiting = stains.rows(), stains.waiting_plates()
    if kept("stripes_visit", None) != visit():  # what is likely meant now, until another step is chosen
        keep("stripes_visit", visit())
        keep("stripes_step", _first(rows, waiting))
    step = kept("stripes_step")
    pick(
        segments(words.STEPS_LABEL, words.STEPS), label=words.STEPS_LABEL, chosen=step, key="stripes_steps",
        on_pick=lambda found: keep("stripes_step", found),
    )  # fmt: skip
    drop_drafts()
    st.markdown(words.LEAD[step])
    if step == "stains":
        _stains(rows)
    elif step == "plates":
        _plates(rows)
    elif step == "rows":
        _rows(waiting)
    else:
        _curve(rows)


def _first(rows: Sequence[StainRow], waiting: Sequence[PlannedPlate]) -> str:
    """The step that is likely meant: stains, then plates, then what waits to be read."""
    named = [one for one in rows if one.name != CLEAR]
    return "stains" if not named else "rows" if waiting else "curve" if any(one.all for one in named) else "plates"


def _go(step: str) -> None:
    keep("stripes_step", step)
    st.rerun()


# ---------------------------------------------------------------- a stain


def _stains(rows: Sequence[StainRow]) -> None:
    left, right = st.columns([2, 3], gap="large")
    with left:
        name = st.text_input(words.NAME, help=words.NAME_HELP, **keeping("stain_name")).strip()
        form = form_field(words.FORM, key="stain_form")
        family = family_field(words.FAMILY, key="stain_family")
        system = st.text_input(words.SYSTEM, help=words.SYSTEM_HELP, **keeping("stain_system"))
        lot = st.text_input(words.LOT, **keeping("stain_lot"))
        known = any(one.name == name for one in rows)
        label = words.CHANGE.format(stain=name) if known else words.ADD
        if pressed(label, type="primary", disabled=not name):
            try:
                case_source.lab().stains.enter(NewStain(name, form, family, system, lot))
            except InputError as error:
                tell(texts.CANNOT.format(reason=error))
                return
            for field in ENTRY:
                forget(f"stain_{field}")
            st.rerun()
    with right:
        if not rows:
            st.markdown(words.NONE_LISTED)
            return
        show_markup(listed_markup(rows), key="listed")
        if pressed(words.TO_PLATES, looks=True):
            _go("plates")


# ---------------------------------------------------------------- plates


def _plates(rows: Sequence[StainRow]) -> None:
    names = [one.name for one in rows if one.name != CLEAR and one.kind in ("surface", "infiltrating")]
    if not names:
        st.info(words.NONE_LISTED)
        return
    left, right = st.columns(2, gap="large")
    with left:
        new = [one.name for one in rows if one.name in names and not one.stripes] or names
        chosen = st.multiselect(words.CHOOSE, names, format_func=bare, **keeping("plate_stains", new[:4]))
        soaks = [one.kind == "infiltrating" for one in rows if one.name in chosen]
        plan = SOAKING_PLAN if soaks and all(soaks) else PLAN
        kinds = {kind_words(share, coats): (share, coats) for share, coats in plan}
        picked = st.multiselect(words.KINDS_LABEL, list(kinds), **keeping(f"plate kinds {len(plan)}", list(kinds)[:3]))
        room = st.select_slider(words.ROOM, list(range(2, 21)), help=words.ROOM_HELP, **keeping("plate_room", 8))
        plates = st.text_input(words.PLATES, help=words.PLATES_HELP, **keeping("plate_names"))
        material = st.text_input(texts.MATERIAL, **keeping("plate_material", "zirconia"))
        who = st.text_input(words.WHO, **keeping("plate_who"))
        programme = st.text_input(words.PROGRAMME, **keeping("plate_programme"))
    with right:
        order = PlateOrder(
            tuple(chosen), tuple(filter(None, map(str.strip, plates.replace(";", ",").split(",")))), room=room,
            operator=who.strip() or None, programme=programme.strip() or None, material=material.strip() or None,
            kinds=tuple(kinds[one] for one in picked if one in kinds),
        )  # fmt: skip
        found = case_source.lab().stains.laid_out(order)
        plate_count = counted(words.PLATE_COUNT, len(found.plates))
        st.markdown(words.COUNTED.format(plates=plate_count, stripes=counted(words.STRIPE_COUNT, len(found.stripes))))
        if pressed(words.KEEP_PLAN, type="primary"):
            case_source.lab().stains.keep_plates(order)
            keep("plates_kept", True)
            _go("rows")
        show_markup(plan_markup(found), key="plan")


# ---------------------------------------------------------------- rows


def _rows(waiting: Sequence[PlannedPlate]) -> None:
    if kept("rows_saved"):
        st.success(kept("rows_saved"))
        if pressed(words.SEE, looks=True, type="primary"):
            _go("curve")
    if not waiting:
        st.info(words.NO_PLATES)
    _again(_waiting(waiting) if waiting else None)
    _bring_back()


def _waiting(waiting: Sequence[PlannedPlate]) -> tuple[Light, str]:
    """The rows of plates that wait; gives the light and the face that were said."""
    if kept("plates_kept", False):
        st.info(words.KEPT)
    names = [one.plate for one in waiting]
    which, face, light = st.columns([4, 3, 3], vertical_alignment="bottom")
    if any(one not in names for one in kept("plates_read", [])):
        forget("plates_read")
    with which:
        plates = st.multiselect(words.WHICH, names, format_func=bare, **keeping("plates_read", names))
    with face:
        seen = st.selectbox(
            words.FACE, list(words.FACES), format_func=words.FACES.__getitem__, **keeping("plate_face", "matt")
        )
    with light:
        under = light_choice()
    shown = [one for one in waiting if one.plate in plates]
    if not shown:
        return under, seen
    st.download_button(
        words.SHEET, in_this_language(partial(case_source.lab().stains.plates_sheet, plates)),
        safe_name("plates", "html"), "text/html", on_click="ignore",
    )  # fmt: skip
    rows = [(row.sample, joined([one.plate, _named(row)], ": ")) for one in shown for row in one.rows]
    answered = show_form(FORM, rows, under, question=_asks(FORM, plates, under, seen))
    told = TypedPlates(tuple(plates), typed_in(FORM), under, seen)
    for line in case_source.lab().stains.plate_questions(told):
        st.warning(plain(line))
    n = len(told.typed)
    if pressed(counted(words.SAVE_ROWS, n), key="save_rows", type="primary", disabled=not (n and answered)):
        _save(told)
    _remove(shown)
    return under, seen


def _asks(form: str, plates: Sequence[str], light: Light, face: str) -> Question:
    """What is asked about a row as it is typed, by the rows that were typed before."""

    def question(entry: TypedEntry, name: str) -> Slip | None:
        told = TypedPlates(tuple(plates), typed_in(form), light, face)
        return case_source.lab().stains.row_question(told, entry.key, entry.text, name)

    return question


def _again(said: tuple[Light, str] | None) -> None:
    """A stripe that was typed wrong: its row is typed once more, and the newest reading counts."""
    read = {one.plate: one for one in case_source.lab().stains.read_stripes()}
    if not read:
        return
    with st.expander(words.AGAIN, expanded=kept("plate_again") in read):
        which, light = st.columns([4, 3], vertical_alignment="bottom")
        plate = which.selectbox(
            words.AGAIN_WHICH, list(read), format_func=bare, index=None, **keeping("plate_again", None)
        )
        if plate not in read:
            return
        st.caption(words.AGAIN_LEAD)
        if said is None:
            with light:
                said = light_choice(), "matt"
        under, face = said
        again = [(row.sample, _named(row)) for row in read[plate].rows]
        was = {row.sample: wording.three(row.read) if row.read else words.A_SPECTRUM for row in read[plate].rows}
        answered = show_form(FORM_AGAIN, again, under, question=_asks(FORM_AGAIN, [plate], under, face), before=was)
        told = TypedPlates((plate,), typed_in(FORM_AGAIN), under, face)
        n = len(told.typed)
        if pressed(counted(words.SAVE_ROWS, n), key="save_again", type="primary", disabled=not (n and answered)):
            _save(told)


def _remove(shown: Sequence[PlannedPlate]) -> None:
    """A lay-out that nobody paints is removed, plate by plate as they are chosen."""
    st.markdown(words.REMOVE_LEAD)
    n = sum(row.number > 0 for one in shown for row in one.rows)
    names = [one.plate for one in shown]
    if pressed(counted(words.REMOVE, n, plates=joined(names)), key="remove plates"):
        try:
            removed = case_source.lab().stains.remove_plates(names)
        except InputError as error:
            tell(texts.CANNOT.format(reason=error))
            return
        forget("plates_read")
        tell_then(words.REMOVED.format(plates=joined(removed)))
        st.rerun()


def _bring_back() -> None:
    """Undo for each plate that was removed, the newest first."""
    for plate in list(case_source.lab().stains.removed_plates())[:UNDONE]:
        if pressed(words.BRING_BACK.format(plate=plate), key=f"bring back {plate}"):
            do(partial(case_source.lab().stains.bring_back, plate), cannot=texts.CANNOT)


def _named(row: PlateRow) -> str:
    return row.painted if row.number == 0 else words.ROW.format(number=row.number, painted=row.painted)


def _save(told: TypedPlates) -> None:
    try:
        with st.spinner(words.LEARNING, show_time=True):
            found = case_source.lab().stains.read_plates(told)
    except InputError as error:
        tell(words.NOT_SAVED.format(reason=error))
        return
    learnt = [one.stain for one in found.stains if one.chips and one.stain != CLEAR]
    told_of = [line for one in found.stains for line in one.warnings if one.chips]
    keep("rows_saved", words.SAVED.format(stains=joined(learnt), warnings=joined([*found.warnings, *told_of], " ")))
    keep("plates_kept", False)
    keep("reach_stain", learnt[0] if learnt else "")
    for form in (FORM, FORM_AGAIN):
        forget_typed(form)
    for chosen in ("plates_read", "plate_again"):
        forget(chosen)
    st.rerun()


# ---------------------------------------------------------------- the curve


def _curve(rows: Sequence[StainRow]) -> None:
    names = [one.name for one in rows if one.name != CLEAR]
    if not names:
        st.info(words.NONE_LISTED)
        return
    if kept("reach_stain") not in names:
        keep("reach_stain", next((one.name for one in rows if one.all and one.name in names), names[0]))
    name = st.selectbox(words.STAIN, names, format_func=bare, width=320, **keeping("reach_stain"))
    found = case_source.lab().stains.reach(name)
    if found.plate is None:
        st.info(words.NO_CURVE.format(stain=name))
        return
    st.markdown(f"**{words.CURVE.format(stain=name, plate=found.plate)}**  \n{words.DOTS}")
    value, chroma = st.columns(2)
    for place, axis in ((value, "L"), (chroma, "C")):
        place.vega_lite_chart(spec=share_plot(found.colours, axis), width="content", theme=None, alt=words.DOTS)
    st.markdown(f"**{words.OPENS}**")
    if not found.looked_at:
        st.markdown(words.OPENS_NONE)
        return
    within = sum(one.within for one in found.opened)
    st.markdown(words.OPENED.format(within=within, zones=found.looked_at, nearer=len(found.opened) - within))
    if found.opened:
        show_markup(opened_markup(found.opened[:8]), key="opened")


show_page(texts.PAGES["stripes"], _draw, cannot=texts.CANNOT)
