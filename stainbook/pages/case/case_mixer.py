"""A mix by hand: stains, shares and coats by tap; colour, gap and odds follow, beside the best that was proposed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

import streamlit as st

from stainbook.faces.desk_types import Key, Offer, Step
from stainbook.language import joined
from stainbook.pages.case import case_texts as words
from stainbook.pages.case.case_shown import ShownCase, key_of
from stainbook.pages.case.page_choices import CaseChoices, HandLayer
from stainbook.pages.shell import texts, wording
from stainbook.pages.shell.page_frame import fragment
from stainbook.pages.shell.plain import bare, counted, plain
from stainbook.pages.shell.pressing import writing_button
from stainbook.pages.widgets.markup import pick, pick_many, show_markup
from stainbook.pages.widgets.steps import rows_markup
from stainbook.pages.widgets.tables import table
from stainbook.records import Layer, Pot
from stainbook.words.chances import chance
from stainbook.words.escaping import escape
from stainbook.words.places import place as place_name
from stainbook.work.documents.schemas import AdvisedZone, Move

_STAINS = 2  # of one mix
_FIRST_SHARE = 0.25
_ROUNDING = 1e-9


def show_ways_to_mix(shown: ShownCase) -> None:
    """The buttons that lead to a mix by hand: from the step to be done, or from nothing."""
    here = shown.chosen.here
    if shown.desk.offer is None:
        return
    if shown.move is not None and shown.move.kind == "add" and st.button(words.CHANGE_THIS):
        here.mix = [HandLayer(dict(one.pot), one.coats) for one in shown.move.layers]
        st.rerun()
    if st.button(words.START_EMPTY):
        here.mix = [HandLayer()]
        st.rerun()


def show_mixer(shown: ShownCase) -> None:
    """The mix by hand in the place of the proposed steps."""
    here, offer = shown.chosen.here, shown.desk.offer
    if offer is None or not offer.stains:
        st.markdown(words.NOTHING_TO_MIX)
        return
    name = place_name(shown.zone.tooth, shown.zone.zone)
    if shown.also:
        name = counted(words.AND_MORE, len(shown.also), zone=name)
    st.subheader(f"{words.MIX_TITLE}: {plain(name)}", anchor=False)
    fragment(_mixing)(shown, here, offer)


def _mixing(shown: ShownCase, here: CaseChoices, offer: Offer) -> None:
    mix = here.mix
    if mix is None:
        return
    columns = st.columns(len(mix), gap="medium")
    for place, (column, layer) in enumerate(zip(columns, mix, strict=True)):
        with column:
            _layer(f"{shown.code} {place}", place, layer, offer)
    with st.container(horizontal=True):
        if len(mix) < offer.layers:
            st.button(words.ADD_LAYER, on_click=lambda: mix.append(HandLayer()))
        if len(mix) > 1:
            st.button(words.TAKE_LAYER, on_click=_without_the_last, args=(mix,))
    if len(mix) > offer.usual_layers:
        st.caption(counted(words.MANY_LAYERS, offer.usual_layers))
    step = Step("add", tuple(Layer(Pot.of(one.shares), one.coats) for one in mix))
    found = shown.desk.lay({key_of(zone): step for zone in shown.zones})
    _compared(shown, found)
    several = counted(words.USE_MIX_FOR, len(shown.zones)) if shown.also else words.USE_MIX
    with st.container(horizontal=True):
        if writing_button(several, key="use mix"):
            shown.choose(step)
            here.mix = None
            st.rerun()
        if st.button(words.CLOSE_MIX):
            here.mix = None
            st.rerun()


def _without_the_last(mix: list[HandLayer]) -> None:
    mix.pop()


def _compared(shown: ShownCase, found: Mapping[Key, Move]) -> None:
    """The mix as a row like those proposed, the best of these under it, and what it does to the other zones."""
    zone = shown.zone
    if key_of(zone) not in found:
        st.markdown(texts.NO_GAP)
        return
    rows = [(words.HAND_ROW, found[key_of(zone)])]
    if zone.moves:
        rows.append((words.BEST_ROW, zone.moves[0]))
    show_markup(rows_markup(zone, rows), key="mix rows")
    if shown.also:
        show_markup(
            zones_table([(one, found[key_of(one)]) for one in shown.zones if key_of(one) in found]), key="mix zones"
        )


def zones_table(rows: list[tuple[AdvisedZone, Move]]) -> str:
    """What steps make of several zones."""
    cells = [
        (
            escape(place_name(zone.tooth, zone.zone)),
            escape(joined(wording.step(move), "; ")),
            wording.one_decimal(move.dE00),
            f"{wording.one_decimal(move.dE00_p05)}–{wording.one_decimal(move.dE00_p95)}",
            escape(chance(move.accept)),
        )
        for zone, move in rows
    ]
    return table(words.ALSO_HEADS, cells, numbers=(2, 3), wide=1)


# ---------------------------------------------------------------- one layer


def _layer(key: str, place: int, layer: HandLayer, offer: Offer) -> None:
    st.markdown(f"**{words.LAYER_NAME[place]}**")

    def take_stains(found: list[str]) -> None:
        kept = found[-_STAINS:]
        free = 1.0 - sum(share for name, share in layer.shares.items() if name in kept)
        layer.shares = {name: layer.shares.get(name) or _first_share(offer, free, kept) for name in kept}

    chips = "".join(f'<span class="chip" data-key="{escape(name)}">{escape(name)}</span>' for name in offer.stains)
    pick_many(
        f'<p class="label">{escape(words.STAINS_LABEL)}</p><div class="chips">{chips}</div>',
        label=bare(joined([words.LAYER_NAME[place], words.STAINS_LABEL], ": ")), chosen=list(layer.shares),
        key=f"mix stains {key}", on_pick=take_stains,
    )  # fmt: skip
    for name, share in layer.shares.items():
        rest = 1.0 - sum(other for one, other in layer.shares.items() if one != name)
        fitting = [one for one in sorted({*offer.strengths, share}) if one <= rest + _ROUNDING]
        _segments(
            words.SHARE_LABEL.format(stain=name), {str(one): _fraction(one) for one in fitting}, str(share),
            f"mix share {key} {name}", _taking_share(layer, name),
        )  # fmt: skip

    def take_coats(found: str) -> None:
        layer.coats = int(found)

    coats = {str(n): str(n) for n in range(1, max(offer.coats, layer.coats) + 1)}
    _segments(words.COATS_LABEL, coats, str(layer.coats), f"mix coats {key}", take_coats)


def _taking_share(layer: HandLayer, name: str) -> Callable[[str], None]:
    def take(found: str) -> None:
        layer.shares[name] = float(found)

    return take


def _first_share(offer: Offer, free: float, kept: list[str]) -> float:
    """A usual share, less where the other stain leaves less."""
    fitting = [one for one in offer.strengths if one <= min(free, _FIRST_SHARE) + _ROUNDING]
    return max(fitting, default=min(offer.strengths)) if len(kept) else _FIRST_SHARE


def _segments(label: str, options: Mapping[str, str], chosen: str, key: str, take: Callable[[str], None]) -> None:
    parts = "".join(f'<span class="segment" data-key="{one}">{escape(word)}</span>' for one, word in options.items())
    markup = f'<div class="choice"><p class="label">{escape(label)}</p><div class="segments">{parts}</div></div>'
    pick(markup, label=label, chosen=chosen, key=key, on_pick=take)


def _fraction(share: float) -> str:
    """``1/8``; a share that is no simple fraction as a decimal."""
    found = Fraction(share).limit_denominator(64)
    return str(found) if abs(float(found) - share) < 1e-6 else wording.figure(share, ".3g")
