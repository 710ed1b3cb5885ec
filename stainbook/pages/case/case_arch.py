"""The arch and the list of the case page: where zones are chosen, one or several."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import streamlit as st

from stainbook.faces.view_types import limits_of, predicted, step_of, zone_state
from stainbook.language import joined
from stainbook.pages.case import case_texts as words
from stainbook.pages.case.case_shown import ShownCase, key_of
from stainbook.pages.case.page_choices import PageChoices
from stainbook.pages.shell import texts, wording
from stainbook.pages.shell.plain import counted
from stainbook.pages.widgets import swatches
from stainbook.pages.widgets.arch_svg import Face, jaws, key_text
from stainbook.pages.widgets.legend import fill_legend, states_legend
from stainbook.pages.widgets.markup import pick, pick_extending, segments, show_markup
from stainbook.pages.widgets.zone_list import list_markup, zone_label
from stainbook.words.places import place as place_name
from stainbook.work.documents.schemas import AdvisedZone, Move

ZoneKey = tuple[int, str]
RAMP = ("#f0f0f0", "#c6c6c6", "#919191", "#5a5a5a", "#262626")  # not seen … over three times acceptable
DARK_FROM = 3  # the step of the ramp on which signs turn light
DARK_BELOW = 45.0  # L* below which signs turn light
NAMED = 8  # chosen zones that are named


def show_arch(shown: ShownCase) -> None:
    """The drawn jaws; a tap or an arrow key chooses a zone, with shift or in the mode for it one more."""
    chosen = shown.chosen

    def fill(found: str) -> None:
        chosen.fill = found

    label = texts.FILL_LABEL
    pick(segments(label, texts.FILLS), label=label, chosen=chosen.fill, key="fill", on_pick=fill)
    drawn = jaws(shown.view.advised.zones, lambda zone: _face(zone, shown.moves.get(key_of(zone)), chosen.fill))
    pick_extending(
        drawn,
        label=texts.ARCH_LABEL,
        chosen=key_text(key_of(shown.zone)),
        also=[key_text(key_of(zone)) for zone in shown.also],
        more=chosen.here.more,
        key="arch",
        on_pick=_taking(chosen),
    )
    _more(chosen)
    if shown.also:
        st.markdown(counted(words.SEVERAL, len(shown.zones), names=_names(shown.zones)))


def show_legends(shown: ShownCase) -> None:
    """What the signs on the arch mean, and its greys."""
    greys = fill_legend(RAMP) if shown.chosen.fill == "difference" else ""
    show_markup(states_legend() + greys, key="legends")


def _more(chosen: PageChoices) -> None:
    key = f"more {chosen.case}"
    if key not in st.session_state:
        st.session_state[key] = chosen.here.more

    def take() -> None:
        chosen.here.more = st.session_state[key]

    st.toggle(words.MORE_ZONES, key=key, on_change=take, help=words.MORE_HELP)


def _taking(chosen: PageChoices) -> Callable[[list[str]], None]:
    def take(found: list[str]) -> None:
        first, *others = [zone_of(one) for one in found]
        chosen.here.zone, chosen.here.also = first, others

    return take


def _names(zones: Sequence[AdvisedZone]) -> str:
    named = joined(place_name(zone.tooth, zone.zone) for zone in zones[:NAMED])
    return joined([named, "…"], " ") if len(zones) > NAMED else named


def zone_of(found: str) -> ZoneKey:
    """A zone's key from the word that stands for it in the markup."""
    tooth, name = found.split(" ", 1)
    return int(tooth), name


def _face(zone: AdvisedZone, move: Move | None, fill: str) -> Face:
    state, label = zone_state(zone), zone_label(zone)
    if fill == "difference":
        if zone.gap is None:
            return Face(None, state, None, False, label)
        step = step_of(zone.gap.dE00, limits_of(zone))
        return Face(RAMP[step], state, wording.one_decimal(zone.gap.dE00), step >= DARK_FROM, label)
    colour = {"now": zone.now, "target": zone.target, "predicted": predicted(zone, move)}[fill]
    if colour is None:
        return Face(None, state, None, False, label)
    return Face(swatches.screen(colour), state, None, colour.L < DARK_BELOW, label)


def show_list(shown: ShownCase) -> None:
    """Every zone as a row that can be chosen."""

    def take(found: str) -> None:
        shown.chosen.here.zone, shown.chosen.here.also = zone_of(found), []

    st.subheader(texts.ZONES_TITLE, anchor=False)
    pick(
        list_markup(shown.view.advised.zones, shown.moves),
        label=texts.LIST_LABEL,
        chosen=key_text(key_of(shown.zone)),
        key="zones",
        on_pick=take,
    )
