"""The parts of the case page, from top to bottom."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import streamlit as st

from stainbook.faces.desk_types import step_of
from stainbook.faces.view_types import CaseView, predicted, reason, zone_state
from stainbook.language import joined, say
from stainbook.pages.case import case_texts as words
from stainbook.pages.case.case_mixer import show_ways_to_mix, zones_table
from stainbook.pages.case.case_shown import ShownCase, key_of
from stainbook.pages.shell import case_source, texts, wording
from stainbook.pages.shell.caution_parts import show_cautions
from stainbook.pages.shell.page_frame import go_to, in_this_language
from stainbook.pages.shell.plain import counted, plain
from stainbook.pages.shell.undo_parts import undo_change
from stainbook.pages.widgets import swatches
from stainbook.pages.widgets.markup import pick, show_markup
from stainbook.pages.widgets.signs import inline_sign
from stainbook.pages.widgets.steps import steps_markup, within_firings
from stainbook.records import Effect
from stainbook.stage_words import stage_name
from stainbook.words import safety
from stainbook.words.chances import chance
from stainbook.words.effects import effect_name
from stainbook.words.escaping import escape
from stainbook.words.grounds import rests_on
from stainbook.words.places import place as place_name
from stainbook.words.states import MEANS
from stainbook.work.documents.schemas import AdvisedZone, Move

# ---------------------------------------------------------------- header


def show_facts(shown: ShownCase) -> None:
    """Material, stage, finish, technician, light and observer, and how many mixes the steps need."""
    view, case = shown.view, shown.view.case
    mixes = 0 if shown.partly else shown.next.mixes
    facts = {
        texts.FACTS["material"]: case.material or texts.NOT_STATED,
        texts.FACTS["stage"]: stage_name(case.stage or "") or texts.NOT_STATED,
        texts.FACTS["finish"]: texts.FINISH[case.finish],
        texts.FACTS["operator"]: case.operator or (texts.CHIPS_HAND if mixes else texts.NOT_STATED),
        texts.FACTS["viewing"]: wording.viewing(view.viewing),
        texts.FACTS["mixes"]: str(mixes or ""),
    }
    said = "".join(
        f"<div><dt>{escape(name)}</dt><dd>{escape(value)}</dd></div>" for name, value in facts.items() if value
    )
    show_markup(f'<dl class="facts">{said}</dl>', key="facts")


def show_chance(shown: ShownCase) -> None:
    """The chance that every zone is accepted with what is to be done on each."""
    said = f"<span>{escape(texts.WHOLE_CASE)}</span>{_whole(shown)}"
    show_markup(f'<div class="whole">{said}</div>', key="chance")


def _whole(shown: ShownCase) -> str:
    view = shown.view
    if view.advised.accept is None:
        return f"<strong>{escape(words.WORKED_OUT if shown.partly else _unknown(view))}</strong>"
    at_once, later = shown.next.chance or (view.advised.accept, view.advised.accept_within)
    said = f"<strong>{escape(chance(at_once))}</strong>"
    if later is not None and chance(at_once) != chance(later):
        said += f"<span>{escape(within_firings(later))}</span>"
    lost = sum(zone.verdict == "out of reach" for zone in view.advised.zones)
    others = shown.next.reached if lost else None
    if others is not None:
        said += f"<span>{escape(words.WITHOUT_LOST.of(lost, chance=chance(others[0])))}</span>"
    return said


def _unknown(view: CaseView) -> str:
    if any(move.accept is None for zone in view.advised.zones for move in zone.moves):
        return chance(None)
    if any(zone.gap and not zone.moves and zone.verdict == "stain" for zone in view.advised.zones):
        return texts.NO_CHANCE_YET
    stopped = all(zone.verdict == "no firing" for zone in view.advised.zones)
    return texts.NO_CHANCE_HERE if stopped else texts.WHOLE_CASE_UNKNOWN


# ---------------------------------------------------------------- the chosen zone


def show_zone(shown: ShownCase) -> None:
    """Now, predicted and target side by side, the gap in words and numbers, and the one next step."""
    zone, state = shown.zone, zone_state(shown.zone)
    patches: Sequence[swatches.Patch] = swatches.trio(zone.now, predicted(zone, shown.move), zone.target)
    if zone.verdict == "stain" and shown.move is None:  # nothing is predicted yet
        patches = patches[::2]
    note = "" if swatches.shows_all(patches) else f'<p class="note">{escape(texts.CUT_CORNER)}</p>'
    stands = escape(joined([texts.STANDS, rests_on(zone.standing)], " "))
    show_markup(
        f'<div class="zone-detail"><div class="zone-head"><h2>{escape(place_name(zone.tooth, zone.zone))}</h2>'
        f"<p>{inline_sign(state)} {escape(joined([state.word, MEANS[state.word]], ': '))}</p></div>"
        f"<div>{swatches.large(patches)}{note}</div>"
        f'<div>{_gap(zone)}<p class="stands">{stands}</p>{_next_step(shown)}</div></div>',
        key="zone",
    )


def _gap(zone: AdvisedZone) -> str:
    gap = zone.gap
    if gap is None:
        return f"<p>{escape(texts.NO_GAP)}</p>"
    ways = {
        say("value"): wording.value(gap),
        say("chroma"): wording.chroma(gap),
        say("hue"): wording.hue(gap, zone.target),
    }
    rows = "".join(f"<div><dt>{escape(name)}</dt><dd>{escape(said)}</dd></div>" for name, said in ways.items())
    doubt = f" ± {wording.one_decimal(gap.u)}" if gap.u is not None else ""
    return (
        f'<p class="gap"><strong>{wording.one_decimal(gap.dE00)}</strong>{doubt} {escape(texts.GAP_TITLE)}</p>'
        f'<dl class="ways">{rows}</dl>'
    )


def _next_step(shown: ShownCase) -> str:
    """What is to be done here: its mixes and coats, what is expected of it, its chance, and why it is there."""
    zone, move = shown.zone, shown.move
    said = words.STEPS_COME if shown.partly and not zone.moves else wording.verdict(zone)
    title = f"<h3>{escape(words.NEXT_STEP)}</h3>" + (f"<p>{escape(said)}</p>" if said else "")
    if move is None:
        return f'<div class="next-step">{title}</div>'
    steps = "".join(f"<li>{escape(one)}</li>" for one in wording.step(move))
    comes = words.COMES.format(
        dE00=wording.one_decimal(move.dE00), low=wording.one_decimal(move.dE00_p05),
        high=wording.one_decimal(move.dE00_p95),
    )  # fmt: skip
    when = texts.LEFT_AS_IT_IS if move.kind == "leave" else texts.AT_ONCE
    return (
        f'<div class="next-step">{title}<ul>{steps}</ul><p class="comes"><span>{escape(comes)}</span>'
        f"<span><b>{escape(chance(move.accept))}</b> {escape(when)}</span></p><p>{escape(reason(move))}</p></div>"
    )


def main_press(shown: ShownCase, place: Any) -> None:
    """The one main thing: to the readings while a zone with a target was not read, else to the bench sheet."""
    unread = any(zone.now is None and zone.target is not None for zone in shown.view.advised.zones)
    label, page = (texts.TO_READINGS, "readings_page") if unread else (words.TO_SHEET, "sheet_page")
    if place.button(label, type="primary", key="main"):
        go_to(page)


def show_ways_on(shown: ShownCase) -> None:
    """To the readings; or to the bench sheet, a plan for all zones, and after the furnace to the result."""
    unread = any(zone.now is None and zone.target is not None for zone in shown.view.advised.zones)
    with st.container(horizontal=True):
        if unread and st.button(words.TO_SHEET):
            go_to("sheet_page")
        if shown.desk.offer is not None and st.button(words.TO_PLAN):
            go_to("plan_page")
        if not unread and st.button(texts.TO_READINGS):
            go_to("readings_page")
        if st.button(texts.TO_RESULT):
            go_to("result_page")
        desk = case_source.case(shown.code).desk
        undo_change(desk.undoable(), desk.undo, key="undo choices")


def bench_sheet(code: str) -> None:
    """The bench sheet to print, made when it is asked for."""
    name, desk = f"bench-{code}.html", case_source.case(code).desk
    printed = in_this_language(lambda: desk.sheet()[1])
    st.download_button(texts.BENCH_SHEET, printed, name, "text/html", on_click="ignore", key="sheet")


# ---------------------------------------------------------------- next steps


def show_steps(shown: ShownCase) -> None:
    """The ranked next steps, on demand; choosing one keeps it for all chosen zones and shows its colour everywhere."""
    zone, move = shown.zone, shown.move
    if move is None:
        return
    if shown.also:
        st.markdown(f"**{words.ALSO_TITLE}**")
        rows = [(one, shown.moves[key_of(one)]) for one in shown.zones if key_of(one) in shown.moves]
        show_markup(zones_table(rows), key="also")
    name = place_name(zone.tooth, zone.zone)
    if shown.also:
        name = counted(words.AND_MORE, len(shown.also), zone=name)
    with st.expander(f"{texts.STEPS_TITLE}: {plain(name)}", key="all steps"):
        _ranked(shown, zone, move)
    with st.container(horizontal=True):
        show_ways_to_mix(shown)
        if any(key_of(one) in shown.next.steps for one in shown.zones) and st.button(words.BACK_TO_FIRST):
            shown.choose(None)
            st.rerun()


def _ranked(shown: ShownCase, zone: AdvisedZone, move: Move) -> None:
    by_rank = {str(one.rank): one for one in zone.moves}
    rank = next((name for name, one in by_rank.items() if one is move), words.CHOSEN_ROW)

    def choose(found: str) -> None:
        if found in by_rank:
            shown.choose(step_of(by_rank[found]))

    others = {words.CHOSEN_ROW: move} if rank == words.CHOSEN_ROW else {}
    pick(steps_markup(zone, others), label=texts.STEPS_LABEL, chosen=rank, key="steps", on_pick=choose)


def show_case_cautions(shown: ShownCase) -> None:
    """What holds for this stage and what is to be done."""
    zones = shown.view.advised.zones
    strip = any(move.kind == "strip and restain" for move in shown.moves.values())
    show_cautions(safety.of_page(shown.view.case.stage, strip=strip, both=len({zone.tissue for zone in zones}) > 1))


# ---------------------------------------------------------------- what no number says


def show_by_eye(view: CaseView) -> None:
    """Effects of the case, and what is left to the eye."""
    effects = "".join(f"<li>{escape(_effect(one))}</li>" for one in view.case.effects)
    listed = f"<h3>{escape(texts.EFFECTS_TITLE)}</h3><ul>{effects}</ul>" if effects else ""
    show_markup(f'<div class="by-eye">{listed}<p class="note">{escape(texts.ALSO_BY_EYE)}</p></div>', key="by_eye")


def _effect(effect: Effect) -> str:
    parts = [
        joined([str(effect.tooth), effect_name(effect.effect)], " "),
        effect.place,
        wording.mix(effect.pot.as_dict()) if effect.pot else None,
    ]
    return joined(part for part in (*parts, effect.note) if part)
