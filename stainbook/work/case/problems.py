"""A case and the book as what the match is asked: the bench, and a problem for each zone with reading and target."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from stainbook.book import Book
from stainbook.book.case_state import CaseState
from stainbook.colour import ThresholdSet
from stainbook.errors import InputError, UnknownNameError, message, some_of
from stainbook.files import read_stains
from stainbook.kept import Prices, Settings
from stainbook.language import joined, say
from stainbook.match import Bench, Start, WishedLight, ZoneProblem, firings_of, kept_apart, offered
from stainbook.optics.forecast import Forecast, Hands
from stainbook.records import NO_FIRING_STAGES, BodyRef, Case, LabValues, Layers, Reading, Stain
from stainbook.words import light_names
from stainbook.words.apprentice import paints
from stainbook.words.grounds import eye_decides, place_of
from stainbook.words.places import place
from stainbook.words.sentences import RETURNED_FIRST
from stainbook.work.case.current_case import CurrentCase, What, current_case, known_case
from stainbook.work.case.library import Library
from stainbook.work.case.seating import seated_zones
from stainbook.work.case.standing import Key, no_step_yet
from stainbook.work.case.swap_check import asked_of_standing
from stainbook.work.case.zones import ZoneColours, zone_colours
from stainbook.work.reading.by_eye import is_hint
from stainbook.work.reading.control_chart import held_back_by
from stainbook.work.reading.lab_settings import is_apprentice, limits_in, with_apprentice, with_strengths
from stainbook.work.reading.optical import OpticalReading, lab_of, lab_on_grid
from stainbook.work.reading.samples import SampleColour, colour_of, warnings_of
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.learnt import SCOPE
from stainbook.work.stains.other_ceramic import on_ceramic
from stainbook.work.stains.predict import LabOptics, forecasts_on, lab_of_book, piece_of, wild_hand


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
class PreparedCase:
    """A case with its zones looked up, and what the match is asked of those that were read and have a target."""

    case: Case
    zones: tuple[ZoneColours, ...]
    lab: LabOptics
    hands: Hands
    thresholds: Mapping[str, ThresholdSet]
    library: Library
    bench: Bench
    problems: tuple[ZoneProblem, ...]
    read_warnings: tuple[str, ...] = ()
    held: Mapping[tuple[int, str], str] = field(default_factory=dict)  # why nothing may be painted on a zone yet
    state: CaseState | None = None
    held_back: str | None = None  # why no chance is told
    apprentice: str | None = None  # whose hand is meant, where it is an apprentice's
    prices: Prices | None = None
    jars: tuple[str, ...] = ()  # what is to be known of those that ran out
    by_eye: frozenset[Key] = frozenset()  # zones whose number is a hint: they have no part in a chance

    @property
    def open(self) -> tuple[ZoneProblem, ...]:
        """The zones on which something may be painted as the piece is now."""
        return tuple(one for one in self.problems if one.key not in self.held)

    @property
    def warnings(self) -> list[str]:
        """What reading the files told, colours taken to another light, zones without a reading or target."""
        adapted = warnings_of(
            colour for zone in self.zones for colour in (zone.seen, zone.target) if colour is not None
        )
        by_eye = [zone.zone.key for zone in self.zones if zone.zone.key in self.by_eye]
        hints = [eye_decides(by_eye)] if by_eye else []
        returned = [RETURNED_FIRST] if self.case.stage == "returned" else []
        held_back = [self.held_back] if self.held_back else []
        held_back += [paints(self.apprentice)] if self.apprentice else []
        told = [*self.read_warnings, *self.library.warnings, *adapted, *_unread(self.case, self.zones)]
        return [*held_back, *told, *_not_in_lights(self.problems), *self.jars, *hints, *returned]


def prepare_case(book: Book, what: What, wish: AdviceAsked) -> PreparedCase:
    """A case, by its code or file, with all that it refers to.

    Raises InputError for files that cannot be used and where no stain was calibrated yet.
    """
    return prepared(book, current_case(book, what, guide=wish.guide, viewing=wish.asked.of_bare_lab), wish)


def open_cases(book: Book, wish: AdviceAsked) -> tuple[list[PreparedCase], list[str]]:
    """The cases of the book that wait for stain, and one line for each that cannot be worked on.

    Open is what is still to be fired and has zones; a case counts with those that were read and have a target.

    Raises InputError where no stain was calibrated yet.
    """
    lab_of_book(book)
    found, told = [], []
    for code in book.names("case"):
        current = known_case(book, code)
        if current.case.stage in NO_FIRING_STAGES or not current.case.zones:
            continue
        try:
            one = prepared(book, current, wish)
        except InputError as error:
            told.append(say("{case} is not counted: {error}", case=code, error=message(error)))
            continue
        if one.problems:
            found.append(one)
        else:
            told.append(say("{case} is not counted: none of its zones was read and has a target", case=code))
    return found, told


def prepared(
    book: Book, current: CurrentCase, wish: AdviceAsked, *, results: Mapping[Key, Reading] | None = None
) -> PreparedCase:
    """A case with all that it refers to; ``results`` are readings of zones that count before all others.

    Raises InputError for references that lead nowhere and where no stain was calibrated yet.
    """
    lab = lab_of_book(book)
    if wish.stains:
        lab = replace(lab, stains={stain.name: stain for stain in read_stains(wish.stains).records})
    case = current.case
    library = current.library(book, wish.asked, extra=tuple(wish.readings), results=results)
    zones = seated_zones(zone_colours(case, library), case, library)
    standing = {zone.zone.key: zone.standing for zone in zones if zone.standing is not None}
    held = {key: why for key in standing if (why := no_step_yet(case, current.state, standing, key)) is not None}
    settings, hand = book.settings(), lab.whose(wish.operator or case.operator)
    lots = {**lab.in_work(dict(case.lots)), **wish.lots}
    hands = lab.hands(wish.operator or case.operator, lots, case.programme)
    hands, told = on_ceramic(book, hands, _ceramics(case, library), lab.stains if case.stage == "green" else ())
    limits = limits_in(book, wish.threshold_names)
    asked = asked_of_standing(book, case, current.state) if current.file is None else []
    known = [
        zone
        for zone in zones
        if zone.now is not None and zone.seen is not None and zone.target is not None and not zone.zone.by_hand
    ]
    by_eye = frozenset(zone.key for zone in case.zones if is_hint(zone.zone, case.material, settings))
    return PreparedCase(
        case=case,
        zones=tuple(zones),
        lab=lab,
        hands=hands,
        thresholds=limits,
        library=library,
        bench=bench_of(with_apprentice(with_strengths(case, settings), settings, hand), lab, hands, settings),
        problems=tuple(
            replace(problem_of(zone, case, lab, hands, limits), counts=zone.zone.key not in by_eye) for zone in known
        ),
        read_warnings=(*current.warnings, *told, *wild_hand(lab.optics, hands), *asked),
        held=held,
        state=current.state,
        held_back=held_back_by(book, (zone.now.reading for zone in known if zone.now is not None)),
        apprentice=hand if is_apprentice(settings, hand) else None,
        prices=settings.prices,
        jars=tuple(lab.jars.told(_may_go_on(case, lab), {**lab.lots, **lab.known.newest_lots, **dict(case.lots)})),
        by_eye=by_eye,
    )


def _ceramics(case: Case, library: Library) -> list[str | None]:
    """The ceramic of a piece: as the case names it, else as its blanks are listed."""
    names = {zone.now.name for zone in case.zones if isinstance(zone.now, BodyRef)}
    names |= {case.blank.name} if case.blank else set()
    return [case.ceramic or (body.ceramic if (body := library.body(name)) else None) for name in sorted(names)]


def apprentice_of(book: Book, case: Case) -> str | None:
    """Whose hand is meant in a case, where it is an apprentice's."""
    settings = book.settings()
    if not settings.apprentices:
        return None
    hand = lab_of_book(book).whose(case.operator) if book.fit(SCOPE) is not None else case.operator
    return hand if is_apprentice(settings, hand) else None


