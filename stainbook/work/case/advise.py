"""What to do next on each zone of a case: fetch, compare, search, and tell."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stainbook.book import Book
from stainbook.colour import ThresholdSet
from stainbook.language import say
from stainbook.match import (
    UNWATCHED,
    BlankAdvice,
    CaseAdvice,
    FollowOn,
    InLight,
    NextStep,
    Ready,
    Start,
    Watch,
    ZoneAdvice,
    rank_blanks,
    ready_case,
)
from stainbook.optics.forecast import Hands
from stainbook.records import Case, LabValues, Layers, Viewing
from stainbook.words.grounds import place_of
from stainbook.words.sentences import note, why
from stainbook.work.case.current_case import What
from stainbook.work.case.problems import AdviceAsked as AdviceAsked
from stainbook.work.case.problems import PreparedCase, forecasts_of, prepare_case
from stainbook.work.case.remake_price import priced
from stainbook.work.case.searches import advice_on, searched, starts_of
from stainbook.work.case.standing import NOT_READ_YET
from stainbook.work.case.zones import ZoneColours
from stainbook.work.documents.schemas import (
    AdvisedCase,
    AdvisedZone,
    AdviseResult,
    ColourResult,
    Gap,
    Move,
    PaintedLayer,
    RankedBlank,
    RemakeResult,
    StandingResult,
    Then,
    TranslucencyResult,
    UnderLight,
)
from stainbook.work.reading.compare import graded
from stainbook.work.reading.samples import SampleColour, colour_of
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, viewing_of
from stainbook.work.stains.predict import LabOptics
from stainbook.work.stains.seat import translucency_of

NOT_READ = say("not read yet: read the zone first")
NO_TARGET = say("no target yet: name a tab of the guide, a reading or a colour")


@dataclass(frozen=True, slots=True, eq=False)
class CaseDetail:
    """A case's advice with all that it was worked out from, for pages that draw it and try further mixes."""

    prepared: PreparedCase
    ready: Ready
    shown: AdvisedCase
    warnings: tuple[str, ...] = ()

    @property
    def case(self) -> Case:
        """The case."""
        return self.prepared.case

    @property
    def zones(self) -> tuple[ZoneColours, ...]:
        """Its zones with their readings and targets."""
        return self.prepared.zones

    @property
    def lab(self) -> LabOptics:
        """What the book knows of stains."""
        return self.prepared.lab

    @property
    def hands(self) -> Hands:
        """Whose hand and which jars are meant."""
        return self.prepared.hands


def advise_files(book: Book, cases: Sequence[What], wish: AdviceAsked | None = None) -> AdviseResult:
    """Advice on cases, each by its code or file.

    Raises InputError for files that cannot be used and where no stain was calibrated yet.
    """
    details = [case_detail(book, what, wish, remade=True) for what in cases]
    told = dict.fromkeys(line for detail in details for line in detail.warnings)
    return AdviseResult(cases=[detail.shown for detail in details], warnings=list(told))


def case_detail(
    book: Book, what: What, wish: AdviceAsked | None = None, *, watch: Watch = UNWATCHED, remade: bool = False
) -> CaseDetail:
    """Advice on one case, by its code or file, with what pages draw; raises StoppedError when ``watch`` is to stop.

    remade : tell the chance of the whole piece remade on another blank too, which is advised once more for it
    """
    wish = wish or AdviceAsked()
    return detail_of(book, prepare_case(book, what, wish), wish, watch=watch, remade=remade)


def detail_of(
    book: Book, found: PreparedCase, wish: AdviceAsked, *, watch: Watch = UNWATCHED, remade: bool = False
) -> CaseDetail:
    """Advice on a case that was looked up; ``remade`` as of `case_detail`.

    Raises StoppedError when ``watch`` is to stop.
    """
    case, bench = found.case, found.bench
    starts = starts_of(book, found, wish.bodies)
    ready = ready_case(bench, found.open, stage=case.stage, watch=watch)

    def here() -> CaseAdvice:
        return advice_on(found, starts, ready, watch)

    advice = searched("advice", book, found, here, watch) if wish == AdviceAsked() else here()
    advice, blank = one_blank(advice, starts)
    counted = [one for one in found.problems if one.counts]
    remake = rank_blanks(bench, counted, blank, stage=case.stage) if blank and remade else []
    ranked = rank_blanks(bench, counted, starts, stage=case.stage) if wish.bodies else []
    shown = _shown(found, advice, ranked, remake[0] if remake else None)
    return CaseDetail(found, ready, shown, tuple(dict.fromkeys(found.warnings)))


# ---------------------------------------------------------------- from the match


