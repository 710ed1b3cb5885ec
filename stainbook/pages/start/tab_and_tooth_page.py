"""A tab and a tooth in ten minutes: no case, no file, no furnace; then what was painted, and before beside after."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from stainbook.errors import InputError
from stainbook.faces.firing_types import SAID_FROM, PieceView, ZoneResult
from stainbook.faces.reading_types import Light, Stated
from stainbook.faces.stain_types import NewStain
from stainbook.faces.wish_types import TabAndTooth, is_piece
from stainbook.language import joined
from stainbook.pages.case.page_choices import choices
from stainbook.pages.lab.stain_fields import family_field
from stainbook.pages.readings.typing_parts import drop_drafts, forget_typed, show_form, typed_in
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.light_choice import LIGHTS, light_choice
from stainbook.pages.shell.page_frame import do, forget, go_to, keep, keeping, kept, show_page, to_stripes
from stainbook.pages.shell.plain import bare, counted, plain
from stainbook.pages.shell.pressing import pressed, tell
from stainbook.pages.start import first_texts as words
from stainbook.pages.widgets.display_drawing import display_markup
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.piece_tables import before_after_markup, gap_markup
from stainbook.words.light_names import viewing
from stainbook.words.places import place, zone_name

ROWS = "pair"
SIDES = ("tab", "tooth")


def _draw() -> None:
    code = _piece()
    if code is None:
        _read()
        return
    drop_drafts()
    view = case_source.case(code).firing.piece()
    st.markdown(words.SAVED_AS.format(code=code))
    if view.after:
        _beside(view)
    elif view.painted:
        _after(view)
    else:
        _paint(view)


def _piece() -> str | None:
    """The piece that is chosen, or that the address names; None for one that is to be read."""
    known = case_source.lab().cases.listed()
    code = kept("piece", None)
    if code is None:
        code = known.of_id(str(st.query_params.get("case", ""))) or ""
    if not code or not is_piece(code) or code not in known.ids:
        return None
    keep("piece", code)
    choices().case = code
    st.query_params["case"] = known.ids[code]
    return str(code)


# ---------------------------------------------------------------- read


def _read() -> None:
    st.markdown(words.PAIR_LEAD)
    light = _light()
    tooth, surface, material = st.columns(3)
    number = tooth.text_input(words.TOOTH, help=words.TOOTH_HELP, **keeping("pair_tooth", "11"))
    stage = surface.selectbox(
        words.SURFACE, list(words.SURFACES), format_func=words.SURFACES.__getitem__, **keeping("pair_stage", "blasted")
    )
    made_of = material.text_input(texts.MATERIAL, **keeping("pair_material", "zirconia"))
    zones = TabAndTooth({}, {}, light, number).zones
    titles = (words.TAB, words.TOOTH_ROWS)
    rows = [
        (f"{side} {zone}", joined([title, zone_name(zone)], ": "))
        for side, title in zip(SIDES, titles, strict=True)
        for zone in zones
    ]
    answered = show_form(ROWS, rows, light, tissue="tooth")
    typed = typed_in(ROWS)
    whole = {zone for zone in zones if all(f"{side} {zone}" in typed for side in SIDES)}
    by_side = [{zone: typed[f"{side} {zone}"] for zone in zones if f"{side} {zone}" in typed} for side in SIDES]
    asked = TabAndTooth(by_side[0], by_side[1], light, number, made_of.strip(), stage)
    if pressed(words.KEEP, type="primary", disabled=not (whole and answered)):
        _save(asked)
    if whole:
        tab, read = ({zone: side[zone] for zone in whole} for side in by_side)
        sure = TabAndTooth(tab, read, light, number)
        st.markdown(f"**{words.GAP}**")
        show_markup(gap_markup(case_source.lab().cases.gaps_typed(sure)), key="pair_gaps")


def _light() -> Light:
    """Light and observer: asked once, with a drawing; from then on those of the lab's instrument."""
    if case_source.lab().readings.instruments().instruments:
        with st.container(width=420):
            return light_choice()
    drawn, asked = st.columns([4, 5], vertical_alignment="center")
    with drawn:
        show_markup(display_markup(), key="display")
    lights = {viewing(light, observer): (light, observer) for light, observer in LIGHTS}
    with asked:
        st.markdown(f"{words.DISPLAY} {words.NOT_SHOWN}")
        found = st.selectbox(
            texts.LIGHT_LABEL, list(lights), format_func=bare, **keeping("pair_light", next(iter(lights)))
        )
    return Light(*lights[found])


