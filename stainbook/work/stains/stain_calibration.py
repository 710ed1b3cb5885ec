"""Learn the lab's stains from fired chips: fetch, fit, store, and say how well each chip is met."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

import numpy as np

from stainbook.book import Book
from stainbook.errors import FileError
from stainbook.files import ReadingSet, Source, read_bodies, read_chips, read_readings, read_stains
from stainbook.language import say
from stainbook.optics.calibrate import Calibration
from stainbook.optics.calibrate import calibrate as fit_chips
from stainbook.optics.causes import Hands
from stainbook.optics.ceramic import Ceramic, has_bare_face
from stainbook.optics.curves import Optics
from stainbook.optics.fit import FiredChip
from stainbook.optics.leave_out import met
from stainbook.records import CLEAR, Body, Chip, Reading, Stain
from stainbook.words.contradictions import contradiction
from stainbook.work.documents.schemas import CalibrateResult, StainFit
from stainbook.work.reading.optical import optical, surface_of
from stainbook.work.reading.reading_conditions import ReadWith, way_to
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.exchanged_axes import told_of
from stainbook.work.stains.finite_ceramics import Find, finite_ceramics
from stainbook.work.stains.learnt import BY_EYE, COMPUTED, chips_lots, chips_operator, document_of, keep
from stainbook.work.stains.mixed_chips import Discs, mixed, unlike
from stainbook.work.stains.outcome_learning import relearn
from stainbook.work.stains.predict import wild_hand
from stainbook.work.stains.work_stripes import begun


@dataclass(frozen=True, slots=True)
class ChipFiles:
    """The files that a calibration is fed with; what is left out comes from the book."""

    chips: Source
    readings: Source
    stains: Source | None = None
    bodies: Source | None = None


@dataclass(slots=True)
class _GatheredChips:
    """Chips with their readings, what is known of stains and bodies, and what must be told."""

    chips: dict[str, Chip] = field(default_factory=dict)
    readings: dict[str, Reading] = field(default_factory=dict)
    stains: dict[str, Stain] = field(default_factory=dict)
    bodies: dict[str, Body] = field(default_factory=dict)
    warnings: list[str] = field(default_factory=list)

    @property
    def read_with(self) -> ReadWith:
        """How most of the chips were read."""
        return ReadWith.usual(self.readings[name] for name in self.chips)


def calibrate_files(book: Book, files: ChipFiles, asked: Asked | None = None) -> CalibrateResult:
    """Learn from the chips of the files and those the book holds already; store all of it, and the fit.

    Raises InputError for files that cannot be used; then nothing is stored.
    """
    readings = read_readings(files.readings, defaults=(asked or Asked()).defaults)
    chips = read_chips(files.chips)
    stains = read_stains(files.stains) if files.stains else None
    bodies = read_bodies(files.bodies) if files.bodies else None
    got = _from_book(book)
    got.warnings += [*readings.warnings, *chips.warnings]
    for extra in (stains, bodies):
        got.warnings += extra.warnings if extra else ()
    got.stains |= {stain.name: stain for stain in (stains.records if stains else ())}
    got.bodies |= {body.body: body for body in (bodies.records if bodies else ())}
    _add_chips(got, chips.records, readings, files.chips)
    got.warnings += told_of(chips.records, got.readings, got.stains)
    result, calibration, lots = _learn(got)
    got.warnings += wild_hand(calibration.optics, Hands())
    if bodies is not None and files.bodies is not None:
        own = {body.ceramic for body in bodies.records}
        find = partial(_shown, readings=readings, book=book)
        got.warnings += _scattering(own, got, find, calibration.optics, files.bodies)
    with book.transaction() as step:
        step.add_readings(readings.all)
        step.add_chips(chips.records)
        step.add_stains(stains.records if stains else ())
        step.add_bodies(bodies.records if bodies else ())
        revision = keep(step, calibration.optics, lots, got.read_with)
    relearn(book)
    return CalibrateResult(stains=[one.model_copy(update={"fit": revision}) for one in result], warnings=got.warnings)


def _shown(name: str, readings: ReadingSet, book: Book) -> Reading | None:
    return readings.get(name) if name in readings.samples else book.find_reading(name)


def _scattering(own: set[str | None], got: _GatheredChips, find: Find, optics: Optics, file: Source) -> list[str]:
    """What ceramics of bodies.csv lack to tell how they scatter; raises FileError for readings that contradict."""
    found = finite_ceramics({n: b for n, b in got.bodies.items() if b.ceramic in own}, find, optics.ceramic)
    for line in found.unexplained.values():
        expected = say(
            "a ceramic that reads darker over a darker backing, and at another thickness as its scattering has it"
        )
        raise FileError(str(file), line, expected, hint=say("look for swapped samples, backings or thicknesses"))
    return list(found.told)


def refit(book: Book) -> dict[str, Any] | None:
    """The document of a fit of the book's own chips, as `keep` stores it; without any the one that work began."""
    got = _from_book(book)
    if not got.chips:
        first = begun(book)
        return first[0] if first is not None else None
    _, calibration, lots = _learn(got)
    return document_of(calibration.optics, lots, got.read_with)[0]


