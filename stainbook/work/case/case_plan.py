"""One set of few mixes for a whole case: fetch, choose, tell."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from stainbook.book import Book
from stainbook.book.marks import case_mark
from stainbook.errors import some_of
from stainbook.language import joined, listed, say
from stainbook.match import UNWATCHED, Bench, Watch, ZoneProblem
from stainbook.match.plan import Plan, Together, ZonePlan
from stainbook.match.reasons import Reason, ZoneNote
from stainbook.match.settling import in_tolerance
from stainbook.records import NO_FIRING_STAGES, Effect, Pot, Stain
from stainbook.words import mixes
from stainbook.words.dilution import dilution_of
from stainbook.words.effects import effect_name
from stainbook.words.places import place
from stainbook.words.sentences import NO_STAIN, NONE_BEARS, note, why
from stainbook.work.case.advise import lights_shown, painted_of, then_shown
from stainbook.work.case.chosen import moved_chances, plan_steps
from stainbook.work.case.current_case import What
from stainbook.work.case.holding_back import holding_back
from stainbook.work.case.problems import AdviceAsked, PreparedCase, prepare_case
from stainbook.work.case.searches import check_mixes, plan_for, searched
from stainbook.work.documents.document_parts import ColourResult
from stainbook.work.documents.plan_schemas import (
    Palette,
    PlannedLayer,
    PlannedPot,
    PlannedZone,
    PlanResult,
)
from stainbook.work.stains.mix_weights import too_coarse, weigh


@dataclass(frozen=True, slots=True)
class PlanAsked:
    """What a call for a plan may state beside the case: most mixes, and grams of each mix on a scale of this step.

    ``at_hand``: of mixes that stand ready alone, in one pass over the piece.
    """

    advice: AdviceAsked = field(default_factory=AdviceAsked)
    most: int | None = None
    trade_off: bool = False
    grams: float | None = None
    scale_step: float = 0.01
    at_hand: bool = False


def plan_file(book: Book, what: What, wish: PlanAsked | None = None, *, watch: Watch = UNWATCHED) -> PlanResult:
    """The plan of a case, by its code or file; ``watch`` is told how far it is.

    Raises InputError for files that cannot be used, where no stain was calibrated yet, and for mixes that
    cannot be counted or weighed.
    """
    wish = checked(wish)
    ready = prepare_case(book, what, wish.advice)
    asked: dict[str, Any] = {"most": wish.most, "trade_off": wish.trade_off, "at_hand": wish.at_hand}

    def here() -> Plan:
        return plan_for(ready, **asked, watch=watch)

    plan = searched("plan", book, ready, here, watch, **asked) if wish.advice == AdviceAsked() else here()
    return shown(ready, plan, wish, ids_of(plan, ready.bench.stock))


def checked(wish: PlanAsked | None) -> PlanAsked:
    """What is asked; raises InputError for mixes that cannot be counted."""
    wish = wish or PlanAsked()
    check_mixes(wish.most)
    return wish


def shown(ready: PreparedCase, plan: Plan, wish: PlanAsked, ids: Mapping[Pot, str]) -> PlanResult:
    """A plan as documents hold it; ``ids`` names its mixes."""
    liquid = ready.bench.soaks
    pots = [_pot(pot, name, plan, wish, ready.bench.stock, liquid) for pot, name in ids.items()]
    fired = ready.case.stage not in NO_FIRING_STAGES and any(zone.verdict != "no firing" for zone in plan.zones)
    told = not ready.held_back
    counted = [zone.move for zone in plan.zones if zone.counts]
    within = fired and told and any(zone.counts and zone.verdict in ("stain", "leave") for zone in plan.zones)
    result = PlanResult(
        case=ready.case.case,
        pots=pots,
        accept=plan.accept if counted and fired and told else None,
        accept_within=plan.accept_within if counted and fired and told else None,
        zones=[_zone(zone, ids, liquid, told) for zone in plan.zones],
        within_reach=_palette(plan.together) if within else None,
        unlimited=_palette(plan.unlimited) if within else None,
        trade_off=[_palette(one) for one in plan.trade_off] if within else [],
        expected_in_tolerance=in_tolerance(counted) if counted and fired and told else None,
        zones_counted=len(counted) if fired else 0,
        one_more=_palette(plan.one_more) if within and plan.one_more is not None else None,
        at_hand=_palette(plan.at_hand) if within and plan.at_hand is not None else None,
        holding_back=holding_back(plan, ready) if fired else [],
        mark=case_mark(ready.state) if ready.state is not None else None,
        effects=[effect_words(one) for one in ready.case.effects],
        programme=ready.case.programme,
        stage=ready.case.stage,
        forms=forms_of(ids, ready.lab.stains),
        apprentice=ready.apprentice,
        warnings=list(dict.fromkeys(_warnings(ready, plan, pots, wish))),
    )
    return result.model_copy(update={"warnings": [*result.warnings, *_moved(ready, result)]})


def _moved(ready: PreparedCase, plan: PlanResult) -> list[str]:
    """Where the plan was chosen and its chance is another by now."""
    if ready.state is None:
        return []
    now = {(zone.tooth, zone.zone): zone.accept for zone in plan.zones}
    return moved_chances(ready.state, {key: (step, now[key]) for key, step in plan_steps(plan).items()})


def _warnings(ready: PreparedCase, plan: Plan, pots: Sequence[PlannedPot], wish: PlanAsked) -> Iterator[str]:
    yield from (*ready.warnings, *_held(ready.held), *_apart(ready.bench), *_nothing(ready, plan))
    yield from too_coarse(pots, wish.scale_step)


def _nothing(ready: PreparedCase, plan: Plan) -> Iterator[str]:
    """Why nothing may be laid on any zone, and what would do."""
    yield from dict.fromkeys(
        note(zone.why) for zone in plan.zones if isinstance(zone.why, ZoneNote) and zone.verdict == "no firing"
    )
    stains = ready.bench.stains
    if plan.no_stain:
        yield NO_STAIN
    elif stains and ready.open and all(_used_up(problem, stains) for problem in ready.open):
        yield NONE_BEARS


def _used_up(problem: ZoneProblem, stains: Sequence[str]) -> bool:
    return all(problem.firings_of.get(name, 1) < 1 for name in stains)


def _held(held: Mapping[tuple[int, str], str]) -> list[str]:
    """What keeps zones from being painted, each reason once with how many zones it is about."""
    counted: dict[str, list[str]] = {}
    for (tooth, zone), held_for in held.items():
        counted.setdefault(held_for, []).append(place(tooth, zone))
    return [joined([some_of(zones, most=1), one], ": ") for one, zones in counted.items()]


def _apart(bench: Bench) -> list[str]:
    """Standing mixes that are not used, since the lab mixes no jars of their systems or forms."""
    return [
        say(
            "the standing mix {mix} is not used: {stains} are of two systems or forms; the lab's settings can "
            "name them as mixed together",
            mix=name,
            stains=listed(sorted(pair)),
        )
        for name, pot in bench.stock.items()
        for pair in bench.apart
        if pair <= set(pot.stains)
    ]


def ids_of(plan: Plan, stock: Mapping[str, Pot]) -> dict[Pot, str]:
    """Each mix by its own name where it stands ready, else by a letter of its tissue."""
    return named({pot: _tissue(pot, plan) for pot in plan.pots}, stock)


def named(tissues: Mapping[Pot, str], stock: Mapping[str, Pot]) -> dict[Pot, str]:
    """The names of mixes, each with the tissue that it is for: its own where it stands ready, else a letter."""
    ready = {pot: name for name, pot in stock.items()}
    fresh = [pot for pot in tissues if pot not in ready]
    letters = dict(zip(fresh, mixes.names((tissues[pot] for pot in fresh), taken=stock), strict=True))
    return {pot: ready.get(pot) or letters[pot] for pot in tissues}


def _tissue(pot: Pot, plan: Plan) -> str:
    """The tissue of most zones that a mix goes on."""
    used = Counter(zone.tissue for zone in plan.zones if any(layer.pot == pot for layer in zone.move.layers))
    return used.most_common(1)[0][0] if used else "tooth"


def _pot(pot: Pot, name: str, plan: Plan, wish: PlanAsked, stock: Mapping[str, Pot], liquid: bool) -> PlannedPot:
    zones = sum(any(layer.pot == pot for layer in zone.move.layers) for zone in plan.zones)
    return mix_shown(pot, name, zones, stock, liquid=liquid, grams=wish.grams, scale_step=wish.scale_step)


def mix_shown(
    pot: Pot, name: str, zones: int, stock: Mapping[str, Pot], *, liquid: bool, grams: float | None, scale_step: float
) -> PlannedPot:
    """A mix as a sheet holds it, weighed where ``grams`` of it are made; ``zones`` is how many it goes on."""
    shares, ready = pot.as_dict(), {own: one.as_dict() for own, one in stock.items()}
    return PlannedPot(
        id=name,
        pot=shares,
        zones=zones,
        weighed=weigh(shares, grams, scale_step) if grams is not None else None,
        liquid=liquid,
        stock=name in stock,
        dilution=None if name in stock else dilution_of(shares, ready, liquid=liquid),
    )


def _zone(zone: ZonePlan, ids: Mapping[Pot, str], liquid: bool, told: bool) -> PlannedZone:
    move = zone.move
    L, a, b = (float(value) for value in move.lab)
    viewing = move.problem.viewing
    return PlannedZone(
        tooth=zone.key[0],
        zone=zone.key[1],
        tissue=zone.tissue,
        layers=[PlannedLayer(pot=ids[layer.pot], coats=layer.coats) for layer in move.layers],
        verdict=zone.verdict,
        colour=ColourResult(L=L, a=a, b=b, illuminant=viewing.illuminant, observer=viewing.observer or None),
        dE00=move.dE00,
        dE00_p05=move.low,
        dE00_p95=move.high,
        accept=move.accept if told else None,
        accept_within=move.accept_within if told else None,
        why=why(zone.why) if isinstance(zone.why, Reason) else note(zone.why),
        painted=painted_of(move.layers, liquid=liquid),
        then=then_shown(zone.then, told=told),
        lights=lights_shown(move.lights, told=told),
        accept_unlimited=zone.best if told else None,
        radius=move.radius,
        counted=zone.counts,
    )


def _palette(one: Together) -> Palette:
    return Palette(
        mixes=one.mixes, accept=one.accept, accept_within=one.accept_within, expected=one.expected, fresh=one.fresh,
        dryings=one.dryings, minutes=one.minutes,
    )  # fmt: skip


def forms_of(pots: Iterable[Pot], stains: Mapping[str, Stain]) -> list[str]:
    """The forms of the jars in some mixes: what is weighed."""
    used = (stains.get(name) for pot in pots for name in pot.stains)
    return sorted({one.form for one in used if one is not None and one.form})


def effect_words(effect: Effect) -> str:
    """An effect as a line: ``11: halo at incisal edge, 1 part flour + 3 parts clear, thin``."""
    known = {"tooth": effect.tooth, "effect": effect_name(effect.effect)}
    drawn = say("{tooth}: {effect} at {place}", place=effect.place, **known) if effect.place else None
    parts = [drawn or say("{tooth}: {effect}", **known), mixes.mix(effect.pot) if effect.pot else None, effect.note]
    return joined(part for part in parts if part)
