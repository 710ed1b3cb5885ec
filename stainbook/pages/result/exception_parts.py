"""Recorded by exception: all was painted as the sheet says, and what differs is tapped; each tap is stored at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import streamlit as st

from stainbook.errors import InputError
from stainbook.faces.firing_types import FiringNow, ZoneResult
from stainbook.language import joined
from stainbook.pages.result import exception_texts as words
from stainbook.pages.shell import case_source, wording
from stainbook.pages.shell.page_frame import do, keep, keeping, kept
from stainbook.pages.shell.plain import bare, counted
from stainbook.pages.shell.pressing import pressed
from stainbook.pages.widgets.arch_svg import key_text
from stainbook.pages.widgets.markup import pick_many
from stainbook.records import Layer, Layers, Pot
from stainbook.words import mixes
from stainbook.words.escaping import escape
from stainbook.words.places import place as place_name
from stainbook.work.documents.plan_schemas import PlanResult

ZoneKey = tuple[int, str]
MOST_COATS = 4  # that can be tapped
NAMED = 6  # chosen zones that are named


def sheet_plan_of(code: str) -> PlanResult | None:
    """What the sheet said before anything was painted; None while that is worked out, and where nothing can be."""
    desk = case_source.case(code).sheet_desk
    return desk.sheet_plan() if desk.is_ready(case_source.PATIENCE) else None


def written_of(firing: FiringNow) -> dict[ZoneKey, str]:
    """What lies on each zone, a layer a line."""
    return {key: text.replace("; ", "\n") for key, text in firing.painted.items()}


def lying_on(firing: FiringNow) -> dict[ZoneKey, Layers]:
    """The layers that lie on each zone."""
    return {(one.tooth, one.zone): one.layers for one in firing.lying.zones} if firing.lying is not None else {}


def planned_layers(plan: PlanResult | None) -> dict[ZoneKey, Layers]:
    """The layers that the sheet asks for, by zone; none for a zone that takes no layer."""
    zones = plan.zones if plan is not None else ()
    return {
        (one.tooth, one.zone): tuple(Layer(Pot.of(layer.pot), layer.coats) for layer in one.painted) for one in zones
    }


def show_exceptions(code: str, firing: FiringNow, plan: PlanResult | None) -> None:
    """The zones with what lies on them; those that are chosen are changed by taps."""
    lying, planned = lying_on(firing), planned_layers(plan)
    names = {Pot.of(one.pot): one.id for one in plan.pots} if plan is not None else {}
    every = list(dict.fromkeys([*planned, *lying]))
    differs = [key for key in every if lying.get(key, ()) != planned.get(key, ())] if plan is not None else []
    st.markdown(counted(words.DIFFER, len(differs)) if differs else words.AS_SHEET)
    found = set(kept(_chosen_key(code), []))
    chosen = [key for key in every if key_text(key) in found]
    with st.container(border=True):
        _form(code, chosen, lying, planned, names)
    rows = "".join(_row(key, lying.get(key, ()), names, differs=key in differs) for key in every)
    pick_many(
        f'<div class="table painted-list">{rows}</div>', label=words.LIST_LABEL,
        chosen=[key_text(key) for key in chosen], key=f"painted {code}",
        on_pick=lambda keys: keep(_chosen_key(code), keys),
    )  # fmt: skip


def _chosen_key(code: str) -> str:
    return f"differs {code}"


def _row(key: ZoneKey, layers: Layers, names: Mapping[Pot, str], *, differs: bool) -> str:
    said = "".join(f'<span class="layer">{escape(one)}</span>' for one in _said(layers, names)) or escape(words.NOTHING)
    mark = escape(words.DIFFERS) if differs else ""
    cells = (f"<b>{escape(place_name(*key))}</b>", said, f"<i>{mark}</i>")
    return (
        f'<div class="table-row" data-key="{escape(key_text(key))}">{"".join(f"<span>{c}</span>" for c in cells)}</div>'
    )


def _said(layers: Layers, names: Mapping[Pot, str]) -> list[str]:
    """A layer a line: by the sheet's name of its mix, else by what is in it."""
    return [
        mixes.coats_of(names[one.pot], one.coats) if one.pot in names else mixes.layer(one.pot, one.coats)
        for one in layers
    ]


# ---------------------------------------------------------------- what is tapped