def calibrate_again(book: Book) -> bool:
    """Learn from the chips that the book holds and keep the fit; False where it holds none that was read."""
    got = _from_book(book)
    if not got.chips:
        return False
    _, calibration, lots = _learn(got)
    keep(book, calibration.optics, lots, got.read_with)
    return True


def _from_book(book: Book) -> _GatheredChips:
    got = _GatheredChips(stains=book.stains(), bodies=book.bodies())
    for chip in book.chips():
        found = {name: book.find_reading(name) for name in (chip.chip, chip.body)}
        if all(found.values()):
            got.chips[chip.chip] = chip
            got.readings |= {name: reading for name, reading in found.items() if reading is not None}
    return got


def _add_chips(got: _GatheredChips, chips: Iterable[Chip], readings: ReadingSet, file: Source) -> None:
    for chip in chips:
        for name in (name for layer in chip.layers for name in layer.pot.stains):
            if name in got.stains and got.stains[name].kind == "effect":
                raise FileError(
                    str(file), say("{name}, an effect", name=name), COMPUTED, where=chip.source or None, hint=BY_EYE
                )
        for name in (chip.chip, chip.body):
            if name not in readings.samples:
                found = say("chip {name!r} without a reading", name=name)
                bare = say("body {name!r} without a reading", name=name)
                raise FileError(
                    str(file),
                    found if name == chip.chip else bare,
                    say("a sample of that name in {source}", source=readings.source),
                    where=chip.source or None,
                    hint=say("read it, or take the chip out of the list"),
                )
            got.readings[name] = readings.get(name)
        got.chips[chip.chip] = chip


def _learn(got: _GatheredChips) -> tuple[list[StainFit], Calibration, dict[str, str]]:
    """Fit, and describe each stain; warnings of no single stain go to ``got``."""
    chips = list(got.chips.values())
    told: dict[str, list[str]] = {}
    usable = [chip for chip in chips if not _other_instrument(chip, got, told)]
    discs = Discs.of(usable, got.bodies, {name for name, one in got.stains.items() if one.kind == "infiltrating"})
    for stain, lines in mixed(usable, got.bodies, discs).items():
        told.setdefault(stain, []).extend(lines)
    operator, lots = chips_operator(chips), chips_lots(chips)
    fired = [
        replace(
            fired_chip(chip, got.readings, got.bodies, got.stains, to=got.read_with),
            unlike=unlike(chip, operator=operator, lots=lots, discs=discs),
        )
        for chip in usable
    ]
    calibration = fit_chips(fired, got.stains, operator=operator)
    for held in calibration.held_back:
        line = say(
            "{stripe} contradicts the other stripes by {apart:.1f} ΔE00 and was held back: {reason}",
            stripe=held.chip,
            apart=held.dE00,
            reason=contradiction(held.likely),
        )
        for stain in held.stains:
            told.setdefault(stain, []).append(line)
    _note_faces(fired, got)
    return _described(calibration, fired, got.stains, told), calibration, lots


def _other_instrument(chip: Chip, got: _GatheredChips, told: dict[str, list[str]]) -> bool:
    """True, and told, when chip and body were not read alike: then their ratio is not the stain's."""
    one, other = got.readings[chip.chip], got.readings[chip.body]
    for what in ("instrument", "geometry", "specular"):
        mine, theirs = getattr(one, what), getattr(other, what)
        if mine and theirs and mine != theirs:
            line = _read_otherwise(what, {"stripe": chip.chip, "mine": mine, "plate": chip.body, "theirs": theirs})
            for stain in {name for layer in chip.layers for name in layer.pot.stains} or {CLEAR}:
                told.setdefault(stain, []).append(line)
            return True
    return False


