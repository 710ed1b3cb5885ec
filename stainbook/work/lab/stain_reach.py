"""What one stain does, by its share and coats, and what it opens: the open zones that it alone brings nearer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from stainbook.book import Book
from stainbook.colour import delta_e_2000
from stainbook.errors import InputError
from stainbook.records import NO_FIRING_STAGES, Layer, Pot, Viewing
from stainbook.work.case.case_gaps import gaps_of
from stainbook.work.case.current_case import known_case
from stainbook.work.case.views import Floats
from stainbook.work.case.zones import ZoneColours
from stainbook.work.lab.stain_views import more_than_expected, plates_read, stain_view
from stainbook.work.reading.lab_settings import limits_in
from stainbook.work.reading.optical import OpticalReading, lab_on_grid, optical
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER
from stainbook.work.stains.learnt import SCOPE, hands_of
from stainbook.work.stains.painted import liquids_of, told_layers
from stainbook.work.stains.predict import LabOptics, forecasts_on, lab_of_book

SHARES = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0)
COATS = (1, 2)
MOST_CASES = 12  # open ones that are looked at, the newest first
LEAST = 0.5  # ΔE00 by which a zone must come nearer to be named


@dataclass(frozen=True, slots=True)
class ShareColour:
    """The colour of so many coats of a share, expected or read of a stripe."""

    share: float
    coats: int
    L: float
    C: float
    read: bool = False


@dataclass(frozen=True, slots=True)
class OpenedZone:
    """An open zone: how far from its target now, and how far with the best single layer of the stain, ΔE00."""

    case: str
    tooth: int
    zone: str
    now: float
    then: float
    painted: str
    within: bool  # then in tolerance, by the expected colour


@dataclass(frozen=True, slots=True)
class StainReach:
    """Value and chroma of a stain on its plate by share and coats; ``opened`` of ``looked_at`` zones, best first."""

    plate: str | None
    colours: tuple[ShareColour, ...] = ()
    opened: tuple[OpenedZone, ...] = ()
    looked_at: int = 0


def stain_reach(book: Book, name: str) -> StainReach:
    """Give what a stain does and opens; empty where nothing is known of it yet."""
    plate = stain_view(book, name).plate if book.fit(SCOPE) is not None else None
    if plate is None:
        return StainReach(None)
    lab = lab_of_book(book)
    found = book.find_reading(plate)
    if found is None:
        return StainReach(None)
    ground = plates_read(book, lab).get(plate) or optical(found, tissue=found.tissue)
    zones = list(_open_zones(book))
    opened = [one for code, zone in zones if (one := _opened(book, code, zone, name, lab)) is not None]
    opened.sort(key=lambda one: one.then - one.now)
    more = more_than_expected(book, plate, ground, lab)
    return StainReach(
        plate, (*_expected(name, ground, more, lab), *_read(book, name, plate)), tuple(opened), len(zones)
    )


def _expected(name: str, ground: OpticalReading, more: Floats, lab: LabOptics) -> Iterable[ShareColour]:
    for layer, (L, a, b) in _laid(name, ground, lab, SPECTRA_SEEN_UNDER, more):
        yield ShareColour(layer.pot.shares[0][1], layer.coats, float(L), float(np.hypot(a, b)))


def _laid(
    name: str, ground: OpticalReading, lab: LabOptics, viewing: Viewing, more: Floats | float = 0.0
) -> list[tuple[Layer, Floats]]:
    """Each single layer of a stain that is tried, with the colour that it has on a ground.

    more : ln of what the ground sends back under glaze beyond what is expected of its bare face
    """
    layers = [Layer(Pot.of({name: share}), coats) for coats in COATS for share in SHARES]
    soaks = name in liquids_of(lab.stains.values())
    finish, more = ("polish", 0.0) if soaks else ("glaze", more)
    hands = hands_of(lab.optics, lab.lots, None, {})
    stacks = [(layer,) for layer in layers]
    done = forecasts_on(ground, stacks, lab, hands, finish=finish, material=None, key=name)
    return [
        (layer, lab_on_grid(one.reflectance * np.exp(more), viewing)) for layer, one in zip(layers, done, strict=True)
    ]


def _read(book: Book, name: str, plate: str) -> Iterable[ShareColour]:
    """The stripes of it alone that were read on the plate."""
    for chip in book.chips():
        shares = dict(chip.layers[0].pot.shares) if len(chip.layers) == 1 else {}
        reading = book.find_reading(chip.chip) if chip.body == plate and set(shares) == {name} else None
        if reading is not None:
            L, a, b = lab_on_grid(optical(reading).reflectance, SPECTRA_SEEN_UNDER)
            yield ShareColour(shares[name], chip.layers[0].coats, float(L), float(np.hypot(a, b)), read=True)


def _open_zones(book: Book) -> Iterable[tuple[str, ZoneColours]]:
    """The zones of open cases with a reading and a target."""
    heads = sorted((number, code) for code, number, out in book.case_heads() if not out)
    for _, code in heads[: -MOST_CASES - 1 : -1]:
        current = known_case(book, code)
        if current.case.stage in (*NO_FIRING_STAGES, "green"):
            continue
        try:
            zones = gaps_of(book, current).zones
        except InputError:  # which the page of the case tells
            continue
        yield from ((code, zone) for zone in zones if zone.seen is not None and zone.target is not None)


def _opened(book: Book, code: str, zone: ZoneColours, name: str, lab: LabOptics) -> OpenedZone | None:
    """The zone with the best layer of the stain alone, where that comes nearer."""
    assert zone.seen is not None
    assert zone.target is not None
    viewing = zone.target.viewing if zone.target.viewing.known else SPECTRA_SEEN_UNDER
    try:
        ground = optical(zone.seen.reading, tissue=zone.zone.tissue)
    except InputError:
        return None
    tried = [
        (float(delta_e_2000(colour, zone.target.lab)), layer) for layer, colour in _laid(name, ground, lab, viewing)
    ]
    then, layer = min(tried, key=lambda one: one[0])
    now = float(delta_e_2000(zone.seen.lab, zone.target.lab))
    if then > now - LEAST:
        return None
    painted = told_layers((layer,), liquids_of(lab.stains.values()))
    within = then <= limits_in(book)[zone.zone.tissue].acceptable
    return OpenedZone(code, zone.zone.tooth, zone.zone.zone, now, then, painted, within)