def bench_of(case: Case, lab: LabOptics, hands: Hands, settings: Settings) -> Bench:
    """What may be laid on in a case; raises UnknownNameError for a stain in its limits that the lab does not have."""
    stains = _listed(case, lab)
    for name in case.limits.stains or ():
        if name not in stains:
            raise UnknownNameError(say("stain in {source}: limits:", source=case.source), name, stains)
    if case.stage != "green" and case.limits.later is not None and not _fits_now(case, stains):
        return bench_of(replace(case, limits=case.limits.after_sintering), lab, hands, settings)  # later is now
    only = case.limits.stains
    fit = offered(stains.values(), material=case.material, stage=case.stage, only=only)
    if only is not None and not fit:
        _refuse_kind(case, [stains[name] for name in only])
    limits, apart = case.limits, kept_apart(fit, settings.together)
    stock = {one.mix: one.pot for one in settings.mixes}
    ready = {name for pot in stock.values() for name in pot.stains}
    fit = [one for one in fit if one.name not in lab.jars.gone or one.name in ready]  # what no jar holds is not mixed
    if case.stage == "green":
        rest = limits.after_sintering
        follows = replace(case, stage="sintered", limits=rest)
        later = bench_of(follows, lab, hands, settings)
    else:
        later = None
    names = tuple(one.name for one in fit)
    return Bench(lab.optics, names, lab.families, hands, limits, apart, stock, later, lab.jars.gone & set(names))


