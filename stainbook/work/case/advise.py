"""What to do next on each zone of a case: fetch, compare, search, and tell."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from stainbook.book import Book
from stainbook.colour import ThresholdSet
from stainbook.errors import InputError, UnknownNameError
from stainbook.files import read_bodies
from stainbook.match import (
    UNWATCHED,
    BlankAdvice,
    CaseAdvice,
    NextStep,
    Ready,
    Start,
    Watch,
    advise_case,
    rank_blanks,
    ready_case,
)
from stainbook.optics.forecast import Hands
from stainbook.records import Body, Case, LabValues, Viewing
from stainbook.work.case.current_case import What
from stainbook.work.case.library import Library
from stainbook.work.case.problems import AdviceAsked as AdviceAsked
from stainbook.work.case.problems import PreparedCase, prepare_case, start_of
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
    StandingResult,
)
from stainbook.work.reading.compare import graded
from stainbook.work.reading.optical import OpticalReading, optical
from stainbook.work.reading.samples import SampleColour, colour_of
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, viewing_of
from stainbook.work.stains.predict import LabOptics

NOT_READ = "not read yet: read the zone first"
NO_TARGET = "no target yet: name a tab of the guide, a reading or a colour"


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
    details = [case_detail(book, what, wish) for what in cases]
    told = dict.fromkeys(line for detail in details for line in detail.warnings)
    return AdviseResult(cases=[detail.shown for detail in details], warnings=list(told))


def case_detail(book: Book, what: What, wish: AdviceAsked | None = None, *, watch: Watch = UNWATCHED) -> CaseDetail:
    """Advice on one case, by its code or file, with what pages draw; raises StoppedError when ``watch`` is to stop."""
    wish = wish or AdviceAsked()
    found = prepare_case(book, what, wish)
    case, lab, bench = found.case, found.lab, found.bench
    starts = _starts(_blanks(book, case, lab, found.library, wish.bodies), lab, case)
    ready = ready_case(bench, found.open, stage=case.stage, watch=watch)
    milled = case.stage == "green"  # another blank is one question for the whole piece
    advice = advise_case(bench, found.open, stage=case.stage, blanks={} if milled else starts, watch=watch, ready=ready)
    ranked = rank_blanks(bench, found.problems, starts, stage=case.stage) if wish.bodies else []
    shown = _shown(found, advice, ranked)
    return CaseDetail(found, ready, shown, tuple(dict.fromkeys([*found.warnings, *advice.warnings])))


def _blanks(
    book: Book, case: Case, lab: LabOptics, library: Library, given: bool | Path
) -> dict[str, tuple[Body, OpticalReading]]:
    """Other bodies of the case's material that were read as they come from sintering."""
    listed = {body.body: body for body in read_bodies(given).records} if isinstance(given, Path) else book.bodies()
    plates = set() if isinstance(given, Path) else {chip.body for chip in book.chips()}  # nobody mills a chip plate
    found = {}
    for name, body in listed.items():
        if name in plates or (case.material and body.material and body.material != case.material):
            continue
        try:
            reading = library.named(name, "body", case)
        except UnknownNameError:
            continue
        found[name] = body, optical(reading, body=body)
    if given and not found:
        raise InputError(
            f"{case.source}: no blank of {case.material or 'any material'} with a reading to rank, expected bodies.csv "
            "rows whose body names are samples of the readings; calibrate with --bodies, or give --readings"
        )
    return found


def _starts(blanks: Mapping[str, tuple[Body, OpticalReading]], lab: LabOptics, case: Case) -> dict[str, Start]:
    return {name: start_of(reading, lab, body.material or case.material) for name, (body, reading) in blanks.items()}


# ---------------------------------------------------------------- from the match


def _shown(found: PreparedCase, advice: CaseAdvice, ranked: Sequence[BlankAdvice]) -> AdvisedCase:
    case, limits = found.case, found.thresholds
    told = {one.key: one for one in advice.zones}
    known = {one.key for one in found.problems}
    rows = []
    for zone in found.zones:
        own = told.get(zone.zone.key)
        held = found.held.get(zone.zone.key)
        rows.append(
            AdvisedZone(
                tooth=zone.zone.tooth,
                zone=zone.zone.zone,
                tissue=zone.zone.tissue,
                gap=gap_of(zone, limits) if zone.zone.key in known else None,
                verdict=own.verdict if own else "no firing",
                moves=[move_shown(move) for move in own.moves] if own else [],
                why=(own.note or None) if own else held or _not_known(zone),
                now=colour_shown(zone.seen.lab, zone.seen.viewing) if zone.seen else None,
                target=colour_shown(zone.target.lab, zone.target.viewing) if zone.target else None,
                thresholds=limits[zone.zone.tissue].name,
                standing=standing_shown(zone),
            )
        )
    proposed = [one for one in advice.zones if one.verdict != "no firing"]
    return AdvisedCase(
        case=case.case,
        accept=advice.accept if proposed else None,
        accept_within=advice.accept_within if proposed else None,
        zones=rows,
        pots=[pot.as_dict() for pot in advice.pots],
        blanks=[_blank(one, rank) for rank, one in enumerate(ranked, start=1)],
    )


def _not_known(zone: ZoneColours) -> str:
    if zone.target is None:
        return NO_TARGET
    why = zone.standing.why if zone.standing is not None else None
    return NOT_READ if why in (None, NOT_READ_YET) else str(why)


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


def move_shown(move: NextStep) -> Move:
    """A move as documents hold it."""
    return Move(
        rank=move.rank,
        kind=move.kind,
        layers=[PaintedLayer(pot=layer.pot.as_dict(), coats=layer.coats) for layer in move.layers],
        colour=colour_shown(move.lab, move.viewing),
        dE00=move.dE00,
        dE00_p05=move.low,
        dE00_p95=move.high,
        accept=move.accept,
        accept_within=max(move.accept, move.accept_within),
        firings=move.firings,
        why=move.why,
        body=move.on,
    )


def colour_shown(lab: LabValues | NDArray[np.float64], viewing: Viewing) -> ColourResult:
    """L*, a*, b* under a viewing as documents hold it."""
    L, a, b = (float(value) for value in lab)
    return ColourResult(L=L, a=a, b=b, illuminant=viewing.illuminant, observer=viewing.observer or None)


def _blank(advice: BlankAdvice, rank: int) -> RankedBlank:
    firsts = [zone.moves[0] for zone in advice.case.zones if zone.moves]
    return RankedBlank(
        rank=rank,
        body=advice.blank,
        accept=advice.case.accept,
        accept_within=advice.case.accept_within,
        dE00=float(np.mean([move.dE00 for move in firsts])) if firsts else None,
        out_of_reach=[f"{z.key[0]} {z.key[1]}" for z in advice.case.zones if z.verdict == "out of reach"],
    )