def _shown(
    found: PreparedCase, advice: CaseAdvice, ranked: Sequence[BlankAdvice], remake: BlankAdvice | None
) -> AdvisedCase:
    case, limits = found.case, found.thresholds
    told = {one.key: one for one in advice.zones}
    rows = []
    for zone in found.zones:
        own = told.get(zone.zone.key)
        held = found.held.get(zone.zone.key)
        rows.append(
            AdvisedZone(
                tooth=zone.zone.tooth,
                zone=zone.zone.zone,
                tissue=zone.zone.tissue,
                gap=gap_of(zone, limits) if zone.seen is not None and zone.target is not None else None,
                verdict=_verdict(own, zone),
                moves=[priced(move_shown(move, told=not found.held_back), found.prices) for move in own.moves]
                if own
                else [],
                why=_why(own, zone) if own else held or _not_known(zone),
                now=colour_shown(zone.seen.lab, zone.seen.viewing) if zone.seen else None,
                target=colour_shown(zone.target.lab, zone.target.viewing) if zone.target else None,
                thresholds=limits[zone.zone.tissue].name,
                standing=standing_shown(zone),
                translucency=_translucency(zone, own, found),
                counted=zone.zone.key not in found.by_eye,
            )
        )
    proposed = not found.held_back and any(
        one.verdict != "no firing" and one.key not in found.by_eye for one in advice.zones
    )
    return AdvisedCase(
        case=case.case,
        accept=advice.accept if proposed else None,
        accept_within=advice.accept_within if proposed else None,
        zones=rows,
        pots=[pot.as_dict() for pot in advice.pots],
        blanks=[_blank(one, rank, told=not found.held_back) for rank, one in enumerate(ranked, start=1)],
        remake=RemakeResult(
            body=remake.blank,
            accept=None if found.held_back else remake.case.accept,
            accept_within=None if found.held_back else remake.case.accept_within,
        )
        if remake is not None
        else None,
    )


def _translucency(zone: ZoneColours, own: ZoneAdvice | None, found: PreparedCase) -> TranslucencyResult | None:
    """What shows through a zone whose ceramic and thickness are known, and through it with its first next step."""
    if zone.seat is None or zone.now is None:
        return None
    tp00, ratio = zone.seat.translucency(zone.now)
    steps = [move for move in own.moves if move.kind == "add"] if own else []
    if not steps:
        return TranslucencyResult(tp00=tp00, contrast_ratio=ratio, tp00_stained=None, contrast_ratio_stained=None)
    laid = [
        forecasts_of(replace(zone, now=piece), [steps[0].layers], found.case, found.lab, found.hands)[0].reflectance
        for piece in zone.seat.on_black_and_white(zone.now)
    ]
    stained, stained_ratio = translucency_of(*laid)
    return TranslucencyResult(
        tp00=tp00, contrast_ratio=ratio, tp00_stained=stained, contrast_ratio_stained=stained_ratio
    )


def one_blank(advice: CaseAdvice, starts: Mapping[str, Start]) -> tuple[CaseAdvice, dict[str, Start]]:
    """The advice with one other blank at most: a piece is milled from one, the best for all zones that ask for it."""
    worth: dict[str, float] = {}
    for zone in advice.zones:
        best: dict[str, float] = {}
        for move in zone.moves:
            if move.kind == "remake" and move.on is not None:
                best[move.on] = max(best.get(move.on, 0.0), move.accept_within)
        for name, chance in best.items():
            worth[name] = worth.get(name, 0.0) + chance
    if not worth:
        return advice, {}
    name = max(worth, key=lambda one: (worth[one], one))
    zones = tuple(_with_blank(zone, name) for zone in advice.zones)
    return replace(advice, zones=zones), {name: starts[name]}


def _with_blank(zone: ZoneAdvice, name: str) -> ZoneAdvice:
    moves = [move for move in zone.moves if move.kind != "remake" or move.on == name]
    ranked = tuple(replace(move, rank=rank) for rank, move in enumerate(moves, start=1))
    return replace(zone, moves=ranked)


def _verdict(own: ZoneAdvice | None, zone: ZoneColours) -> str:
    """What is advised; of a zone that was not read itself nobody can say that stain cannot bring it there."""
    if own is None:
        return "no firing"
    return "stain" if own.verdict == "out of reach" and _by_another(zone) else own.verdict


def _why(own: ZoneAdvice, zone: ZoneColours) -> str | None:
    if own.verdict == "out of reach" and _by_another(zone):
        of = place_of(zone.standing.of or "") if zone.standing is not None else ""
        return say(
            "like {other}, not read itself: read it first, by that reading stain cannot bring it there", other=of
        )
    return note(own.note) if own.note else None