def _may_go_on(case: Case, lab: LabOptics) -> list[str]:
    """The stains that material, stage and limits of a case allow, whether a jar of them is in work or not."""
    found = offered(_listed(case, lab).values(), material=case.material, stage=case.stage, only=case.limits.stains)
    return [one.name for one in found]


def _fits_now(case: Case, stains: Mapping[str, Stain]) -> bool:
    """Whether the limits name stains for the piece as it is, not liquids of before its sintering."""
    named = case.limits.stains or ()
    return bool(offered((stains[one] for one in named if one in stains), material=case.material, stage=case.stage))


def _refuse_kind(case: Case, named: Sequence[Stain]) -> None:
    """Raises InputError where liquids are asked for after sintering, or surface stain before it."""
    kinds = {one.kind for one in named}
    names = some_of(one.name for one in named)
    if case.stage == "green" and kinds == {"surface"}:
        raise InputError(
            say(
                "{source}: limits: stains: found {stains}, surface stain, expected liquids: surface stain stands under "
                "limits: later: stains",
                source=case.source,
                stains=names,
            )
        )
    if case.stage not in (None, "green", *NO_FIRING_STAGES) and kinds == {"infiltrating"}:
        raise InputError(
            say(
                "{source}: limits: stains: found {stains}, liquids that soak in before sintering, expected surface "
                "stain at stage {stage}",
                source=case.source,
                stains=names,
                stage=case.stage,
            )
        )


def _listed(case: Case, lab: LabOptics) -> dict[str, Stain]:
    """The lab's stains; one that only its chips name counts as a surface stain for any material."""
    seen = {name: Stain(name, curve.kind, curve.family) for name, curve in lab.optics.stains.items()}
    return seen | dict(lab.stains)


def problem_of(
    zone: ZoneColours, case: Case, lab: LabOptics, hands: Hands, limits: Mapping[str, ThresholdSet]
) -> ZoneProblem:
    """What is asked of one zone that was read and has a target."""
    assert zone.now is not None
    assert zone.target is not None
    L, a, b = (float(value) for value in zone.target.lab)
    fires = firings_of(_listed(case, lab).values(), fired=zone.zone.fired)
    return ZoneProblem(
        key=zone.zone.key,
        tissue=zone.zone.tissue,
        now=_start(zone, lab, case.material),
        target=(L, a, b),
        viewing=zone.target.viewing,
        thresholds=limits[zone.zone.tissue],
        glazed=(zone.zone.finish or case.finish) == "glaze",
        lab_offset=_offset(zone, case, lab, hands),
        target_covariance=zone.target.covariance,
        firings_of=fires,
        bare=start_of(zone.bare, lab, case.material) if zone.bare else None,
        lights=tuple(_wished(zone, zone.target, light) for light in case.lights or () if _is_other(zone.target, light)),
    )


