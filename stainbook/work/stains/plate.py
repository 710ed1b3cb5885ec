"""Plates: laid out, printed, read back in the order of their sheet; and one's own hand from a stripe painted often."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import groupby
from pathlib import Path

import numpy as np

from stainbook.book import Book
from stainbook.errors import InputError, UnknownNameError, message
from stainbook.files import ReadingSet, read_chips, read_readings, write_chips, write_readings
from stainbook.files.text import write_text
from stainbook.language import say, say_n
from stainbook.optics.curves import Optics
from stainbook.optics.film import Piece
from stainbook.optics.forecast import forecast
from stainbook.optics.hand import FEWEST, hand_scatter
from stainbook.records import Chip, Stain
from stainbook.words import mixes
from stainbook.work.documents.day_schemas import HandResult, PlateResult, Stripe
from stainbook.work.documents.printed import PrintedTable, page
from stainbook.work.reading.optical import optical
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.learnt import SCOPE, learnt
from stainbook.work.stains.stripes import PlateOrder, lay_out

_NOTES = (
    say("Read every bare plate before it is painted, then, fired and cool, the stripes in this order."),
    say("Clear glaze stands first on each plate: it tells what glaze alone does to the bare piece."),
    say("Fire the plate as your pieces are fired, by the maker's sheet; write lot and programme beside it."),
    say("No dry stain powder in the air; gloves; hot trays: tongs."),
)


def plan_plates(book: Book, wanted: PlateOrder) -> tuple[PlateResult, tuple[Chip, ...]]:
    """Plates for some stains of the lab; those that the book does not list are taken by their names, and told."""
    listed = book.stains()
    soaking = frozenset(name for name in wanted.stains if name in listed and listed[name].kind == "infiltrating")
    chips = lay_out(replace(wanted, soaking=soaking))
    lots = {name: stain.lot for name, stain in listed.items() if stain.lot}
    chips = tuple(_with_lots(chip, lots) for chip in chips)
    unknown = [name for name in wanted.stains if listed and name not in listed]
    told = [say("{name} is not among the stains of the book: its family is not known", name=name) for name in unknown]
    return _result(chips, told), chips


def save(result: PlateResult, chips: Sequence[Chip], *, csv: Path | None = None, html: Path | None = None) -> None:
    """Write the plates as chips.csv and as a page to print; raises InputError where they cannot be written."""
    if csv:
        write_chips(csv, chips)
    if html:
        write_text(html, html_of(result))


def read_back(
    book: Book, chips_path: Path, readings: Path, target: Path | None, asked: Asked | None = None
) -> PlateResult:
    """Name readings by the order of their plates' sheet and store both; optionally save the named readings.

    As many rows as there are stripes, or plates before the stripes; a bare plate that the book holds need not come.

    Raises InputError for another number of rows, and plates that were never read bare; then nothing is stored.
    """
    chips = read_chips(chips_path).records
    found = _in_order(readings, chips, asked or Asked())
    for one in found.all:
        optical(one)  # refuses colours of unknown light, before anything is stored
    bare = [name for name in _plates(chips) if name not in found.samples and book.find_reading(name) is None]
    if bare:
        raise InputError(
            say(
                "{readings}: plate {plate!r} was never read bare, expected its reading before the stripes'",
                readings=readings,
                plate=bare[0],
            )
        )
    if target:
        known = [
            reading for name in _plates(chips) if name not in found.samples and (reading := book.find_reading(name))
        ]
        write_readings(target, [*known, *found.all])
    with book.transaction() as step:
        step.add_readings(found.all)
        step.add_chips(chips)
    hands, told = _hands(book, chips)
    return _result(chips, [*found.warnings, *told], hands=hands)


def _in_order(path: Path, chips: Sequence[Chip], asked: Asked) -> ReadingSet:
    stripes, plates = [chip.chip for chip in chips], _plates(chips)
    try:
        return read_readings(path, defaults=asked.defaults, order=stripes)
    except InputError as first:
        try:
            return read_readings(path, defaults=asked.defaults, order=[*plates, *stripes])
        except InputError:
            raise first from None


def _plates(chips: Sequence[Chip]) -> list[str]:
    return list(dict.fromkeys(chip.body for chip in chips))


def _with_lots(chip: Chip, lots: Mapping[str, str]) -> Chip:
    layers = tuple(
        replace(layer, lots=tuple((name, lots[name]) for name in layer.pot.stains if name in lots))
        for layer in chip.layers
    )
    return replace(chip, layers=layers)


def _result(chips: Sequence[Chip], warnings: Sequence[str], *, hands: Sequence[HandResult] = ()) -> PlateResult:
    stripes = [
        Stripe(row=row, plate=chip.body, chip=chip.chip, paint=mixes.layers(chip.layers))
        for row, chip in enumerate(chips, 1)
    ]
    return PlateResult(plates=_plates(chips), stripes=stripes, hands=list(hands), warnings=list(warnings))


def html_of(result: PlateResult, *, bare: bool = False) -> str:
    """The plates as a page to print; with ``bare`` each has a row for its own reading, and rows count by plate."""
    row = say("row")
    before = [("", say("bare, before it is painted"), "", "", "", "", "")] if bare else []
    tables = [
        PrintedTable(
            (row, say("paint"), say("stripe"), say("lot"), "L*", "a*", "b*"),
            [*before, *((str(one.row), one.paint, one.chip, "", "", "", "") for one in stripes)],
            numbers=(row,),
            heading=say("Plate {name}", name=plate),
        )
        for plate, stripes in groupby(result.stripes, key=lambda one: one.plate)
    ]
    counts = {
        "plates": say_n("{n} plate", "{n} plates", len(result.plates)),
        "stripes": say_n("{n} stripe", "{n} stripes", len(result.stripes)),
    }
    typed = say("{plates}, {stripes}, one firing; type the readings plate by plate, in this order.", **counts)
    lead = typed if bare else say("{plates}, {stripes}; row n is the n-th reading.", **counts)
    return page(say("Plates to fire"), lead=lead, tables=tables, notes=_NOTES)


# ---------------------------------------------------------------- one's own hand


def _hands(book: Book, chips: Sequence[Chip]) -> tuple[list[HandResult], list[str]]:
    """The scatter of a hand wherever one stripe was painted three times or more on one plate; what cannot be told."""
    groups: dict[object, list[Chip]] = {}
    for chip in chips:
        if chip.layers and chip.layers[0].pot.shares:
            alike = chip.body, chip.operator, tuple((one.pot, one.coats) for one in chip.layers)
            groups.setdefault(alike, []).append(chip)
    optics, stains = _optics(book), book.stains()
    found, told = [], []
    for group in groups.values():
        if len(group) >= FEWEST:
            try:
                found.append(_hand(book, group, optics, stains))
            except ValueError as error:
                told.append(
                    say(
                        "{stripe} and its like tell nothing of the hand: {error}",
                        stripe=group[0].chip,
                        error=message(error),
                    )
                )
    return found, told


def _optics(book: Book) -> Optics:
    return learnt(book)[0] if book.fit(SCOPE) else Optics({})


def _hand(book: Book, chips: Sequence[Chip], optics: Optics, stains: Mapping[str, Stain]) -> HandResult:
    first = chips[0]
    body = book.find_reading(first.body)
    found = [book.find_reading(chip.chip) for chip in chips]
    if body is None or any(reading is None for reading in found):
        raise UnknownNameError(say("reading in the book of the stripe"), first.chip, ())
    bare = optical(body, body=book.bodies().get(first.body))
    ln = np.log(np.array([optical(reading).reflectance for reading in found if reading is not None]))
    families = {name: (stain.kind, stain.family) for name, stain in stains.items()}
    ceramic = optics.ceramic(first.material)
    piece = Piece(bare.reflectance, bare.surface, ceramic.stray if bare.surface == "matt" else 0.0, ceramic)
    (forecasted,) = forecast(optics, piece, [first.layers], key="", families=families)
    coats = first.layers[0].coats
    slope = forecasted.sources["hand  1"][0] * np.sqrt(coats) / optics.pooled.hand
    scatter = hand_scatter(ln, slope, coats=coats)
    return HandResult(
        operator=first.operator, stripes=len(chips), scatter=scatter.sd, low=scatter.low, high=scatter.high
    )
