"""What was done last time and the lab's recipes: found by colour, words, stain and conditions."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import streamlit as st

from stainbook.errors import InputError
from stainbook.faces.recipe_types import CONDITIONS, LookedFor, RecipeOrOutcome
from stainbook.pages.lab import recipes_texts as words
from stainbook.pages.lab.recipe_detail import show_found
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.light_choice import light_choice
from stainbook.pages.shell.number_field import needed, number_field
from stainbook.pages.shell.page_frame import keep, keeping, kept, show_page
from stainbook.pages.shell.plain import bare
from stainbook.pages.widgets.markup import pick
from stainbook.pages.widgets.shelf_tables import found_markup
from stainbook.stage_words import recipe_state, surface_name
from stainbook.words.places import TISSUES, zone_name

ANY = "any"  # of what is looked for
NEAR = 3.0  # ΔE00 that is looked around at first


def _draw() -> None:
    asked = _asked()
    try:
        found = case_source.lab().recipes.look_up(asked)
    except InputError as error:
        st.warning(texts.CANNOT_LOOK.format(reason=error))
        return
    if not found:
        anything = asked.lab.strip() or asked.words.strip() or asked.stains or asked.conditions
        st.info(texts.NONE_SO_NEAR if anything else texts.NOTHING_DONE)
        return
    rows, detail = st.columns([3, 2], gap="medium")
    with rows:
        chosen = _list(found)
    with detail:
        show_found(chosen, [one.name for one in found if one.kind == "recipe" and one.name != chosen.name])


def _asked() -> LookedFor:
    known = case_source.lab().recipes.conditions()
    colour, near, light = st.columns([4, 2, 4], vertical_alignment="bottom")
    said, stains = st.columns([4, 6], vertical_alignment="bottom")
    lab = colour.text_input(texts.FIND_COLOUR, help=texts.FIND_COLOUR_HELP, **keeping("find_colour"))
    radius = needed(number_field(near, texts.HOW_NEAR, NEAR, key="find_radius", least=0.1, most=20.0), NEAR)
    with light:
        under = light_choice()
    text = said.text_input(texts.FIND_WORDS, **keeping("find_words"))
    keep("find_stains", [name for name in kept("find_stains", []) if name in known["stain"]])
    wanted = stains.multiselect(texts.FIND_STAINS, known["stain"], **keeping("find_stains", []))
    asked = any(kept(f"find_{name}", ANY) not in ("", ANY) for name in CONDITIONS)
    with st.expander(words.MORE, expanded=asked):
        conditions = _conditions(known)
    return LookedFor(lab, radius, text, tuple(wanted), conditions, *under)


def _conditions(known: dict[str, list[str]]) -> tuple[tuple[str, str], ...]:
    found = {}
    for place, name in zip(st.columns(len(CONDITIONS)), CONDITIONS, strict=True):
        if name not in known:  # jars are too many to list
            found[name] = place.text_input(words.CONDITIONS[name], **keeping(f"find_{name}")).strip()
            continue
        options = [ANY, *known[name]]
        if kept(f"find_{name}", ANY) not in options:
            keep(f"find_{name}", ANY)
        found[name] = place.selectbox(
            words.CONDITIONS[name], options, format_func=partial(_option, name),
            **keeping(f"find_{name}", ANY),
        )  # fmt: skip
    return tuple((name, value) for name, value in found.items() if value and value != ANY)


def _option(condition: str, one: str) -> str:
    """A value of a condition in words."""
    said = {
        "zone": zone_name,
        "tissue": lambda tissue: TISSUES.get(tissue, tissue),
        "state": recipe_state,
        "surface": surface_name,
    }
    return words.ANY if one == ANY else bare(said[condition](one) if condition in said else one)


def _list(found: Sequence[RecipeOrOutcome]) -> RecipeOrOutcome:
    by_key = {f"{one.kind} {one.name}": one for one in found}
    if kept("found") not in by_key:
        keep("found", next(iter(by_key)))
    pick(
        found_markup(by_key), label=texts.FOUND_LABEL, chosen=kept("found"), key="found_rows",
        on_pick=lambda key: keep("found", key),
    )  # fmt: skip
    return by_key[kept("found")]


show_page(texts.PAGES["recipes"], _draw, cannot=texts.CANNOT)