def _save(asked: TabAndTooth) -> None:
    lab, light = case_source.lab(), asked.light
    try:
        code = lab.cases.make_piece(asked)
    except InputError as error:
        tell(words.CANNOT_PAIR.format(reason=error))
        return
    if light.instrument is None and not lab.readings.instruments().instruments:
        lab.settings.keep_instrument(words.OWN_NAME, Stated(light.illuminant, light.observer))
    forget_typed(ROWS)
    keep("piece", code)
    st.rerun()


# ---------------------------------------------------------------- paint


def _paint(view: PieceView) -> None:
    show_markup(gap_markup(view.before), key="pair_gaps")
    st.markdown(f"**{words.PAINT}** {words.PAINT_LEAD}")
    said = []
    for tooth, zone in view.zones:
        text = st.text_input(
            plain(place(tooth, zone)), placeholder=bare(words.PAINT_EXAMPLE), **keeping(f"pair {view.code} {zone}")
        )
        said.append(ZoneResult(tooth, zone, text))
    who = st.text_input(words.WHO, **keeping("pair_who"))
    firing = case_source.case(view.code).firing
    painted = [one for one in said if one.painted.strip()]
    new = firing.unknown_stains(painted)
    families = {name: family_field(words.FAMILY_OF.format(stain=name), key=f"pair family {name}") for name in new}
    label = words.PAINTED_NEW.format(names=joined(new)) if new else words.PAINTED

    def act() -> None:
        case_source.lab().stains.enter(*(NewStain(name, family=family) for name, family in families.items()))
        firing.paint(painted, who.strip() or None)

    if pressed(label, type="primary", disabled=not painted):
        do(act, cannot=words.CANNOT_PAIR)


# ---------------------------------------------------------------- after the glaze


def _after(view: PieceView) -> None:
    st.markdown(f"**{words.AFTER}**")
    lines = [words.LIES.format(zone=place(*key), painted=painted) for key, painted in view.painted.items()]
    st.markdown("  \n".join(lines))
    light = light_choice()
    name = f"after {view.code}"
    answered = show_form(name, [(zone, zone_name(zone)) for _, zone in view.painted], light, tissue="tooth")
    firing = case_source.case(view.code).firing

    def act() -> None:
        with st.spinner(words.SAVING, show_time=True):
            firing.record_piece(typed_in(name), light)
        forget_typed(name)

    with st.container(horizontal=True):
        ready = bool(typed_in(name)) and answered
        if pressed(words.RECORD, type="primary", disabled=not ready):
            do(act, cannot=words.CANNOT_PAIR)
        if pressed(words.WIPED):
            do(lambda: firing.paint([]), cannot=words.CANNOT_PAIR)


def _beside(view: PieceView) -> None:
    st.markdown(f"**{words.DONE}**")
    show_markup(before_after_markup(view), key="before_after")
    _told(view)
    with st.container(horizontal=True):
        if pressed(words.ANOTHER, looks=True, type="primary"):
            _new()
        if pressed(words.OPEN_CASE, looks=True):
            go_to("case_page")


def _told(view: PieceView) -> None:
    """What the program would have said, from the fourth piece on."""
    if view.said:
        st.markdown(f"**{words.SAID}**")
        _lines([joined([place(*key), sentence], ": ") for key, sentence in view.said.items()])
    elif view.number < SAID_FROM:
        st.markdown(counted(words.NOT_YET, view.number, first=SAID_FROM))
    else:
        st.markdown(words.NOTHING_SAID)
        to_stripes()


def _lines(said: Sequence[str]) -> None:
    st.markdown("\n".join(f"- {plain(one)}" for one in said))


def _new() -> None:
    keep("piece", "")
    st.query_params.clear()
    for name in ("pair_tooth", "pair_stage"):
        forget(name)
    st.rerun()


show_page(texts.PAGES["tab_and_tooth"], _draw, cannot=words.CANNOT_PAIR)
