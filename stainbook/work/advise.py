"""What to do next on each zone of a case: fetch, compare, search, and tell."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from stainbook.book import Book
from stainbook.colour import ThresholdSet, threshold_set, thresholds
from stainbook.errors import InputError, UnknownNameError
from stainbook.files import read_bodies, read_case, read_stains
from stainbook.match import (
    Bench,
    BlankAdvice,
    CaseAdvice,
    Move,
    Start,
    ZoneProblem,
    advise_case,
    firings_of,
    offered,
    rank_blanks,
)
from stainbook.optics.forecast import Forecast, Hands
from stainbook.records import Body, Case, Lab, Layers, Stain, Viewing
from stainbook.work.compare import graded
from stainbook.work.conditions import Asked
from stainbook.work.learnt import hands_of
from stainbook.work.optical import OpticalReading, lab_of, lab_on_grid, optical
from stainbook.work.predict import Lab as LabOfBook
from stainbook.work.predict import forecasts_on, lab_of_book, piece_of
from stainbook.work.samples import warnings_of
from stainbook.work.schemas import (
    AdvisedCase,
    AdvisedZone,
    AdviseResult,
    Colour,
    Gap,
    PaintedLayer,
    RankedBlank,
)
from stainbook.work.schemas import Move as MoveShown
from stainbook.work.zones import Library, ZoneColours, guide_of, zone_colours

NOT_READ = "not read yet: read the zone first"
NO_TARGET = "no target yet: name a tab of the guide, a reading or a colour"


@dataclass(frozen=True, slots=True)
class AdviceAsked:
    """What a call for advice may state beside the cases."""

    asked: Asked = field(default_factory=Asked)
    operator: str | None = None
    lots: Mapping[str, str] = field(default_factory=dict)
    threshold_names: Sequence[str] = ()
    stains: Path | None = None
    guide: Path | None = None
    readings: Sequence[Path] = ()
    bodies: bool | Path = False  # rank the blanks too: those of the book, or of a file


@dataclass(frozen=True, slots=True, eq=False)
class CaseDetail:
    """A case's advice with the spectra behind it, for pages that draw them."""

    case: Case
    zones: tuple[ZoneColours, ...]
    shown: AdvisedCase
    lab: LabOfBook
    hands: Hands
    thresholds: Mapping[str, ThresholdSet]
    warnings: tuple[str, ...] = ()

    def spectrum(self, index: int, layers: Layers) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
        """Wavelengths and reflectance that a zone will have with these layers; None where it was not read."""
        zone = self.zones[index]
        if zone.now is None:
            return None
        (found,) = _forecasts(zone, [layers], self.case, self.lab, self.hands)
        return zone.now.after(found.reflectance)


def advise_files(book: Book, paths: Sequence[Path], wish: AdviceAsked | None = None) -> AdviseResult:
    """Advice on cases from files.

    Raises InputError for files that cannot be used and where no stain was calibrated yet.
    """
    details = [case_detail(book, path, wish) for path in paths]
    told = dict.fromkeys(line for detail in details for line in detail.warnings)
    return AdviseResult(cases=[detail.shown for detail in details], warnings=list(told))


def case_detail(book: Book, path: Path, wish: AdviceAsked | None = None) -> CaseDetail:
    """Advice on one case file, with what pages need to draw it."""
    wish = wish or AdviceAsked()
    guide = guide_of(book, path.parent, wish.guide)
    loaded = read_case(path, guide=guide, viewing=wish.asked.of_bare_lab)
    (case,) = loaded.records
    lab = lab_of_book(book)
    if wish.stains:
        lab = replace(lab, stains={stain.name: stain for stain in read_stains(wish.stains).records})
    library = Library(book, wish.asked, extra=tuple(wish.readings))
    zones = zone_colours(case, library)
    hands = hands_of(lab.optics, lab.lots, wish.operator or case.operator, {**dict(case.lots), **wish.lots})
    limits = _limits_of(wish.threshold_names)
    bench = _bench(case, lab, hands)
    known = [zone for zone in zones if zone.now is not None and zone.seen is not None and zone.target is not None]
    problems = [_problem(zone, case, lab, hands, limits) for zone in known]
    blanks = _blanks(book, case, lab, library, wish.bodies)
    advice = advise_case(bench, problems, stage=case.stage, blanks=_starts(blanks, lab, case))
    ranked = rank_blanks(bench, problems, _starts(blanks, lab, case), stage=case.stage) if wish.bodies else []
    shown = _shown(case, zones, advice, limits, ranked)
    warnings = [*loaded.warnings, *library.warnings, *advice.warnings, *_unread(case, zones)]
    warnings += warnings_of(colour for zone in zones for colour in (zone.seen, zone.target) if colour is not None)
    return CaseDetail(case, tuple(zones), shown, lab, hands, limits, tuple(dict.fromkeys(warnings)))


# ---------------------------------------------------------------- to the match


def _limits_of(names: Sequence[str]) -> dict[str, ThresholdSet]:
    chosen = {tissue: thresholds(tissue) for tissue in ("tooth", "gingiva")}
    return chosen | {one.tissue: one for one in map(threshold_set, names)}


def _bench(case: Case, lab: LabOfBook, hands: Hands) -> Bench:
    stains = _listed(case, lab)
    only = case.limits.stains
    if only is not None:
        for name in only:
            if name not in stains:
                raise UnknownNameError(f"stain in {case.source}: limits:", name, stains)
    fit = offered(stains.values(), material=case.material, stage=case.stage, only=only)
    return Bench(lab.optics, tuple(one.name for one in fit), lab.families, hands, case.limits)


