"""What was done last time and the lab's recipes: found by colour, words and stain; kept, compared, approved."""

from __future__ import annotations

import streamlit as st

from stainbook.errors import InputError
from stainbook.pages import case_source, texts, wording
from stainbook.pages.frame import forget, keep, keeping, kept, show_page
from stainbook.pages.light_choice import light_choice
from stainbook.pages.widgets import swatches
from stainbook.pages.widgets.markup import pick, show_markup
from stainbook.pages.widgets.shelf_tables import changes_markup, found_markup
from stainbook.work.recipe_views import (
    Found,
    LookedFor,
    judge,
    keep_as_recipe,
    look_up,
    side_by_side,
    stain_names,
    use_of_recipe,
)


def _draw() -> None:
    asked = _asked()
    try:
        found = look_up(case_source.book_url(), asked)
    except InputError as error:
        st.warning(texts.CANNOT_LOOK.format(reason=error))
        return
    if not found:
        anything = asked.lab.strip() or asked.words.strip() or asked.stains
        st.info(texts.NONE_SO_NEAR if anything else texts.NOTHING_DONE)
        return
    rows, detail = st.columns([3, 2], gap="medium")
    with rows:
        chosen = _list(found)
    with detail:
        _detail(chosen, found)


def _asked() -> LookedFor:
    colour, near, light, words, stains = st.columns([3, 2, 3, 3, 4], vertical_alignment="bottom")
    lab = colour.text_input(texts.FIND_COLOUR, help=texts.FIND_COLOUR_HELP, **keeping("find_colour"))
    radius = near.number_input(texts.HOW_NEAR, 0.5, 20.0, step=0.5, format="%.1f", **keeping("find_radius", 3.0))
    with light:
        under = light_choice()
    said = words.text_input(texts.FIND_WORDS, **keeping("find_words"))
    names = stain_names(case_source.book_url())
    keep("find_stains", [name for name in kept("find_stains", []) if name in names])
    wanted = stains.multiselect(texts.FIND_STAINS, names, **keeping("find_stains", []))
    return LookedFor(lab, radius, said, tuple(wanted), *under)


def _list(found: list[Found]) -> Found:
    by_key = {f"{one.kind} {one.name}": one for one in found}
    if kept("found") not in by_key:
        keep("found", next(iter(by_key)))
    pick(
        found_markup(by_key), label=texts.FOUND_LABEL, chosen=kept("found"), key="found_rows",
        on_pick=lambda key: keep("found", key),
    )  # fmt: skip
    return by_key[kept("found")]


def _detail(one: Found, found: list[Found]) -> None:
    st.subheader(one.name, anchor=False)
    show_markup(swatches.small((swatches.Patch(one.name, one.colour),)), key="found_colour")
    st.markdown(f"**{one.painted}**  \n{wording.lab(one.colour)}  \n{one.on}")
    if one.notes:
        st.markdown(one.notes)
    try:
        if one.kind == "outcome":
            _keep(one)
        else:
            _judge(one)
    except InputError as error:
        st.warning(texts.CANNOT_KEEP.format(reason=error))
    if one.kind == "recipe":
        _compare(one, [other.name for other in found if other.kind == "recipe" and other.name != one.name])


def _keep(one: Found) -> None:
    """An outcome becomes a recipe under a name."""
    name = st.text_input(texts.RECIPE_NAME, **keeping("recipe_name"))
    if st.button(texts.KEEP_RECIPE, type="primary", disabled=not name.strip()):
        keep_as_recipe(case_source.book_url(), one.name, name.strip())
        forget("recipe_name")
        keep("found", f"recipe {name.strip()}")
        st.rerun()


def _judge(one: Found) -> None:
    """How a recipe did, and what the lab makes of it."""
    use = use_of_recipe(case_source.book_url(), one.name)
    said = [wording.counted(texts.USED, use.uses) if use.uses else texts.NEVER_USED]
    if use.judged:
        said.append(texts.ACCEPTED_OF.format(accepted=use.accepted, judged=use.judged))
    if use.dE00_median is not None:
        said.append(f"ΔE00 {wording.one_decimal(use.dE00_median)}")
    st.markdown(f"{one.state}: {', '.join(said)}")
    why = st.text_input(texts.BECAUSE, **keeping("recipe_why"))
    with st.container(horizontal=True):
        for label, state in ((texts.APPROVE, "approved"), (texts.RETIRE, "retired")):
            if one.state != state and st.button(label, type="primary" if state == "approved" else "secondary"):
                judge(case_source.book_url(), one.name, state, why.strip())
                forget("recipe_why")
                st.rerun()


def _compare(one: Found, others: list[str]) -> None:
    if not others:
        return
    other = st.selectbox(texts.COMPARE_WITH, others, index=None, key="compare_with")
    if other is None:
        return
    changes = side_by_side(case_source.book_url(), (one.name, other))
    if changes:
        show_markup(changes_markup(one.name, other, changes), key="changes")
    else:
        st.markdown(texts.SAME)


show_page(texts.PAGES["recipes"], _draw, cannot=texts.CANNOT)