def _is_other(target: SampleColour, light: str) -> bool:
    return light != target.viewing.illuminant


def _wished(zone: ZoneColours, target: SampleColour, light: str) -> WishedLight:
    """The target under another light, moved as it is under its own; None where either side is L*a*b* alone."""
    assert zone.now is not None
    viewing = replace(target.viewing, illuminant=light)
    if not (target.reading.is_spectral and zone.now.reading.is_spectral and target.viewing.known):
        return WishedLight(viewing)
    moved = target.lab - colour_of(target.reading, target.viewing).lab
    L, a, b = (float(value) for value in colour_of(target.reading, viewing).lab + moved)
    return WishedLight(viewing, (L, a, b))


def _start(zone: ZoneColours, lab: LabOptics, material: str | None) -> Start:
    """The zone's body; one that is only like another has errors of its own, so a name of its own."""
    assert zone.now is not None
    start = start_of(zone.now, lab, material)
    is_like = zone.standing is not None and zone.standing.basis == "like"
    return replace(start, name=f"{start.name} as {zone.zone.tooth} {zone.zone.zone}") if is_like else start


def start_of(reading: OpticalReading, lab: LabOptics, material: str | None) -> Start:
    """A reading as the body that layers go on."""
    return Start(piece_of(reading, lab, material), reading.reading.sample, reading.ln_covariance)


def _offset(zone: ZoneColours, case: Case, lab: LabOptics, hands: Hands) -> LabValues:
    """What wider or finer bands than 400-700/10 nm do to the colour of the finished piece."""
    assert zone.now is not None
    assert zone.target is not None
    (plain,) = forecasts_of(zone, [()], case, lab, hands)
    wavelengths, reflectance = zone.now.after(plain.reflectance)
    viewing = zone.target.viewing
    L, a, b = (lab_of(reflectance, wavelengths, viewing) - lab_on_grid(plain.reflectance, viewing)).tolist()
    return L, a, b


def forecasts_of(
    zone: ZoneColours, stacks: Sequence[Layers], case: Case, lab: LabOptics, hands: Hands
) -> list[Forecast]:
    """Forecasts of several stacks on a zone that was read."""
    assert zone.now is not None
    key = f"{zone.zone.tooth} {zone.zone.zone}"
    finish = zone.zone.finish or case.finish
    return forecasts_on(zone.now, stacks, lab, hands, finish=finish, material=case.material, key=key)


def _not_in_lights(problems: Sequence[ZoneProblem]) -> list[str]:
    """Zones of which nothing can be told under the further lights."""
    lacking = [place_of(one.name) for one in problems if any(light.target is None for light in one.lights)]
    if not lacking:
        return []
    lights = sorted({light.viewing.illuminant for one in problems for light in one.lights if light.target is None})
    return [
        say(
            "{count} of {all} zones have only L*a*b* of reading or target, the first is {first}: nothing is said of "
            "them under {lights}, where only spectra tell",
            count=len(lacking),
            all=len(problems),
            first=lacking[0],
            lights=joined(map(light_names.light, lights)),
        )
    ]


def _unread(case: Case, zones: Sequence[ZoneColours]) -> list[str]:
    missing = [place(*z.zone.key) for z in zones if z.now is None or z.target is None]
    if not missing:
        return []
    return [
        say(
            "{source}: {count} of {all} zones have no reading or no target and are not in the case's chance, the first "
            "is {first}",
            source=case.source,
            count=len(missing),
            all=len(zones),
            first=missing[0],
        )
    ]
