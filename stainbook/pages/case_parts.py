"""The parts of the case page, from top to bottom."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

import streamlit as st

from stainbook.pages import case_source, texts, wording
from stainbook.pages.case_state import Choices
from stainbook.pages.frame import go_to
from stainbook.pages.widgets import planes, scale, swatches
from stainbook.pages.widgets.arch_svg import Face, arch_markup, key_text
from stainbook.pages.widgets.legend import fill_legend, plot_legend, states_legend
from stainbook.pages.widgets.markup import pick, segments, show_markup
from stainbook.pages.widgets.signs import inline_sign
from stainbook.pages.widgets.spectra import spectra
from stainbook.pages.widgets.steps import steps_markup
from stainbook.pages.widgets.zone_list import list_markup, zone_label
from stainbook.records import Effect
from stainbook.report.arch_shapes import draw_jaw, is_upper
from stainbook.work.schemas import AdvisedZone, Colour, Move
from stainbook.work.views import CaseView, Curve, limits_of, predicted, step_of, zone_state

ZoneKey = tuple[int, str]
RAMP = ("#f0f0f0", "#c6c6c6", "#919191", "#5a5a5a", "#262626")  # not seen … over three times acceptable
DARK_FROM = 3  # the step of the ramp on which signs turn light
DARK_BELOW = 45.0  # L* below which signs turn light


# ---------------------------------------------------------------- header


def show_facts(view: CaseView) -> None:
    """Material, stage, finish, technician, light and observer, and how many mixes the first steps need."""
    case = view.case
    facts = {
        texts.FACTS["material"]: case.material or texts.NOT_STATED,
        texts.FACTS["stage"]: texts.STAGE.get(case.stage or "", case.stage or texts.NOT_STATED),
        texts.FACTS["finish"]: texts.FINISH[case.finish],
        texts.FACTS["operator"]: case.operator or (texts.CHIPS_HAND if view.advised.pots else texts.NOT_STATED),
        texts.FACTS["viewing"]: wording.viewing(view.viewing),
        texts.FACTS["mixes"]: str(len(view.advised.pots) or ""),
    }
    said = "".join(f"<div><dt>{name}</dt><dd>{escape(value)}</dd></div>" for name, value in facts.items() if value)
    show_markup(f'<dl class="facts">{said}</dl>', key="facts")


def show_odds(view: CaseView) -> None:
    """The chance that every zone is accepted."""
    said = f"<span>{texts.WHOLE_CASE}</span><strong>{_whole(view)}</strong>{_later(view)}"
    show_markup(f'<div class="whole">{said}</div>', key="odds")


def _whole(view: CaseView) -> str:
    if view.advised.accept is not None:
        return wording.odds(view.advised.accept)
    if any(zone.gap and not zone.moves and zone.verdict == "stain" for zone in view.advised.zones):
        return texts.NO_ODDS_YET
    stopped = all(zone.verdict == "no firing" for zone in view.advised.zones)
    return texts.NO_ODDS_HERE if stopped else texts.WHOLE_CASE_UNKNOWN


def _later(view: CaseView) -> str:
    """The odds within the firings left, where they are others than those of the next one."""
    at_once, later = view.advised.accept, view.advised.accept_within
    if at_once is None or later is None or wording.odds(at_once) == wording.odds(later):
        return ""
    return f"<span>{wording.odds(later)} {texts.WITHIN_FIRINGS}</span>"


# ---------------------------------------------------------------- arch


def show_arch(view: CaseView, zone: AdvisedZone, chosen: Choices) -> None:
    """The drawn jaws; a tap or an arrow key chooses a zone."""

    def fill(found: str) -> None:
        chosen.fill = found

    pick(segments(texts.FILL_LABEL, texts.FILLS), label=texts.FILL_LABEL, chosen=chosen.fill, key="fill", on_pick=fill)
    legend = fill_legend(RAMP) if chosen.fill == "difference" else ""
    pick(
        "".join(_jaws(view.advised.zones, chosen)) + states_legend() + legend,
        label=texts.ARCH_LABEL,
        chosen=key_text(_key(zone)),
        key="arch",
        on_pick=lambda found: _choose_zone(chosen, found),
    )


def _jaws(zones: Sequence[AdvisedZone], chosen: Choices) -> list[str]:
    jaws = [[zone for zone in zones if is_upper(zone.tooth) == upper] for upper in (True, False)]
    return [
        arch_markup(
            draw_jaw([(zone.tooth, zone.zone, zone.tissue) for zone in jaw]),
            {_key(zone): _face(zone, chosen) for zone in jaw},
            (texts.RIGHT, texts.LEFT),
        )
        for jaw in jaws
        if jaw
    ]


def _face(zone: AdvisedZone, chosen: Choices) -> Face:
    state, label = zone_state(zone), zone_label(zone)
    if chosen.fill == "difference":
        if zone.gap is None:
            return Face(None, state, None, False, label)
        step = step_of(zone.gap.dE00, limits_of(zone))
        return Face(RAMP[step], state, wording.one_decimal(zone.gap.dE00), step >= DARK_FROM, label)
    colour = {"now": zone.now, "target": zone.target, "predicted": predicted(zone, chosen_move(zone, chosen))}[
        chosen.fill
    ]
    if colour is None:
        return Face(None, state, None, False, label)
    return Face(swatches.screen(colour), state, None, colour.L < DARK_BELOW, label)


def _key(zone: AdvisedZone) -> ZoneKey:
    return zone.tooth, zone.zone


def _choose_zone(chosen: Choices, found: str) -> None:
    tooth, name = found.split(" ", 1)
    chosen.here.zone = int(tooth), name


def chosen_move(zone: AdvisedZone, chosen: Choices) -> Move | None:
    """The step chosen for a zone, else its first; None where none is proposed."""
    rank = chosen.here.ranks.get(_key(zone), 1)
    return next((move for move in zone.moves if move.rank == rank), zone.moves[0] if zone.moves else None)


# ---------------------------------------------------------------- the chosen zone


def show_zone(zone: AdvisedZone, chosen: Choices) -> None:
    """Now, predicted and target side by side, and the gap in words and numbers."""
    state = zone_state(zone)
    patches: Sequence[swatches.Patch] = swatches.trio(zone.now, predicted(zone, chosen_move(zone, chosen)), zone.target)
    if zone.verdict == "stain" and not zone.moves:  # nothing is predicted yet
        patches = patches[::2]
    note = "" if swatches.shows_all(patches) else f'<p class="note">{texts.CUT_CORNER}</p>'
    show_markup(
        f'<div class="zone-detail"><h2>{zone.tooth} {escape(zone.zone)}</h2>'
        f"<p>{inline_sign(state)} {state.word}: {texts.STATE_MEANS[state.word]}</p>"
        f"{swatches.large(patches)}{note}{_gap(zone)}</div>",
        key="zone",
    )


def _gap(zone: AdvisedZone) -> str:
    gap = zone.gap
    if gap is None:
        return f"<p>{texts.NO_GAP}</p>"
    limits = limits_of(zone)
    line = scale.gap_line(scale.common_scale([], limits, gap.dE00), gap.dE00)
    words = {"value": wording.value(gap), "chroma": wording.chroma(gap), "hue": wording.hue(gap, zone.target)}
    rows = "".join(f"<div><dt>{name}</dt><dd>{said}</dd></div>" for name, said in words.items())
    doubt = f" ± {wording.one_decimal(gap.u)}" if gap.u is not None else ""
    return (
        f'<p class="gap"><strong>{wording.one_decimal(gap.dE00)}</strong>{doubt} ΔE00 {texts.GAP_TITLE}</p>{line}'
        f'<dl class="ways">{rows}</dl>'
    )


def show_ways_on(view: CaseView, chosen: Choices) -> None:
    """To the readings, or with the bench sheet to the furnace and on to the result."""
    unread = any(zone.now is None and zone.target is not None for zone in view.advised.zones)
    path = chosen.case or ""
    with st.container(horizontal=True):
        if st.button(texts.TO_READINGS, type="primary" if unread else "secondary"):
            go_to("readings_page")
        if st.button(texts.TO_RESULT, type="secondary" if unread else "primary"):
            go_to("result_page")
        bench_sheet(path)


def bench_sheet(path: str) -> None:
    """The bench sheet to print, made when it is asked for."""
    name = f"bench-{case_source.case_name(path)}.html"
    st.download_button(
        texts.BENCH_SHEET, lambda: case_source.bench_sheet(path), name, "text/html", on_click="ignore", key="sheet"
    )


# ---------------------------------------------------------------- next steps


def show_steps(zone: AdvisedZone, chosen: Choices) -> None:
    """The ranked next steps; choosing one shows its colour everywhere."""
    st.subheader(f"{texts.STEPS_TITLE}: {zone.tooth} {zone.zone}", anchor=False)
    said = wording.verdict(zone)
    if said:
        st.markdown(said)
    if not zone.moves:
        return

    def choose(found: str) -> None:
        chosen.here.ranks[_key(zone)] = int(found)

    move = chosen_move(zone, chosen)
    pick(
        steps_markup(zone),
        label=texts.STEPS_LABEL,
        chosen=str(move.rank) if move else None,
        key="steps",
        on_pick=choose,
    )
    show_markup(f'<p class="note">{texts.CAUTIONS}</p>', key="cautions")


# ---------------------------------------------------------------- plots


def show_plots(view: CaseView, zone: AdvisedZone, chosen: Choices) -> None:
    """The planes around the target and the spectra, with the chosen step."""
    move = chosen_move(zone, chosen)
    st.subheader(f"{texts.PLOTS_TITLE}: {zone.tooth} {zone.zone}", anchor=False)
    charts = planes.planes(zone, move.colour if move else None)
    curves = _curves(view, zone, move)
    show_markup(plot_legend(), key="marks")
    with st.container(horizontal=True, gap="medium"):
        for name, chart in zip(planes.TITLES.values(), charts, strict=False):
            st.vega_lite_chart(spec=chart, width="content", theme=None, alt=_said(name, zone, move))
        if curves:
            st.vega_lite_chart(spec=spectra(curves), width="content", theme=None, alt=texts.SPECTRUM)
    if not curves:
        st.markdown(texts.NO_SPECTRUM)


def _curves(view: CaseView, zone: AdvisedZone, move: Move | None) -> list[Curve]:
    known = view.curves.get(_key(zone))
    if known is None:
        return []
    after = known.moves[zone.moves.index(move)] if move and len(known.moves) == len(zone.moves) else None
    return [curve for curve in (known.now, after, known.target) if curve is not None]


def _said(name: str, zone: AdvisedZone, move: Move | None) -> str:
    colours: dict[str, Colour | None] = {
        texts.NOW: zone.now,
        texts.PREDICTED: move.colour if move else None,
        texts.TARGET: zone.target,
    }
    return f"{name}; " + "; ".join(f"{word}: {wording.lab(colour)}" for word, colour in colours.items())


# ---------------------------------------------------------------- all zones, and what no number says


def show_list(view: CaseView, zone: AdvisedZone, chosen: Choices) -> None:
    """Every zone as a row that can be chosen."""
    st.subheader(texts.ZONES_TITLE, anchor=False)
    pick(
        list_markup(view.advised.zones),
        label=texts.LIST_LABEL,
        chosen=key_text(_key(zone)),
        key="zones",
        on_pick=lambda found: _choose_zone(chosen, found),
    )


def show_by_eye(view: CaseView) -> None:
    """Effects of the case, and what is left to the eye."""
    effects = "".join(f"<li>{escape(_effect(one))}</li>" for one in view.case.effects)
    listed = f"<h3>{texts.EFFECTS_TITLE}, {texts.EFFECTS_NOTE}</h3><ul>{effects}</ul>" if effects else ""
    show_markup(f'<div class="by-eye">{listed}<p class="note">{texts.ALSO_BY_EYE}</p></div>', key="by_eye")


def _effect(effect: Effect) -> str:
    parts = [f"{effect.tooth} {effect.effect}", effect.place, wording.mix(effect.pot.as_dict()) if effect.pot else None]
    return ", ".join(part for part in (*parts, effect.note) if part)