def _form(
    code: str, chosen: Sequence[ZoneKey], lying: Mapping[ZoneKey, Layers], planned: Mapping[ZoneKey, Layers],
    names: Mapping[Pot, str],
) -> None:  # fmt: skip
    if not chosen:
        st.markdown(words.CHOOSE)
        return
    more = ["…"] if len(chosen) > NAMED else []
    st.markdown(words.CHOSEN.format(zones=joined([*(place_name(*key) for key in chosen[:NAMED]), *more])))
    with st.container(horizontal=True):
        if any(lying.get(key) for key in chosen) and pressed(words.NOT_PAINTED):
            _lay(code, dict.fromkeys(chosen, ()))
        if any(lying.get(key, ()) != planned.get(key, ()) for key in chosen if key in planned) and st.button(
            words.RESET
        ):
            _lay(code, {key: planned.get(key, ()) for key in chosen})
    deepest = max((lying.get(key, ()) for key in chosen), key=len)
    pots = list(dict.fromkeys([*names, *(one.pot for layers in lying.values() for one in layers)]))
    for number, layer in enumerate(deepest):
        _layer(code, chosen, lying, number, layer, pots, names)
    if not deepest and pots:
        _first_layer(code, chosen, pots, names)
    _typed(code, chosen, lying)


def _layer(
    code: str, chosen: Sequence[ZoneKey], lying: Mapping[ZoneKey, Layers], number: int, layer: Layer,
    pots: Sequence[Pot], names: Mapping[Pot, str],
) -> None:  # fmt: skip
    """Coats and mix of one layer; a tap holds for all chosen zones that have it."""
    end = f"{code} {number} {hash((tuple(chosen), layer))}"
    counts = list(range(1, max(MOST_COATS, layer.coats) + 1))
    coats = st.segmented_control(
        words.COATS.format(number=number + 1), counts, default=layer.coats, key=f"coats {end}", width="stretch"
    )
    options = {_name(pot, names): pot for pot in pots}
    mix = st.segmented_control(
        words.MIX.format(number=number + 1), list(options), default=_name(layer.pot, names), key=f"mix {end}"
    )
    new = Layer(options[mix] if mix else layer.pot, coats or layer.coats)
    if new != layer:
        _lay(
            code,
            {
                key: (*lying[key][:number], new, *lying[key][number + 1 :])
                for key in chosen
                if len(lying.get(key, ())) > number
            },
        )


def _first_layer(code: str, chosen: Sequence[ZoneKey], pots: Sequence[Pot], names: Mapping[Pot, str]) -> None:
    """Zones that are bare: a mix that was laid on them after all."""
    options = {_name(pot, names): pot for pot in pots}
    mix = st.segmented_control(words.PAINTED_WITH, list(options), key=f"first {code} {hash(tuple(chosen))}")
    if mix:
        _lay(code, dict.fromkeys(chosen, (Layer(options[mix], 1),)))


def _name(pot: Pot, names: Mapping[Pot, str]) -> str:
    return bare(names[pot] if pot in names else wording.mix(pot.as_dict()))


def _typed(code: str, chosen: Sequence[ZoneKey], lying: Mapping[ZoneKey, Layers]) -> None:
    """A mix that stands on no sheet."""
    with st.expander(words.OTHER_MIX):
        end = f"{code} {hash(tuple(chosen))}"
        typed = st.text_area(words.TYPED, height=96, help=words.TYPED_HELP, **keeping(f"typed layers {end}"))
        if pressed(words.USE_TYPED, looks=True, disabled=not typed.strip(), key=f"use typed {end}"):
            do(lambda: _paint_typed(code, chosen, typed), cannot=words.CANNOT)


def _paint_typed(code: str, chosen: Sequence[ZoneKey], typed: str) -> None:
    face = case_source.case(code).firing
    zones = [ZoneResult(*key, typed) for key in chosen]
    unknown = face.unknown_stains(zones)
    if unknown:
        raise InputError(words.UNKNOWN.format(names=joined(unknown)))
    said = {one.key: one.painted for one in zones}
    others = [ZoneResult(*key, text) for key, text in face.now().painted.items() if key not in said]
    face.paint([*others, *zones])


def _lay(code: str, layers: Mapping[ZoneKey, Layers]) -> None:
    do(lambda: case_source.case(code).firing.lay(layers), cannot=words.CANNOT)
