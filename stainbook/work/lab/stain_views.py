"""The lab's stains as their page shows them: what a coat does, the stripes as the fit meets them, what to fire next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from stainbook.book import Book
from stainbook.colour import WAVELENGTHS, delta_e_2000
from stainbook.errors import InputError
from stainbook.match.factors import Factor
from stainbook.records import CLEAR, Chip, Layer, Pot, Stain
from stainbook.work.case.advise import colour_shown
from stainbook.work.case.views import BAND, Curve, Floats
from stainbook.work.documents.book_schemas import Learnt
from stainbook.work.documents.schemas import ColourResult
from stainbook.work.reading.optical import OpticalReading, lab_on_grid, optical
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER
from stainbook.work.stains.learnt import SCOPE, Known, hands_of
from stainbook.work.stains.learnt_told import factors_told
from stainbook.work.stains.painted import liquids_of, told_layers
from stainbook.work.stains.predict import LabOptics, forecasts_on, lab_of_book
from stainbook.work.stains.stain_calibration import fired_chip
from stainbook.work.stains.work_stripes import work_stripes

SHARES = (1.0, 1 / 4, 1 / 16)  # of one coat that is drawn


@dataclass(frozen=True, slots=True)
class StainRow:
    """One stain of the list."""

    name: str
    kind: str
    family: str | None
    lot: str | None
    stripes: int
    work: int = 0  # zones of ordinary work that were painted with it alone: stripes too
    form: str | None = None
    system: str | None = None

    @property
    def all(self) -> int:
        """Its stripes, of plates and of ordinary work."""
        return self.stripes + self.work


@dataclass(frozen=True, slots=True)
class StripeMet:
    """A stripe as it was read, and as the fit has it."""

    chip: str
    painted: str
    read: ColourResult
    fit: ColourResult
    dE00: float


@dataclass(frozen=True, slots=True)
class StainView:
    """One stain: one coat of it by its share, on the plate on which it shows most; its stripes; what was learnt.

    The curves begin with the bare plate and clear glaze alone. ``jars`` are its lots, ``hands`` those of the lab.
    """

    name: str
    plate: str | None
    curves: tuple[Curve, ...] = ()
    stripes: tuple[StripeMet, ...] = ()
    jars: tuple[Learnt, ...] = ()
    hands: tuple[Learnt, ...] = ()


def stain_rows(book: Book) -> list[StainRow]:
    """The stains that the lab lists or has stripes of; a stripe counts once it was read."""
    listed, chips = book.stains(), book.chips()
    read = book.readings_of(chip.chip for chip in chips)
    used = [name for chip in chips for name in _stains_of(chip) if chip.chip in read]
    work = Counter(stain for stain, _ in work_stripes(book))
    names = dict.fromkeys([*listed, *used, *work])
    shown = [name for name in names if name != CLEAR or used.count(CLEAR)]
    return [_row(listed.get(name) or _unlisted(name), used.count(name), work[name]) for name in shown]


def _unlisted(name: str) -> Stain:
    return Stain(name, kind=CLEAR if name == CLEAR else "surface")


def _row(one: Stain, stripes: int, work: int) -> StainRow:
    return StainRow(one.name, one.kind, one.family, one.lot, stripes, work, one.form, one.system)


def stain_view(book: Book, name: str) -> StainView:
    """What a stain does; empty where nothing was calibrated yet. Raises BookError for a book that cannot be read."""
    if book.fit(SCOPE) is None:
        return StainView(name, None)
    lab = lab_of_book(book)
    plates = plates_read(book, lab) or _worked_on(book, name)
    chips = [chip for chip in book.chips() if name in _stains_of(chip) and chip.body in plates]
    more = {plate: more_than_expected(book, plate, reading, lab) for plate, reading in plates.items()}
    met = tuple(
        found for chip in chips if (found := _met(chip, plates[chip.body], more[chip.body], book, lab)) is not None
    )
    jars = _told(lab.known, lambda one: one.what == "lot" and one.stain == name)
    hands = _told(lab.known, lambda one: one.what == "operator")
    if not plates or name not in {*lab.optics.stains, *lab.stains}:
        return StainView(name, None, (), met, jars, hands)
    drawn = {plate: _coats(name, reading, more[plate], lab) for plate, reading in plates.items()}
    best = max(drawn, key=lambda plate: _shows(drawn[plate]))
    return StainView(name, best, drawn[best], met, jars, hands)


def _told(known: Known, which: Callable[[Factor], bool]) -> tuple[Learnt, ...]:
    return tuple(factors_told(Known({key: one for key, one in known.factors.items() if which(one)})))


def _shows(curves: Sequence[Curve]) -> float:
    """How far one undiluted coat is from clear glaze alone, ΔE00."""
    clear, coat = (
        lab_on_grid(np.array(one.reflectance), SPECTRA_SEEN_UNDER)
        for one in (curves[1], curves[min(2, len(curves) - 1)])
    )
    return float(delta_e_2000(clear, coat))


def _stains_of(chip: Chip) -> set[str]:
    return {stain for layer in chip.layers for stain in layer.pot.stains} or {CLEAR}


def _worked_on(book: Book, name: str) -> dict[str, OpticalReading]:
    """The zone that was painted with it alone last, as it was before: its plate, where the lab has none."""
    zones = [one.before for stain, one in work_stripes(book) if stain == name and one.before is not None]
    return {zones[-1].sample: optical(zones[-1], tissue=zones[-1].tissue)} if zones else {}


def plates_read(book: Book, lab: LabOptics) -> dict[str, OpticalReading]:
    """The plates of the book's stripes that were read bare."""
    found = {}
    for plate in dict.fromkeys(chip.body for chip in book.chips()):
        reading = book.find_reading(plate)
        if reading is not None:
            found[plate] = optical(reading, body=lab.bodies.get(plate))
    return found


