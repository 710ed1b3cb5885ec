"""What the lab sets up once: what it judges by, how it mixes, its instruments and people; and its book."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import streamlit as st

from stainbook.apparatus import Programme
from stainbook.errors import InputError
from stainbook.faces.reading_types import Stated
from stainbook.faces.setting_types import LabSettings, OwnLimits, sets_of
from stainbook.language import PROOF_READ, capitalised, language_name, languages, spoken
from stainbook.pages.lab import settings_texts as words
from stainbook.pages.lab.settings_accounts import show_accounts, show_own_password
from stainbook.pages.lab.settings_book import about_the_book
from stainbook.pages.lab.settings_roles import show_prices, show_roles
from stainbook.pages.shell import case_source, texts, wording
from stainbook.pages.shell.light_choice import LIGHTS
from stainbook.pages.shell.number_field import needed, number_field
from stainbook.pages.shell.page_frame import LANGUAGE, forget, keep, keeping, show_page
from stainbook.pages.shell.plain import Ours, bare, plain
from stainbook.pages.shell.pressing import pressed, shut, tell, tell_then
from stainbook.pages.shell.undo_parts import undo_change
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.tables import table
from stainbook.words.escaping import escape
from stainbook.words.light_names import viewing
from stainbook.work.documents.day_schemas import InstrumentShown

OWN = "own"  # instead of a set
TYPED = ("set_name", "set_geometry", "set_aperture")
TYPED_PROGRAMME = ("set_programme", "set_furnace", "set_minutes", "set_sheet")


def _draw() -> None:
    found = case_source.lab().settings.now()
    _language()
    settings = case_source.lab().settings
    undo_change(settings.undoable(), settings.undo, key="undo settings", fields="set_")
    judging, mixing, instruments, people, lab = st.tabs(words.TABS)
    for place, draw in ((judging, _judging), (mixing, _mixing), (instruments, _instruments), (people, _people)):
        with place:
            _guarded(partial(draw, found))
    with lab:
        _guarded(partial(_lab, found))
        about_the_book(found)
        show_own_password()
        show_accounts()


def _language() -> None:
    """The language of this browser session, where there is more than one."""
    known = languages()
    if len(known) < 2:
        return

    def take() -> None:
        keep(LANGUAGE, st.session_state["set_language"])

    st.selectbox(
        words.LANGUAGE, known, known.index(spoken()) if spoken() in known else 0, format_func=_language_named,
        help=words.LANGUAGE_HELP, key="set_language", on_change=take, width=340,
    )  # fmt: skip


def _language_named(language: str) -> str:
    name = language_name(language)
    return name if language in PROOF_READ else words.UNPROVEN.format(language=name)


def _guarded(draw: Callable[[], None]) -> None:
    try:
        draw()
    except InputError as error:
        tell(texts.CANNOT_SET.format(reason=error))


def _changed(*typed: str) -> None:
    for key in typed:
        forget(key)
    tell_then(words.KEPT)
    st.rerun()


# ---------------------------------------------------------------- what is judged by, how it is mixed


def _judging(found: LabSettings) -> None:
    for place, tissue in zip(st.columns(2, gap="large"), words.JUDGED_BY, strict=True):
        with place:
            _limits(found, tissue)
    st.markdown(words.JUDGE_NOTE)
    lights = {viewing(light, observer): (light, observer) for light, observer in LIGHTS}
    now = viewing(found.viewing.illuminant, found.viewing.observer)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        chosen = st.selectbox(
            words.VIEWING,
            list(lights),
            format_func=bare,
            help=words.VIEWING_NOTE,
            width=340,
            **keeping("set_viewing", now),
        )
        if pressed(words.SAVE, key="keep viewing"):
            case_source.lab().settings.keep_viewing(*lights[chosen])
            _changed("set_viewing")
    _looking_on(found)


def _looking_on(found: LabSettings) -> None:
    """Whether the lab looks on before it follows."""
    with st.container(horizontal=True, vertical_alignment="bottom"):
        shadow = st.toggle(
            words.SHADOW, **({"help": words.SHADOW_HELP} | shut()), **keeping("set_shadow", found.shadow)
        )
        if pressed(words.SAVE, key="keep shadow"):
            case_source.lab().settings.keep_shadow(shadow)
            _changed("set_shadow")
    with st.container(horizontal=True, vertical_alignment="bottom"):
        count = st.toggle(words.EDGES, **({"help": words.EDGES_HELP} | shut()), **keeping("set_edges", found.edges))
        if pressed(words.SAVE, key="keep edges"):
            case_source.lab().settings.keep_edges(count)
            _changed("set_edges")


def _limits(found: LabSettings, tissue: str) -> None:
    now = found.limits[tissue]
    sets = {one.name: one for one in sets_of(tissue)}
    said = {
        one.name: words.SET.format(name=one.name, perceptible=one.perceptible, acceptable=one.acceptable)
        for one in sets.values()
    }
    name = st.selectbox(
        words.JUDGED_BY[tissue], [*sets, OWN], format_func=lambda key: said.get(key) or words.OWN,
        **keeping(f"set_limits_{tissue}", now.name if now.name in sets else OWN),
    )  # fmt: skip
    if name in sets:
        st.markdown(words.SOURCE.format(source=sets[name].source, sure=capitalised(sets[name].sure)))
        chosen = OwnLimits(name)
    else:
        left, right = st.columns(2)
        own = [(left, words.PERCEPTIBLE, now.perceptible, "seen"), (right, words.ACCEPTABLE, now.acceptable, "most")]
        seen, most = (
            needed(number_field(place, label, value, key=f"set_{key}_{tissue}", least=0.1, most=20.0), value)
            for place, label, value, key in own
        )
        chosen = OwnLimits(None, seen, most)
    if pressed(words.SAVE, key=f"keep {tissue}"):
        case_source.lab().settings.keep_limits(tissue, chosen)
        _changed(f"set_limits_{tissue}", f"set_seen_{tissue}", f"set_most_{tissue}")


def _mixing(found: LabSettings) -> None:
    left, right = st.columns(2, gap="large")
    strengths = left.text_input(words.STRENGTHS, help=words.STRENGTHS_HELP, **keeping("set_strengths", found.strengths))
    step = needed(
        number_field(
            right, words.STEP, found.scale_step, key="set_step", least=0.0001, most=10.0, help_=words.STEP_HELP
        ),
        found.scale_step,
    )
    together = left.text_input(words.TOGETHER, help=words.TOGETHER_HELP, **keeping("set_together", found.together))
    if pressed(words.SAVE, key="keep mixing"):
        case_source.lab().settings.keep_mixing(strengths=strengths, scale_step=step, together=together)
        _changed("set_strengths", "set_step", "set_together")


# ---------------------------------------------------------------- instruments, people, programmes


def _instruments(found: LabSettings) -> None:
    if found.instruments:
        rows = [_row(one) for one in found.instruments]
        show_markup(table(texts.INSTRUMENT_HEADS, rows, numbers=(4,), wide=1), key="instruments")
    else:
        st.info(texts.NO_INSTRUMENTS)
    left, right = st.columns(2)
    name = left.text_input(texts.INSTRUMENT_NAME, help=texts.INSTRUMENT_HELP, **keeping("set_name"))
    lights = {viewing(light, observer): (light, observer) for light, observer in LIGHTS}
    light = right.selectbox(
        texts.LIGHT_SHOWN,
        list(lights),
        format_func=bare,
        help=texts.LIGHT_HELP,
        **keeping("set_light", next(iter(lights))),
    )
    left, middle, right = st.columns(3)
    geometry = left.text_input(texts.GEOMETRY, **keeping("set_geometry"))
    specular = middle.selectbox(
        texts.SPECULAR, list(texts.SPECULARS), format_func=texts.SPECULARS.__getitem__, **keeping("set_specular")
    )
    aperture = number_field(right, texts.APERTURE, None, key="set_aperture", least=0.1, most=50.0)
    if pressed(texts.SET_UP, type="primary"):
        stated = Stated(*lights[light], geometry.strip() or None, specular or None, aperture)
        case_source.lab().settings.keep_instrument(name, stated)
        _changed(*TYPED)


def _row(one: InstrumentShown) -> tuple[str, ...]:
    under = viewing(one.illuminant, one.observer)
    aperture = wording.figure(one.aperture_mm) if one.aperture_mm else ""
    specular = texts.SPECULARS.get(one.specular or "", one.specular or "")
    return escape(one.instrument), escape(under), escape(one.geometry or ""), escape(specular), aperture


def _people(found: LabSettings) -> None:
    people, programmes = st.columns([2, 3], gap="large")
    with people:
        st.subheader(texts.PEOPLE, anchor=False)
        st.markdown(Ours(", ".join(map(plain, found.people))) or texts.NO_PEOPLE)
        name = st.text_input(texts.PERSON, **keeping("set_person"))
        if pressed(texts.ENTER):
            case_source.lab().settings.keep_person(name)
            _changed("set_person")
        if found.people:
            show_roles(found, _changed)
    with programmes:
        _programmes(found)


def _programmes(found: LabSettings) -> None:
    st.subheader(words.PROGRAMMES, anchor=False)
    if found.programmes:
        rows = [_programme(one) for one in found.programmes]
        show_markup(table(words.PROGRAMME_HEADS, rows, numbers=(2, 3), wide=4), key="programmes")
    else:
        st.markdown(words.NO_PROGRAMMES)
    left, middle, right = st.columns([3, 3, 2])
    name = left.text_input(words.PROGRAMME, **keeping("set_programme"))
    furnace = middle.text_input(words.FURNACE, **keeping("set_furnace"))
    minutes = number_field(right, words.MINUTES, None, key="set_minutes", least=1.0, most=2000.0)
    sheet = st.text_input(words.SHEET, **keeping("set_sheet"))
    st.markdown(words.PROGRAMME_NOTE)
    if pressed(texts.ENTER, key="enter programme"):
        kept_as = Programme(name, furnace.strip() or None, minutes=minutes, source_sheet=sheet.strip() or None)
        case_source.lab().settings.keep_programme(kept_as)
        _changed(*TYPED_PROGRAMME)


def _programme(one: Programme) -> tuple[str, ...]:
    final = wording.figure(one.final_c) if one.final_c is not None else "–"
    minutes = wording.figure(one.minutes) if one.minutes is not None else "–"
    return escape(one.programme), escape(one.furnace or ""), final, minutes, escape(one.source_sheet or "")


def _lab(found: LabSettings) -> None:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        name = st.text_input(words.LAB, help=words.LAB_HELP, width=420, **keeping("set_lab", found.lab))
        if pressed(words.SAVE, key="keep lab"):
            case_source.lab().settings.keep_lab(name)
            _changed("set_lab")
    with st.container(horizontal=True, vertical_alignment="bottom"):
        host = st.text_input(words.HOST, help=words.HOST_HELP, width=420, **keeping("set_host", found.host))
        if pressed(words.SAVE, key="keep host"):
            case_source.lab().settings.keep_host(host)
            _changed("set_host")
    with st.container(horizontal=True, vertical_alignment="bottom"):
        annex = st.toggle(words.ANNEX, **({"help": words.ANNEX_HELP} | shut()), **keeping("set_annex", found.annex))
        if pressed(words.SAVE, key="keep annex"):
            case_source.lab().settings.keep_annex(annex)
            _changed("set_annex")
    show_prices(found, _changed)


show_page(texts.PAGES["settings"], _draw, cannot=texts.CANNOT)