def _listed(case: Case, lab: LabOfBook) -> dict[str, Stain]:
    """The lab's stains; one that only its chips name counts as a surface stain for any material."""
    seen = {name: Stain(name, curve.kind, curve.family) for name, curve in lab.optics.stains.items()}
    return seen | dict(lab.stains)


def _problem(
    zone: ZoneColours, case: Case, lab: LabOfBook, hands: Hands, limits: Mapping[str, ThresholdSet]
) -> ZoneProblem:
    assert zone.now is not None
    assert zone.target is not None
    L, a, b = (float(value) for value in zone.target.lab)
    fires = firings_of(_listed(case, lab).values(), fired=zone.zone.fired)
    return ZoneProblem(
        key=zone.zone.key,
        tissue=zone.zone.tissue,
        now=_start(zone.now, lab, case.material),
        target=(L, a, b),
        viewing=zone.target.viewing,
        thresholds=limits[zone.zone.tissue],
        glazed=case.finish == "glaze",
        lab_offset=_offset(zone, case, lab, hands),
        target_covariance=zone.target.covariance,
        firings_of=fires,
        bare=_start(zone.bare, lab, case.material) if zone.bare else None,
    )


def _start(reading: OpticalReading, lab: LabOfBook, material: str | None) -> Start:
    return Start(piece_of(reading, lab, material), reading.reading.sample, reading.ln_covariance)


def _offset(zone: ZoneColours, case: Case, lab: LabOfBook, hands: Hands) -> Lab:
    """What wider or finer bands than 400-700/10 nm do to the colour of the finished piece."""
    assert zone.now is not None
    assert zone.target is not None
    (plain,) = _forecasts(zone, [()], case, lab, hands)
    wavelengths, reflectance = zone.now.after(plain.reflectance)
    viewing = zone.target.viewing
    L, a, b = (lab_of(reflectance, wavelengths, viewing) - lab_on_grid(plain.reflectance, viewing)).tolist()
    return L, a, b


def _forecasts(zone: ZoneColours, stacks: Sequence[Layers], case: Case, lab: LabOfBook, hands: Hands) -> list[Forecast]:
    assert zone.now is not None
    key = f"{zone.zone.tooth} {zone.zone.zone}"
    return forecasts_on(zone.now, stacks, lab, hands, finish=case.finish, material=case.material, key=key)


def _blanks(
    book: Book, case: Case, lab: LabOfBook, library: Library, given: bool | Path
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


def _starts(blanks: Mapping[str, tuple[Body, OpticalReading]], lab: LabOfBook, case: Case) -> dict[str, Start]:
    return {name: _start(reading, lab, body.material or case.material) for name, (body, reading) in blanks.items()}


# ---------------------------------------------------------------- from the match


def _shown(
    case: Case,
    zones: Sequence[ZoneColours],
    advice: CaseAdvice,
    limits: Mapping[str, ThresholdSet],
    ranked: Sequence[BlankAdvice],
) -> AdvisedCase:
    told = {one.key: one for one in advice.zones}
    rows = []
    for zone in zones:
        own = told.get(zone.zone.key)
        rows.append(
            AdvisedZone(
                tooth=zone.zone.tooth,
                zone=zone.zone.zone,
                tissue=zone.zone.tissue,
                gap=_gap(zone, limits) if own else None,
                verdict=own.verdict if own else "no firing",
                moves=[_move(move) for move in own.moves] if own else [],
                why=(own.note or None) if own else (NOT_READ if zone.now is None else NO_TARGET),
                now=_colour(zone.seen.lab, zone.seen.viewing) if zone.seen else None,
                target=_colour(zone.target.lab, zone.target.viewing) if zone.target else None,
                thresholds=limits[zone.zone.tissue].name,
            )
        )
    return AdvisedCase(
        case=case.case,
        accept=advice.accept if told else None,
        accept_within=advice.accept_within if told else None,
        zones=rows,
        pots=[pot.as_dict() for pot in advice.pots],
        blanks=[_blank(one, rank) for rank, one in enumerate(ranked, start=1)],
    )


def _gap(zone: ZoneColours, limits: Mapping[str, ThresholdSet]) -> Gap:
    """The zone as it was read against its target; its moves speak of it after the finish."""
    assert zone.seen is not None
    assert zone.target is not None
    pair = graded(zone.seen, zone.target, limits[zone.zone.tissue])
    return Gap(
        dE00=pair.dE00, dL=pair.dL, dC=pair.dC, dH=pair.dH, grade=pair.grade, u=pair.u, visibility=pair.visibility
    )


def _move(move: Move) -> MoveShown:
    return MoveShown(
        rank=move.rank,
        kind=move.kind,
        layers=[PaintedLayer(pot=layer.pot.as_dict(), coats=layer.coats) for layer in move.layers],
        colour=_colour(move.lab, move.viewing),
        dE00=move.dE00,
        dE00_p05=move.low,
        dE00_p95=move.high,
        accept=move.accept,
        accept_within=max(move.accept, move.accept_within),
        firings=move.firings,
        why=move.why,
        body=move.on,
    )


def _colour(lab: Lab | NDArray[np.float64], viewing: Viewing) -> Colour:
    L, a, b = (float(value) for value in lab)
    return Colour(L=L, a=a, b=b, illuminant=viewing.illuminant, observer=viewing.observer or None)


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


def _unread(case: Case, zones: Sequence[ZoneColours]) -> list[str]:
    missing = [f"{z.zone.tooth} {z.zone.zone}" for z in zones if z.now is None or z.target is None]
    if not missing:
        return []
    return [
        f"{case.source}: {len(missing)} of {len(zones)} zones have no reading or no target and are not in the case's "
        f"chance, the first is {missing[0]}"
    ]
