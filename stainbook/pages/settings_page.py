"""What the lab sets up once: its instruments and its people; and what its book holds."""

from __future__ import annotations

from html import escape

import streamlit as st

from stainbook.errors import InputError
from stainbook.pages import case_source, texts
from stainbook.pages.frame import forget, keeping, show_page
from stainbook.pages.light_choice import LIGHTS
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.tables import table
from stainbook.work.day_schemas import InstrumentShown
from stainbook.work.instruments import Stated
from stainbook.work.settings import LabSettings, keep_instrument, keep_person, settings_of

TYPED = ("set_name", "set_geometry", "set_aperture")


def _draw() -> None:
    found = settings_of(case_source.book_url())
    instruments, people = st.columns([3, 2], gap="large")
    try:
        with instruments:
            _instruments(found)
        with people:
            _people(found)
    except InputError as error:
        st.warning(texts.CANNOT_SET.format(reason=error))


def _instruments(found: LabSettings) -> None:
    st.subheader(texts.INSTRUMENTS, anchor=False)
    if found.instruments:
        rows = [_row(one) for one in found.instruments]
        show_markup(table(texts.INSTRUMENT_HEADS, rows, numbers=(4,), wide=1), key="instruments")
    else:
        st.info(texts.NO_INSTRUMENTS)
    name = st.text_input(texts.INSTRUMENT_NAME, help=texts.INSTRUMENT_HELP, **keeping("set_name"))
    lights = {f"{light}, {observer}°": (light, observer) for light, observer in LIGHTS}
    light = st.selectbox(
        texts.LIGHT_SHOWN, list(lights), help=texts.LIGHT_HELP, **keeping("set_light", next(iter(lights)))
    )
    left, middle, right = st.columns(3)
    geometry = left.text_input(texts.GEOMETRY, **keeping("set_geometry"))
    specular = middle.selectbox(texts.SPECULAR, ["", "excluded", "included"], **keeping("set_specular"))
    aperture = right.number_input(texts.APERTURE, 0.1, 50.0, format="%.1f", **keeping("set_aperture", None))
    if st.button(texts.SET_UP, type="primary"):
        stated = Stated(*lights[light], geometry.strip() or None, specular or None, aperture)
        keep_instrument(case_source.book_url(), name, stated)
        for key in TYPED:
            forget(key)
        st.rerun()


def _row(one: InstrumentShown) -> tuple[str, ...]:
    under = f"{one.illuminant}, {one.observer}°" if one.observer else texts.OWN_SCALE
    aperture = f"{one.aperture_mm:g}" if one.aperture_mm else ""
    return escape(one.instrument), escape(under), escape(one.geometry or ""), escape(one.specular or ""), aperture


def _people(found: LabSettings) -> None:
    st.subheader(texts.PEOPLE, anchor=False)
    st.markdown(", ".join(found.people) or texts.NO_PEOPLE)
    name = st.text_input(texts.PERSON, **keeping("set_person"))
    if st.button(texts.ENTER):
        keep_person(case_source.book_url(), name)
        forget("set_person")
        st.rerun()
    st.subheader(texts.BOOK, anchor=False)
    counts = ", ".join(f"{kind} {number}" for kind, number in found.counts)
    st.markdown(texts.HELD_BY_BOOK.format(counts=counts) if counts else texts.EMPTY_BOOK)


show_page(texts.PAGES["settings"], _draw, cannot=texts.CANNOT)