def _read_otherwise(what: str, known: Mapping[str, str]) -> str:
    if what == "instrument":
        return say(
            "{stripe} was read with instrument {mine}, its plate {plate} with {theirs}: it was held back", **known
        )
    if what == "geometry":
        return say("{stripe} was read with geometry {mine}, its plate {plate} with {theirs}: it was held back", **known)
    return say("{stripe} was read with specular {mine}, its plate {plate} with {theirs}: it was held back", **known)


def fired_chip(
    chip: Chip,
    readings: Mapping[str, Reading],
    bodies: Mapping[str, Body],
    stains: Mapping[str, Stain],
    *,
    to: ReadWith | None = None,
) -> FiredChip:
    """A chip and its readings as the optics want them, brought to how most chips were read (``to``)."""
    known = bodies.get(chip.body)
    ceramic = Ceramic.of(chip.material or (known.material if known else None))
    body, after = (
        found if to is None else found.crossing(way_to(to, found.reading, found.surface, ceramic))
        for found in (optical(readings[chip.body], body=known), optical(readings[chip.chip]))
    )
    soaks = all(
        name in stains and stains[name].kind == "infiltrating" for layer in chip.layers for name in layer.pot.stains
    )
    return FiredChip(
        name=chip.chip,
        body=chip.body,
        material=chip.material or (known.material if known else None) or only_material(stains),
        layers=chip.layers,
        body_reading=body.reflectance,
        body_surface=body.surface,
        reading=after.reflectance,
        covariance=body.ln_covariance + after.ln_covariance,
        body_stage=readings[chip.body].stage,
        glazed=not (soaks and bool(chip.layers) and has_bare_face(surface_of(readings[chip.chip]))),
    )


def only_material(stains: Mapping[str, Stain]) -> str | None:
    """The material that all stains are for, when they name just one."""
    named = {material for stain in stains.values() for material in stain.materials or ()}
    return next(iter(named)) if len(named) == 1 else None


def _note_faces(chips: Sequence[FiredChip], got: _GatheredChips) -> None:
    bare = {chip.material for chip in chips if has_bare_face(chip.body_surface) and chip.glazed}
    shown = {chip.material for chip in chips if not any(layer.pot.shares for layer in chip.layers)}
    for material in sorted(bare - shown, key=str):
        got.warnings.append(
            say(
                "no clear-glaze stripe of {material}: what glaze alone does to a bare piece is taken from handbooks "
                "and the doubt is wider; fire one stripe of clear glaze on each plate",
                material=material or say("this material"),
            )
        )


def _described(
    calibration: Calibration, fired: Sequence[FiredChip], stains: Mapping[str, Stain], told: Mapping[str, list[str]]
) -> list[StainFit]:
    fits: dict[str, list[float]] = {}
    for group, solution in zip(calibration.groups, calibration.solutions, strict=True):
        for chip, difference in zip(group.chips, met(group, solution), strict=True):
            for name in _stains_of(chip):
                fits.setdefault(name, []).append(float(difference))
    alone: dict[str, list[float]] = {}
    for chip in fired:
        if chip.name in calibration.left_out:
            for name in _stains_of(chip):
                alone.setdefault(name, []).append(calibration.left_out[chip.name].dE00)
    curves = calibration.optics.stains
    names = [*stains, *(name for name in curves if name not in stains)]
    result = []
    for name in names:
        curve = curves.get(name)
        warnings = list(told.get(name, []))
        if curve is None:
            warnings.append(say("no stripe yet: only what its colour family commonly does is known, the doubt is wide"))
        result.append(
            StainFit(
                stain=name,
                fit=0,
                chips=curve.chips if curve else 0,
                dE00_median=_median(fits.get(name)),
                dE00_left_out=_median(alone.get(name)),
                strength_exponent=curve.exponent if curve else _expected_exponent(calibration.optics, stains.get(name)),
                fade=curve.fade if curve else float(np.exp(calibration.optics.pooled.fade[0])),
                warnings=warnings,
            )
        )
    return result


def _expected_exponent(optics: Optics, stain: Stain | None) -> float:
    soaks = stain is not None and stain.kind == "infiltrating"
    return (optics.pooled.soaked_exponent if soaks else optics.pooled.exponent)[0]


def _stains_of(chip: FiredChip) -> set[str]:
    return {name for layer in chip.layers for name in layer.pot.stains} or {CLEAR}


def _median(values: Sequence[float] | None) -> float | None:
    return float(np.median(values)) if values else None