def _by_another(zone: ZoneColours) -> bool:
    return zone.standing is not None and zone.standing.like is not None and (zone.zone.like_spread or 1.0) > 1.0


def _not_known(zone: ZoneColours) -> str:
    if zone.target is None:
        return NO_TARGET
    why = zone.standing.why if zone.standing is not None else None
    return NOT_READ if why is None or why == NOT_READ_YET else why


def standing_shown(zone: ZoneColours) -> StandingResult | None:
    """Where a zone is and what that rests on, as documents hold it."""
    one = zone.standing
    if one is None:
        return None
    seen = zone.seen or alone(zone)
    L, a, b = (float(value) for value in seen.lab) if seen is not None else (None, None, None)
    return StandingResult(
        L=L,
        a=a,
        b=b,
        illuminant=seen.viewing.illuminant if seen is not None else None,
        observer=(seen.viewing.observer or None) if seen is not None else None,
        u=seen.u if seen is not None else None,
        from_=one.basis,
        of=one.of,
        since=one.since.at if one.since is not None else None,
        read_at=one.read_at,
    )


def alone(zone: ZoneColours) -> SampleColour | None:
    """The colour of a zone without a target, in its reading's own light."""
    reading = zone.standing.colour if zone.standing is not None else None
    return colour_of(reading, viewing_of(reading) or SPECTRA_SEEN_UNDER) if reading is not None else None


def gap_of(zone: ZoneColours, limits: Mapping[str, ThresholdSet]) -> Gap:
    """The zone as it was read against its target; its moves speak of it after the finish."""
    assert zone.seen is not None
    assert zone.target is not None
    pair = graded(zone.seen, zone.target, limits[zone.zone.tissue])
    return Gap(
        dE00=pair.dE00, dL=pair.dL, dC=pair.dC, dH=pair.dH, grade=pair.grade, u=pair.u, visibility=pair.visibility
    )


def move_shown(move: NextStep, *, told: bool = True) -> Move:
    """A move as documents hold it; its chances are not ``told`` while they are held back."""
    return Move(
        rank=move.rank,
        kind=move.kind,
        layers=painted_of(move.layers, liquid=move.why.liquid),
        colour=colour_shown(move.lab, move.viewing),
        dE00=move.dE00,
        dE00_p05=move.low,
        dE00_p95=move.high,
        accept=move.accept if told else None,
        accept_within=move.accept_within if told else None,
        firings=move.firings,
        why=why(move.why),
        body=move.on,
        then=then_shown(move.then, told=told),
        lights=lights_shown(move.lights, told=told),
        radius=move.radius,
    )


def lights_shown(lights: Sequence[InLight], *, told: bool = True) -> list[UnderLight]:
    """A step under each light of the case, as documents hold it."""
    return [
        UnderLight(
            illuminant=one.viewing.illuminant,
            observer=one.viewing.observer or None,
            dE00=one.dE00,
            accept=one.accept if told else None,
            metamerism=one.metamerism,
            now=_in_light(one.now, one.viewing),
            expected=_in_light(one.lab, one.viewing),
            target=_in_light(one.target, one.viewing),
        )
        for one in lights
    ]


def _in_light(lab: LabValues | None, viewing: Viewing) -> ColourResult | None:
    return None if lab is None else colour_shown(lab, viewing)


def painted_of(layers: Layers, *, liquid: bool = False) -> list[PaintedLayer]:
    """Layers as documents hold them."""
    return [PaintedLayer(pot=one.pot.as_dict(), coats=one.coats, liquid=liquid) for one in layers]


def then_shown(then: FollowOn | None, *, told: bool = True) -> Then | None:
    """What is expected to follow on liquids, as documents hold it."""
    if then is None:
        return None
    return Then(layers=painted_of(then.layers), dE00=then.dE00, accept=then.accept if told else None)


def colour_shown(lab: LabValues | NDArray[np.float64], viewing: Viewing) -> ColourResult:
    """L*, a*, b* under a viewing as documents hold it."""
    L, a, b = (float(value) for value in lab)
    return ColourResult(L=L, a=a, b=b, illuminant=viewing.illuminant, observer=viewing.observer or None)


def _blank(advice: BlankAdvice, rank: int, *, told: bool) -> RankedBlank:
    firsts = [zone.moves[0] for zone in advice.case.zones if zone.moves]
    return RankedBlank(
        rank=rank,
        body=advice.blank,
        accept=advice.case.accept if told else None,
        accept_within=advice.case.accept_within if told else None,
        dE00=float(np.mean([move.dE00 for move in firsts])) if firsts else None,
        out_of_reach=[f"{z.key[0]} {z.key[1]}" for z in advice.case.zones if z.verdict == "out of reach"],
    )
