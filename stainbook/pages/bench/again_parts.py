"""Done last time, from a zone: what brought a like zone near this target, taken into the mix by hand by one press."""

from __future__ import annotations

import streamlit as st

from stainbook.errors import InputError
from stainbook.faces.desk_types import Offer
from stainbook.faces.recipe_types import DoneBefore, SoughtZone
from stainbook.language import joined
from stainbook.pages.bench import again_texts as words
from stainbook.pages.case.case_shown import ShownCase
from stainbook.pages.case.page_choices import HandLayer
from stainbook.pages.shell import case_source, texts, wording
from stainbook.records import CLEAR


def done_last_time(shown: ShownCase) -> None:
    """The rows, looked up when they are unfolded."""
    if shown.desk.offer is None:
        return
    with st.expander(words.TITLE, on_change="rerun", key=f"again {shown.code}") as unfolded:
        if unfolded.open:
            _rows(shown, shown.desk.offer)


def _rows(shown: ShownCase, offer: Offer) -> None:
    zone = shown.zone
    if zone.now is None or zone.target is None:
        st.markdown(words.NO_TARGET)
        return
    try:
        asked = SoughtZone(zone.now, zone.target, zone.tissue, shown.view.case.material)
        found = case_source.lab().recipes.done_before(asked)
    except InputError as error:
        st.warning(texts.CANNOT_LOOK.format(reason=error))
        return
    if not found:
        st.markdown(words.NONE)
        return
    st.markdown(words.LEAD)
    for one in found:
        _row(shown, offer, one)


def _row(shown: ShownCase, offer: Offer, one: DoneBefore) -> None:
    found = one.found
    said, press = st.columns([9, 3], vertical_alignment="center")
    target = wording.one_decimal(found.dE00 or 0.0)
    if one.start is None:
        said.markdown(words.RECIPE.format(name=found.called, painted=found.painted, target=target))
    else:
        start = wording.one_decimal(one.start)
        said.markdown(words.OUTCOME.format(name=found.called, painted=found.painted, target=target, start=start))
    used = dict.fromkeys(name for layer in one.layers for name in layer.pot.stains)
    missing = [name for name in used if name not in offer.stains and name != CLEAR]
    if missing:
        said.markdown(words.NOT_ON_OFFER.format(names=joined(missing)))
    elif len(one.layers) > offer.layers:
        said.markdown(words.TOO_MANY)
    shut = bool(missing) or len(one.layers) > offer.layers
    if press.button(words.TAKE, key=f"again {found.kind} {found.name}", disabled=shut, width="stretch"):
        shown.chosen.here.mix = [HandLayer(dict(layer.pot.shares), layer.coats) for layer in one.layers]
        st.rerun()
