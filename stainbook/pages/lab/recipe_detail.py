"""One recipe or outcome beside the list: its record and life, kept, approved, changed, compared, used on a case."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from stainbook.errors import InputError
from stainbook.faces.recipe_types import Moment, RecipeOrOutcome
from stainbook.faces.server_types import LEAD
from stainbook.language import joined
from stainbook.pages.case.page_choices import choices
from stainbook.pages.lab import recipes_texts as words
from stainbook.pages.shell import case_source, texts, wording
from stainbook.pages.shell.page_frame import forget, keep, keeping, kept
from stainbook.pages.shell.plain import bare, counted, plain
from stainbook.pages.shell.pressing import writing_button
from stainbook.pages.shell.undo_parts import undo_change
from stainbook.pages.widgets import swatches
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.shelf_tables import life_markup, pair_markup
from stainbook.stage_words import recipe_state
from stainbook.words.places import place as place_name
from stainbook.work.documents.book_schemas import UseShown

NEWEST_CASES = 200  # that can be chosen from; older ones are done


def show_found(one: RecipeOrOutcome, others: Sequence[str]) -> None:
    """Show what was chosen from the list; ``others`` are recipes that it can be set beside."""
    st.subheader(plain(one.called), anchor=False)
    show_markup(swatches.small((swatches.Patch(one.called, one.colour),)), key="found_colour")
    st.markdown(f"**{plain(one.painted)}**  \n{_colour(one)}  \n{plain(one.on)}")
    if one.notes:
        st.markdown(plain(one.notes, longest=None))
    try:
        if one.kind == "outcome":
            _keep(one)
        else:
            _recipe(one, others)
        _use(one)
    except InputError as error:
        st.warning(texts.CANNOT_KEEP.format(reason=error))


def _colour(one: RecipeOrOutcome) -> str:
    """Its colour, or why there is none."""
    return wording.lab(one.colour) if one.colour is not None else words.NO_COLOUR[one.kind]


def _keep(one: RecipeOrOutcome) -> None:
    """An outcome becomes a recipe under a name."""
    name = st.text_input(texts.RECIPE_NAME, **keeping("recipe_name"))
    if writing_button(texts.KEEP_RECIPE, type="primary", disabled=not name.strip()):
        case_source.lab().recipes.keep(one.name, name.strip())
        forget("recipe_name")
        keep("found", f"recipe {name.strip()}")
        st.rerun()


def _recipe(one: RecipeOrOutcome, others: Sequence[str]) -> None:
    recipes = case_source.lab().recipes
    st.markdown(f"{plain(recipe_state(one.state or ''))}: {_said(recipes.record_of_use(one.name))}")
    _judge(one)
    moments = recipes.life(one.name)
    _meanwhile(one)
    _revise(one, moments)
    _compare(one, others, moments)
    st.markdown(f"**{words.LIFE}**")
    show_markup(life_markup(moments), key="life")


def _said(use: UseShown) -> str:
    """How a recipe did, in words."""
    said = [counted(words.USED, use.uses) if use.uses else words.NEVER_USED]
    if use.judged and use.low is not None and use.high is not None:
        low, high = 100.0 * use.low, 100.0 * use.high
        said.append(words.ACCEPTED.format(accepted=use.accepted, judged=use.judged, low=low, high=high))
    if use.dE00_median is not None:
        said.append(words.APART.format(apart=wording.one_decimal(use.dE00_median)))
    if use.remakes:
        said.append(words.BACK.format(reasons=wording.returned_for(use.remakes)))
    return "; ".join(said)


def _judge(one: RecipeOrOutcome) -> None:
    why = st.text_input(texts.BECAUSE, **keeping("recipe_why"))
    with st.container(horizontal=True):
        for label, state in ((texts.APPROVE, "approved"), (texts.RETIRE, "retired")):
            if one.state != state and writing_button(
                label, needs=LEAD, type="primary" if state == "approved" else "secondary"
            ):
                case_source.lab().recipes.set_state(one.name, state, why=why.strip())
                forget("recipe_why")
                st.rerun()
        recipes = case_source.lab().recipes
        undo_change(recipes.undoable(one.name), lambda: recipes.undo(one.name), key=f"undo {one.name}")


# ---------------------------------------------------------------- another revision, and two side by side


def _revise(one: RecipeOrOutcome, moments: Sequence[Moment]) -> None:
    """Change a recipe; the revision that was looked at first stays the base, whatever others store meanwhile."""
    key = f"revise {one.name}"
    if kept(f"{key} base", 0) == 0:
        keep(f"{key} base", moments[0].revision)
    base = next(moment for moment in moments if moment.revision == kept(f"{key} base"))
    with st.expander(words.REVISE):
        painted = st.text_input(words.PAINTED, help=words.PAINTED_HELP, **keeping(f"{key} painted", bare(base.painted)))
        notes = st.text_input(words.NOTES, **keeping(f"{key} notes", one.notes or ""))
        why = st.text_input(words.WHY, **keeping(f"{key} why"))
        st.markdown(words.REVISE_NOTE)
        if writing_button(words.REVISE_IT):
            recipes = case_source.lab().recipes
            pair = recipes.revise(one.name, painted, notes=notes, why=why, based_on=base.revision)
            keep("meanwhile", (one.name, moments[0].revision, pair) if pair else None)
            for part in ("base", "painted", "notes", "why"):
                forget(f"{key} {part}")
            st.rerun()


def _meanwhile(one: RecipeOrOutcome) -> None:
    """What another bench kept while this one changed the recipe, beside it."""
    found = kept("meanwhile", None)
    if found and found[0] == one.name:
        st.warning(words.MEANWHILE.format(other=found[1]))
        show_markup(pair_markup(found[2]), key="meanwhile")


def _compare(one: RecipeOrOutcome, others: Sequence[str], moments: Sequence[Moment]) -> None:
    own = [(one.name, moment.revision) for moment in moments[1:]]
    options: list[tuple[str, int | None]] = [*own, *((name, None) for name in others)]
    if not options:
        return
    other = st.selectbox(
        words.BESIDE, options, index=None, key="compare_with", help=words.BESIDE_HELP, format_func=_named
    )
    if other is not None:
        pair = case_source.lab().recipes.beside(other, (one.name, None))
        show_markup(pair_markup(pair), key="pair")


def _named(which: tuple[str, int | None]) -> str:
    name, revision = which
    return name if revision is None else words.REVISION.format(name=name, revision=revision)


# ---------------------------------------------------------------- on a case


def _use(one: RecipeOrOutcome) -> None:
    if kept("used_on"):
        st.success(kept("used_on"))
        keep("used_on", "")
    with st.expander(words.USE):
        files = case_source.lab().cases.listed().newest()[:NEWEST_CASES]
        if not files:
            st.markdown(words.NO_CASE)
            return
        path = st.selectbox(words.CASE, files, key="use_case")
        zones = [zone.key for zone in case_source.case(path).desk.gaps().case.zones]
        keys = st.multiselect(
            words.ZONES, zones, format_func=lambda key: bare(place_name(*key)), key=f"use_zones {path}"
        )
        if writing_button(words.USE_IT, disabled=not keys):
            case = case_source.lab().recipes.use_on(one.kind, one.name, path, keys)
            named = joined(place_name(tooth, zone) for tooth, zone in keys)
            keep("used_on", words.USED_ON.format(zones=named, case=case))
            choices().case = path
            st.rerun()