def more_than_expected(book: Book, plate: str, bare: OpticalReading, lab: LabOptics) -> Floats:
    """Ln of how much more the plate's stripe of clear glaze sends back than its bare face lets expect; else 0.

    A matt face adds stray light of its own to its reading. Stripes are learnt beside the clear one on their plate.
    """
    for chip in book.chips():
        reading = book.find_reading(chip.chip) if chip.body == plate and _stains_of(chip) == {CLEAR} else None
        if reading is not None:
            hands = hands_of(lab.optics, lab.lots, None, {})
            (glazed,) = forecasts_on(bare, [chip.layers], lab, hands, finish="glaze", material=None, key=chip.chip)
            return np.log(optical(reading).reflectance / glazed.reflectance)
    return np.zeros(WAVELENGTHS.size)


def _coats(name: str, plate: OpticalReading, more: Floats, lab: LabOptics) -> tuple[Curve, ...]:
    """The bare plate, clear glaze alone, then one coat of each share with the band of its doubt."""
    stacks = [(Layer(Pot()),), *((Layer(Pot.of({name: share})),) for share in SHARES if name != CLEAR)]
    hands = hands_of(lab.optics, lab.lots, None, {})
    soaks = name in lab.stains and lab.stains[name].kind == "infiltrating"
    finish = "polish" if soaks else "glaze"
    drawn = forecasts_on(plate, stacks, lab, hands, finish=finish, material=None, key=name)
    bare = Curve("bare", _floats(WAVELENGTHS), _floats(plate.reflectance))
    curves = [bare]
    for stack, one in zip(stacks, drawn, strict=True):
        spread = BAND * np.sqrt(np.diag(one.covariance()))
        R = one.reflectance if soaks else one.reflectance * np.exp(more)
        low, high = R * np.exp(-spread), R * np.exp(spread)
        share = dict(stack[0].pot.shares).get(name)
        curves.append(
            Curve(f"{share:g}" if share else CLEAR, _floats(WAVELENGTHS), _floats(R), _floats(low), _floats(high))
        )
    return tuple(curves)


def _met(chip: Chip, plate: OpticalReading, more: Floats, book: Book, lab: LabOptics) -> StripeMet | None:
    """A stripe beside what the fit has for its layers on its plate; None where it was not read or cannot be told."""
    reading = book.find_reading(chip.chip)
    if reading is None:
        return None
    hands = hands_of(lab.optics, lab.lots, chip.operator, {})
    fired = fired_chip(chip, {chip.chip: reading, chip.body: plate.reading}, lab.bodies, lab.stains)
    finish = "glaze" if fired.glazed else "polish"
    try:
        (fit,) = forecasts_on(plate, [chip.layers], lab, hands, finish=finish, material=fired.material, key=chip.chip)
    except InputError:
        return None
    laid = fit.reflectance * np.exp(more) if fired.glazed else fit.reflectance
    read, met = (lab_on_grid(R, SPECTRA_SEEN_UNDER) for R in (optical(reading).reflectance, laid))
    seen, expected = (colour_shown(colour, SPECTRA_SEEN_UNDER) for colour in (read, met))
    return StripeMet(
        chip.chip,
        told_layers(chip.layers, liquids_of(lab.stains.values())),
        seen,
        expected,
        float(delta_e_2000(read, met)),
    )


def _floats(values: Floats) -> tuple[float, ...]:
    return tuple(float(value) for value in values)
