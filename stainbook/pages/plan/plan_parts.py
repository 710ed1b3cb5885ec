"""The parts of the plan's page: mixes, the arch by mix, what suffers, what one more mix is worth."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from stainbook.faces.plan_words import expected
from stainbook.language import joined
from stainbook.pages.case import case_texts as words
from stainbook.pages.case.case_arch import DARK_BELOW, zone_of
from stainbook.pages.case.page_choices import choices
from stainbook.pages.shell import case_source, texts, wording
from stainbook.pages.shell.page_frame import do, go_to, keep, kept
from stainbook.pages.shell.plain import counted, plain
from stainbook.pages.shell.pressing import pressed
from stainbook.pages.widgets.arch_svg import Face, jaws, key_text
from stainbook.pages.widgets.markup import pick, segments, show_markup
from stainbook.pages.widgets.steps import within_firings
from stainbook.pages.widgets.swatches import screen, small, trio
from stainbook.pages.widgets.tables import table
from stainbook.pages.widgets.trade_plot import trade_plot
from stainbook.words import mixes, plans
from stainbook.words.chances import chance
from stainbook.words.escaping import escape
from stainbook.words.light_names import light
from stainbook.words.places import place
from stainbook.words.states import IN_TOLERANCE, NOT_REACHED, NOT_READ
from stainbook.work.documents.plan_schemas import PlannedLayer, PlannedZone, PlanResult

LOST = 0.05  # of chance: what a zone must lose to few mixes to be named
NAMED = 12  # zones at most that are named
COAT_GREYS = ("#e2e2e2", "#a8a8a8", "#6a6a6a")  # one coat, two, more
DARK_COATS = 3


def take_over(code: str, plan: PlanResult) -> bool:
    """The plan's layers as the chosen next steps of all zones; where they are, on to the sheet. Gives whether so."""
    taken = case_source.case(code).desk.is_taken_over(plan)
    if taken and st.button(words.TO_SHEET, type="primary", key="to sheet"):
        go_to("sheet_page")
    if pressed(words.TAKE_OVER, type="secondary" if taken else "primary"):
        desk = case_source.case(code).desk
        do(lambda: desk.take_over(plan), cannot=texts.CANNOT, done=words.TAKEN_OVER)
    return taken


def show_mixes(code: str, plan: PlanResult) -> None:
    """The mixes with their letters, and the chance of the case."""
    found = plan.within_reach
    if found is not None:
        later = f"<span>{escape(within_firings(found.accept_within))}</span>"
        more = "" if chance(found.accept_within) == chance(found.accept) else later
        said = f"<span>{escape(texts.WHOLE_CASE)}</span><strong>{escape(chance(found.accept))}</strong>{more}"
        show_markup(f'<div class="whole left">{said}</div>', key="plan chance")
    if expected(plan):
        st.markdown(plain(expected(plan)))
    rows = [(f"<b>{escape(one.id)}</b>", escape(wording.mix(one.pot)), str(one.zones)) for one in plan.pots]
    show_markup(table(words.PLAN_MIX_HEADS, rows, numbers=(2,), wide=1), key="plan mixes")
    here = choices().here
    zone = next((one for one in plan.zones if (one.tooth, one.zone) == here.zone), None)
    if zone is not None:
        gaps = case_source.case(code).desk.gaps().advised.zones
        case = next(one for one in gaps if (one.tooth, one.zone) == here.zone)
        patches = trio(case.now, zone.colour, case.target)
        show_markup(
            f'<div class="zone-detail"><h2>{escape(place(zone.tooth, zone.zone))}</h2>'
            f"<p>{escape(painted(zone.layers))}: ΔE00 {wording.one_decimal(zone.dE00)} "
            f"({wording.one_decimal(zone.dE00_p05)}–{wording.one_decimal(zone.dE00_p95)}), "
            f"{escape(chance(zone.accept))}</p>"
            f'<p class="label">{escape(texts.STEP_HEADS[1])}</p>{small(patches)}{_in_lights(zone)}</div>',
            key="plan zone",
        )


def _in_lights(zone: PlannedZone) -> str:
    """The strip of the zone under each further light of the case."""
    said = []
    for one in zone.lights:
        if one.now is not None and one.dE00 is not None and one.illuminant != zone.colour.illuminant:
            strip = small(trio(one.now, one.expected, one.target))
            said.append(f"<p>{escape(light(one.illuminant))}: ΔE00 {wording.one_decimal(one.dE00)}</p>{strip}")
    return "".join(said)


def painted(layers: Sequence[PlannedLayer]) -> str:
    """``mix Y, 2 coats, when dry: mix J, 1 coat``."""
    said = [mixes.coats_of(one.pot, one.coats) for one in layers]
    return joined([*said[:1], *map(wording.when_dry, said[1:])]) or words.NO_LAYER


