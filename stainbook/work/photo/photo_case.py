"""Zones of a photo against the targets of a case, graded by their doubt: never a bare pass."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from stainbook.book import Book
from stainbook.colour import ThresholdSet, delta_e_2000_parts, grade_interval, visibility_interval
from stainbook.records import Viewing
from stainbook.work.case.current_case import What, current_case
from stainbook.work.case.zones import zone_colours
from stainbook.work.documents.document_parts import Gap
from stainbook.work.reading.samples import SampleColour
from stainbook.work.reading.viewing_conditions import Asked

if TYPE_CHECKING:
    from stainbook.work.photo.photo_colours import Taken


def case_targets(book: Book, what: What, viewing: Viewing, asked: Asked) -> dict[tuple[int, str], SampleColour]:
    """The targets of a case's zones under a light and observer.

    Raises InputError for a case that cannot be read and targets that cannot be seen under that light.
    """
    asked = Asked(viewing.illuminant, viewing.observer, asked.adapt, None, asked.instruments)
    current = current_case(book, what)
    zones = zone_colours(current.case, current.library(book, asked), optics=False)
    return {one.zone.key: one.target for one in zones if one.target is not None}


def viewing_in(book: Book, what: What) -> Viewing | None:
    """Under which light and observer a case's L*, a*, b* hold: a photo is seen under it too, so that both compare.

    None of a case of spectra alone, or without any colour. Raises InputError for a case that cannot be read.
    """
    current = current_case(book, what)
    for one in zone_colours(current.case, current.library(book), optics=False):
        colours = [found for found in (one.target, one.seen) if found is not None]
        if any(not found.reading.is_spectral for found in colours) and colours[0].viewing.known:
            return colours[0].viewing
    return None


def case_gaps(
    taken: Taken, targets: Mapping[tuple[int, str], SampleColour], limits: Mapping[str, ThresholdSet]
) -> dict[tuple[int, str], Gap]:
    """The gap of each zone of a photo that has a target, seen minus target."""
    pairs = zip(taken.scene.zones, taken.reading.zones, strict=True)
    return {
        (zone.tooth, zone.zone): _gap(
            found.lab, taken.radius(found), targets[zone.tooth, zone.zone], limits[zone.tissue]
        )
        for zone, found in pairs
        if (zone.tooth, zone.zone) in targets
    }


def _gap(lab: NDArray[np.float64], radius: float, target: SampleColour, limits: ThresholdSet) -> Gap:
    parts = delta_e_2000_parts(lab, target.lab, kL=limits.kL, kC=limits.kC, kH=limits.kH)
    doubt = float(np.hypot(radius, target.u))
    low, high = max(0.0, float(parts.dE00) - doubt), float(parts.dE00) + doubt
    return Gap(
        dE00=float(parts.dE00),
        dL=float(parts.dL),
        dC=float(parts.dC),
        dH=float(parts.dH),
        grade=grade_interval(low, high, limits),
        u=doubt,
        visibility=visibility_interval(low, high, limits),
    )


def fired_at(book: Book, what: What) -> str | None:
    """When a case was last fired, ISO 8601; None for one that was not, or not recorded.

    Raises InputError for a case that cannot be read.
    """
    return max(book.fired(current_case(book, what).case.case), default=None)
