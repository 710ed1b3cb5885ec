"""Samples against targets: ΔE00 with its parts and doubt, and the grade against a tissue's thresholds."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import numpy as np

from stainbook.colour import (
    ThresholdSet,
    delta_e_2000_parts,
    delta_e_2000_radius,
    grade_interval,
    threshold_set,
    thresholds,
    visibility_interval,
)
from stainbook.errors import InputError, some_of
from stainbook.files import ReadingSet, read_readings
from stainbook.language import say, say_n
from stainbook.optics.ceramic import Ceramic
from stainbook.records import Reading
from stainbook.work.documents.schemas import ComparedPair, CompareResult
from stainbook.work.reading.optical import surface_of
from stainbook.work.reading.reading_conditions import ReadWith, said, way_to
from stainbook.work.reading.samples import SampleColour, colour_of, on_plate_scale, tissue, warnings_of
from stainbook.work.reading.viewing_conditions import OWN_SCALE, Asked, shared_viewing


def compare(
    samples: Path,
    targets: Path,
    asked: Asked | None = None,
    *,
    threshold_names: Iterable[str] = (),
    pieces: bool = False,
) -> CompareResult:
    """Each sample against the target of the same name; of several readings the newest counts.

    pieces : the samples are pieces and the targets flat plates: the instrument's offset between the two is taken off.
    threshold_names : sets to grade by, at most one a tissue; a tissue that none is for takes its default.

    Raises InputError for files that cannot be read, no common name, colours that cannot be compared
    and threshold sets that are not known.
    """
    asked = asked or Asked()
    limits = _chosen(threshold_names)
    left = read_readings(samples, defaults=asked.defaults)
    right = read_readings(targets, defaults=asked.defaults)
    common = [name for name in left.samples if name in right.samples]
    if not common:
        raise InputError(
            say(
                "{samples} and {targets}: no sample has a target of the same name; found {sample_names} and "
                "{target_names}, expected the target to be named as its sample",
                samples=samples,
                targets=targets,
                sample_names=_some(left.samples),
                target_names=_some(right.samples),
            )
        )
    pairs = [_seen(left.get(name), right.get(name), asked, pieces=pieces) for name in common]
    warnings = [*left.warnings, *right.warnings, *_alone(left, right), *_alone(right, left)]
    warnings += warnings_of(colour for pair in pairs for colour in pair)
    warnings += said(((goal.reading.sample, goal.crossed) for _, goal in pairs), against=say("the sample of its name"))
    tissues = [_tissue(sample.reading, target.reading, limits) for sample, target in pairs]
    guessed = [pair[0].reading.sample for pair, kind in zip(pairs, tissues, strict=True) if kind is None]
    if guessed:
        warnings.append(
            say("neither a tissue column nor a zone in the name, graded as tooth: {names}", names=_some(guessed))
        )
    return CompareResult(
        pairs=[graded(*pair, _limits(kind or "tooth", limits)) for pair, kind in zip(pairs, tissues, strict=True)],
        warnings=warnings,
    )


def _chosen(names: Iterable[str]) -> dict[str, ThresholdSet]:
    chosen: dict[str, ThresholdSet] = {}
    for one in map(threshold_set, names):
        if one.tissue in chosen:
            raise InputError(
                say(
                    "thresholds {first} and {second} are both for {tissue}; name one",
                    first=chosen[one.tissue].name,
                    second=one.name,
                    tissue=one.tissue,
                )
            )
        chosen[one.tissue] = one
    return chosen


def _limits(kind: str, chosen: dict[str, ThresholdSet]) -> ThresholdSet:
    return chosen.get(kind) or thresholds(kind)


def _seen(sample: Reading, target: Reading, asked: Asked, *, pieces: bool) -> tuple[SampleColour, SampleColour]:
    viewing = shared_viewing(sample, target, asked)
    seen = colour_of(sample, viewing, adapt=asked.adapt)
    flat = on_plate_scale(seen, asked.instruments) if pieces else seen
    goal = colour_of(target, viewing, adapt=asked.adapt)
    if not viewing.known or sample.is_photo:  # one instrument's scale; a photo has its own doubt
        return flat, goal
    way = way_to(ReadWith.of(sample), target, surface_of(target), Ceramic.of(None))
    return flat, goal.crossing(way)


def graded(sample: SampleColour, target: SampleColour, limits: ThresholdSet) -> ComparedPair:
    """Sample minus target, graded by the interval of their doubt."""
    parts = delta_e_2000_parts(sample.lab, target.lab, kL=limits.kL, kC=limits.kC, kH=limits.kH)
    between = np.mean([sample.lab, target.lab], axis=0)
    u = float(delta_e_2000_radius(between, sample.covariance + target.covariance))
    dE = float(parts.dE00)
    return ComparedPair(
        sample=sample.reading.sample,
        target=target.reading.sample,
        dE00=dE,
        dL=float(parts.dL),
        dC=float(parts.dC),
        dH=float(parts.dH),
        grade=grade_interval(max(dE - u, 0.0), dE + u, limits),
        u=u,
        visibility=visibility_interval(max(dE - u, 0.0), dE + u, limits),
        tissue=limits.tissue,
        thresholds=limits.name,
        illuminant=sample.viewing.illuminant,
        observer=sample.viewing.observer or None,
        scale=None if sample.viewing.known else OWN_SCALE,
    )


def _tissue(sample: Reading, target: Reading, limits: dict[str, ThresholdSet]) -> str | None:
    """The tissue whose thresholds hold: as stated, else by the names, else of the only set chosen, else None."""
    if sample.tissue and target.tissue and sample.tissue != target.tissue:
        raise InputError(
            say(
                "{source}: {sample!r} is {tissue}, its target in {target} is {target_tissue}; expected the same tissue",
                source=sample.source,
                sample=sample.sample,
                tissue=sample.tissue,
                target=target.source,
                target_tissue=target.tissue,
            )
        )
    found = sample.tissue or target.tissue or tissue(sample) or tissue(target)
    return found or (next(iter(limits)) if len(limits) == 1 else None)


def _alone(readings: ReadingSet, others: ReadingSet) -> list[str]:
    names = [name for name in readings.samples if name not in others.samples]
    if not names:
        return []
    return [
        say_n(
            "{source}: {n} without partner in {other} is left out: {names}",
            "{source}: {n} without partner in {other} are left out: {names}",
            len(names),
            source=readings.source,
            other=others.source,
            names=_some(names),
        )
    ]


def _some(names: Iterable[str]) -> str:
    return some_of(map(repr, names), most=4)