# ---------------------------------------------------------------- the arch

_STATES = {"out of reach": NOT_REACHED, "leave": IN_TOLERANCE}


def show_on_arch(plan: PlanResult) -> None:
    """Where the mixes go: those of one pass by letter, or one mix as areas by its coats."""
    count = max((len(zone.layers) for zone in plan.zones), default=0)
    options = {f"pass {place}": escape(plans.pass_name(place)) for place in range(max(count, 1))}
    options |= {f"mix {place}": escape(one.id) for place, one in enumerate(plan.pots)}
    shown = kept("plan shown", "pass 0")
    shown = shown if shown in options else "pass 0"
    kind, number = shown.split()
    mix = plan.pots[int(number)].id if kind == "mix" else None
    pick(
        segments(words.MIX_SHOWN, options), label=words.MIX_SHOWN, chosen=shown, key="plan fill",
        on_pick=lambda found: keep("plan shown", found),
    )  # fmt: skip
    here = choices().here

    def take(found: str) -> None:
        here.zone, here.also = zone_of(found), []

    zone = key_text(here.zone) if here.zone else None
    drawn = jaws(plan.zones, lambda one: _face(one, int(number), mix))
    pick(drawn, label=words.PLAN_ARCH, chosen=zone, key="plan arch", on_pick=take)
    st.caption(words.COATS_OF_ALL if mix is None else words.COATS_OF_ONE)


def _face(zone: PlannedZone, number: int, mix: str | None) -> Face:
    """A zone with its layer of one pass, or with the coats of one mix."""
    label = joined([place(zone.tooth, zone.zone), joined([painted(zone.layers), chance(zone.accept)], "; ")], ": ")
    state = _STATES.get(zone.verdict, NOT_READ)
    if mix is not None:
        coats = sum(layer.coats for layer in zone.layers if layer.pot == mix)
        if not coats:
            return Face(None, state, "", False, label)
        return Face(
            COAT_GREYS[min(coats, len(COAT_GREYS)) - 1], state, mixes.mark("", coats), coats >= DARK_COATS, label
        )
    text = "".join(mixes.mark(layer.pot, layer.coats) for layer in zone.layers[number : number + 1])
    nothing = "" if zone.layers else None  # a zone that takes its layer in another pass has no sign
    return Face(screen(zone.colour), state, text or nothing, zone.colour.L < DARK_BELOW, label)


# ---------------------------------------------------------------- zones


def show_suffering(plan: PlanResult) -> None:
    """The zones that lose most to there being few mixes."""
    st.subheader(words.SUFFER, anchor=False)
    lost = [(_lost(zone), zone) for zone in plan.zones if _lost(zone) > LOST]
    if not lost:
        st.markdown(words.NONE_SUFFER)
        return
    worst = [zone for _, zone in sorted(lost, key=lambda pair: -pair[0])[:NAMED]]
    show_markup(_zones(worst), key="plan suffering")


def _lost(zone: PlannedZone) -> float:
    return (zone.accept_unlimited or 0.0) - (zone.accept or 0.0)


def show_zones(plan: PlanResult) -> None:
    """All zones with their layers and chances."""
    st.subheader(words.ALL_ZONES, anchor=False)
    show_markup(_zones(plan.zones), key="plan zones")


def _zones(zones: Sequence[PlannedZone]) -> str:
    rows = [
        (
            escape(place(zone.tooth, zone.zone)),
            escape(painted(zone.layers)),
            wording.one_decimal(zone.dE00),
            escape(chance(zone.accept)),
            escape(chance(zone.accept_unlimited)) if zone.accept_unlimited is not None else "",
        )
        for zone in zones
    ]
    return table(words.PLAN_ZONE_HEADS, rows, numbers=(2,), wide=1)


# ---------------------------------------------------------------- the trade-off


def show_trade(plan: PlanResult) -> None:
    """What one more mix is worth, up to a few."""
    st.subheader(words.TRADE_TITLE, anchor=False)
    if not plan.trade_off or plan.unlimited is None or plan.within_reach is None:
        return
    tried = {one.mixes: one for one in [*plan.trade_off, plan.within_reach]}
    rows = [tried[mixes] for mixes in sorted(tried)]
    zones = [(one.mixes, one.expected) for one in rows if one.expected is not None]
    st.vega_lite_chart(spec=trade_plot(zones, plan.zones_counted), width="content", theme=None, alt=words.TRADE_TITLE)
    cells = [(str(one.mixes), escape(chance(one.accept)), escape(chance(one.accept_within))) for one in rows]
    show_markup(table(words.TRADE_HEADS, cells, numbers=(0,), wide=2), key="plan trade")
    st.markdown(counted(words.TRADE_NOTE, plan.unlimited.mixes, chance=chance(plan.unlimited.accept)))
