"""Plates that a page lays out: kept until they are read, then typed in the order of their sheet and learnt from."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from stainbook.book import Book
from stainbook.colour import delta_e_2000
from stainbook.errors import InputError
from stainbook.files import NamedFile, format_readings
from stainbook.files.layers import format_chips
from stainbook.kept import BY_MISTAKE
from stainbook.language import say
from stainbook.records import Chip, LabValues, Stain
from stainbook.words import mixes
from stainbook.words.figures import tenths
from stainbook.work.documents.day_schemas import PlateResult, Stripe
from stainbook.work.documents.schemas import CalibrateResult
from stainbook.work.reading.typed_colour import Light, asked_under, typed_colour
from stainbook.work.reading.typing_slips import Slip, typed_reading
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.exchanged_axes import slip_of_row
from stainbook.work.stains.painted import liquids_of, soaks, told_layers
from stainbook.work.stains.plate import html_of, plan_plates
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from stainbook.work.stains.stripes import NEW_PLATE, PlateOrder

BARE_FACES = ("matt", "polished", "glazed")  # how the bare plate was read
SWAPPED = 0.5  # ΔE00 by which a stronger stripe may lie nearer to clear glaze than a weaker one, by the coat alone

GLAZE_MOVES = 8.0  # ΔE00 that clear glaze moves a bare plate at most: common practice; simulated labs stay below 5


@dataclass(frozen=True, slots=True)
class PlateRow:
    """One row to read: the sample, its number on the sheet of its plate (0 is the bare plate), what was painted.

    ``read`` : L*, a*, b* of the reading that holds, where it was one
    """

    sample: str
    number: int
    painted: str
    read: LabValues | None = None


@dataclass(frozen=True, slots=True)
class PlannedPlate:
    """A plate that waits to be read, its bare reading first where the book does not hold it yet."""

    plate: str
    rows: tuple[PlateRow, ...]


@dataclass(frozen=True, slots=True)
class TypedPlates:
    """What was typed of some plates: the numbers by sample; ``face`` is that of the bare plate."""

    plates: tuple[str, ...]
    typed: Mapping[str, str]
    light: Light
    face: str = "matt"


def laid_out(book: Book, order: PlateOrder) -> PlateResult:
    """Plates as they would be laid out, numbered after those that the book knows; raises InputError as `lay_out`."""
    return _numbered(plan_plates(book, _after_known(book, order))[0])


def keep_plates(book: Book, order: PlateOrder) -> PlateResult:
    """Keep a lay-out, to be fired and read; raises InputError for what cannot be laid out."""
    result, chips = plan_plates(book, _after_known(book, order))
    book.add_chips(chips)
    return _numbered(result)


def waiting_plates(book: Book) -> tuple[PlannedPlate, ...]:
    """The plates of which some stripe was not read yet, in the order in which they were laid out."""
    plates = _plates_of(book)
    read = book.readings_of({name for plate, rows in plates.items() for name in (plate, *(row.sample for row in rows))})
    return tuple(
        PlannedPlate(plate, (*_bare(plate, read), *(row for row in rows if row.sample not in read)))
        for plate, rows in plates.items()
        if any(row.sample not in read for row in rows)
    )


def read_stripes(book: Book) -> tuple[PlannedPlate, ...]:
    """The plates of which stripes were read, with those: what was mistyped is typed again, and the newest counts."""
    plates = _plates_of(book)
    read = book.readings_of({row.sample for rows in plates.values() for row in rows})
    newest = {sample: book.newest_of(readings) for sample, readings in read.items()}
    found = {
        plate: tuple(replace(row, read=one.lab) for row in rows if (one := newest.get(row.sample)) is not None)
        for plate, rows in plates.items()
    }
    return tuple(PlannedPlate(plate, rows) for plate, rows in found.items() if rows)


def _plates_of(book: Book) -> dict[str, list[PlateRow]]:
    """All stripes by plate, numbered as on its sheet."""
    liquids = liquids_of(book.stains().values())
    plates: dict[str, list[PlateRow]] = {}
    for chip in book.chips():
        rows = plates.setdefault(chip.body, [])
        rows.append(PlateRow(chip.chip, len(rows) + 1, told_layers(chip.layers, liquids)))
    return plates


def remove_plates(book: Book, plates: Collection[str]) -> list[str]:
    """Remove the stripes of some plates that wait to be read; those that were read stay. Gives the plates.

    Raises InputError for a plate that does not wait.
    """
    waiting = {one.plate: one for one in waiting_plates(book)}
    for plate in plates:
        if plate not in waiting:
            raise InputError(say("found {plate}, expected a plate that waits to be read", plate=plate))
    names = {row.sample for plate in plates for row in waiting[plate].rows if row.number}
    book.withdraw_chips(names, why=BY_MISTAKE)
    return [plate for plate in waiting if plate in plates]


def removed_plates(book: Book) -> dict[str, int]:
    """The plates of which stripes were removed, the newest first, and how many."""
    found: dict[str, int] = {}
    for chip in book.chips(withdrawn=True):
        found[chip.body] = found.get(chip.body, 0) + 1
    return dict(reversed(found.items()))


def bring_back(book: Book, plate: str) -> None:
    """Undo that stripes of a plate were removed; raises InputError where none was."""
    chips = [chip for chip in book.chips(withdrawn=True) if chip.body == plate]
    if not chips:
        raise InputError(say("found {plate}, expected a plate that was removed", plate=plate))
    book.add_chips(chips)


def sheet_of(book: Book, plates: Sequence[str]) -> str:
    """Plates that wait as a page to print, with rows to write into; raises InputError where none does."""
    liquids = liquids_of(book.stains().values())
    chips = [chip for chip in book.chips() if chip.body in plates]
    if not chips:
        raise InputError(say("found no plate that waits, expected one that was laid out"))
    return html_of(_numbered(_result(chips, liquids)), bare=True)


def read_plates(book: Book, told: TypedPlates) -> CalibrateResult:
    """Store typed rows of plates and learn from them, in one step; stripes that were not typed go on waiting.

    Raises InputError for numbers that are no colour, for a plate without its bare reading, and where nothing was typed.
    """
    asked, stains = asked_under(book, told.light), book.stains()
    at = datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    chips = [chip for chip in book.chips() if chip.body in told.plates and told.typed.get(chip.chip, "").strip()]
    if not chips:
        raise InputError(say("found no stripe, expected L*, a*, b* of one or more"))
    readings = []
    for plate in dict.fromkeys(chip.body for chip in chips):
        text = told.typed.get(plate, "").strip()
        known = book.find_reading(plate)
        if not text and known is None:
            raise InputError(say("{plate} was never read bare, expected its L*, a*, b* too", plate=plate))
        if text:
            known = replace(typed_colour(text, asked, plate), surface=told.face, taken_at=at)
        readings.append(known)
    for chip in chips:
        found = typed_colour(told.typed[chip.chip], asked, chip.chip)
        before = book.find_reading(chip.chip)  # typed again, it has the face that was said then
        face = before.surface if before is not None else _face(chip, told.face, stains)
        readings.append(replace(found, surface=face, taken_at=at))
    source = say("the typed rows")
    return calibrate_files(
        book,
        ChipFiles(
            NamedFile(source, format_chips(chips).encode()),
            NamedFile(source, format_readings([one for one in readings if one is not None]).encode()),
        ),
    )


def questions(book: Book, told: TypedPlates) -> list[str]:
    """Rows that look swapped: a stronger stripe that lies nearer to clear glaze than a weaker one of its stain."""
    asked = asked_under(book, told.light)
    found = []
    for plate in told.plates:
        chips = [chip for chip in book.chips() if chip.body == plate]
        numbers = {chip.chip: number for number, chip in enumerate(chips, 1)}
        read = dict(_whole(chips, told, asked))
        glaze, clear = next(((c, lab) for c, lab in read.items() if not c.layers[0].pot.shares), (None, None))
        if glaze is None or clear is None:
            continue
        bare = _bare_of(book, plate, told, asked)
        if bare is not None and (far := float(delta_e_2000(clear, bare))) > GLAZE_MOVES:
            found.append(
                say(
                    "{plate}, row {row}: clear glaze lies {apart} ΔE00 from the bare plate; is one of them mistyped?",
                    plate=plate, row=numbers[glaze.chip], apart=tenths(far),
                )
            )  # fmt: skip
            continue  # what is told by its distance from clear glaze says nothing then
        for weak, strong in _pairs(read):
            apart = [float(delta_e_2000(read[chip], clear)) for chip in (weak, strong)]
            if apart[1] + SWAPPED < apart[0]:
                found.append(
                    say(
                        "{plate}, rows {first} and {second}: {weak} lies farther from clear glaze than {strong}; were "
                        "they typed in the wrong order?",
                        plate=plate, first=numbers[weak.chip], second=numbers[strong.chip],
                        weak=mixes.layers(weak.layers), strong=mixes.layers(strong.layers),
                    )
                )  # fmt: skip
    return found


def row_question(book: Book, told: TypedPlates, sample: str, text: str, what: str) -> Slip | None:
    """Ask about a row as it is typed: a slip of the finger, a* and b* exchanged; None where it may stand.

    Raises InputError for what is no colour.
    """
    asked = asked_under(book, told.light)
    found = typed_reading(text, asked, what, tissue="sample")
    if isinstance(found, Slip):
        return found
    if sample in told.plates:
        return slip_of_row(text, asked, what)
    chip = next((one for one in book.chips() if one.chip == sample), None)
    if chip is None:
        return None
    bare = _bare_of(book, chip.body, told, asked)
    return slip_of_row(text, asked, what, bare=bare, chip=chip, stains=book.stains())


def _bare_of(book: Book, plate: str, told: TypedPlates, asked: Asked) -> LabValues | None:
    """The bare plate as typed, else as the book has it under that light; None where neither is."""
    text = told.typed.get(plate, "").strip()
    try:
        found = typed_colour(text, asked, plate) if text else book.find_reading(plate)
    except InputError:  # which is told at its row
        return None
    return found.lab if found is not None and (text or found.viewing == asked.of_bare_lab) else None


def _whole(chips: Sequence[Chip], told: TypedPlates, asked: Asked) -> Iterable[tuple[Chip, LabValues]]:
    for chip in chips:
        text = told.typed.get(chip.chip, "").strip()
        try:
            found = typed_colour(text, asked, chip.chip).lab if text else None
        except InputError:  # which is told at its row
            continue
        if found is not None:
            yield chip, found


def _pairs(read: Mapping[Chip, LabValues]) -> Iterable[tuple[Chip, Chip]]:
    """Two stripes of one stain, the weaker first, where one has twice as much of it or more."""
    for weak in read:
        for strong in read:
            alike = weak.layers[0].pot.stains == strong.layers[0].pot.stains
            if alike and weak.layers[0].pot.shares and _amount(strong) >= 2.0 * _amount(weak):
                yield weak, strong


def _amount(chip: Chip) -> float:
    return sum(share for _, share in chip.layers[0].pot.shares) * chip.layers[0].coats


def _face(chip: Chip, bare: str, stains: Mapping[str, Stain]) -> str:
    """A fired stripe is glazed; a liquid leaves the face of its disc as it is."""
    return bare if soaks(chip.layers, liquids_of(stains.values())) else "glazed"


def _bare(plate: str, read: Mapping[str, object]) -> tuple[PlateRow, ...]:
    return () if plate in read else (PlateRow(plate, 0, say("bare, before it was painted")),)


def _after_known(book: Book, order: PlateOrder) -> PlateOrder:
    """The order with its plates numbered after those that the book knows."""
    known = {chip.body for chip in book.chips()}
    if twice := [name for name in order.plates if name in known]:
        raise InputError(
            say("{plate} carries stripes already, expected a plate of another name: paint a new one", plate=twice[0])
        )
    known |= {chip.body for chip in book.chips(withdrawn=True)}  # a printed sheet may still name it
    numbers = [int(found[1]) for name in known if (found := NEW_PLATE.fullmatch(name))]
    return replace(order, first=max(numbers, default=0) + 1)


def _result(chips: Sequence[Chip], liquids: frozenset[str]) -> PlateResult:
    stripes = [
        Stripe(row=row, plate=chip.body, chip=chip.chip, paint=told_layers(chip.layers, liquids))
        for row, chip in enumerate(chips, 1)
    ]
    return PlateResult(plates=list(dict.fromkeys(chip.body for chip in chips)), stripes=stripes)


def _numbered(result: PlateResult) -> PlateResult:
    """Rows numbered plate by plate, as the page has them."""
    counts: dict[str, int] = {}
    stripes = []
    for one in result.stripes:
        counts[one.plate] = counts.get(one.plate, 0) + 1
        stripes.append(one.model_copy(update={"row": counts[one.plate]}))
    return result.model_copy(update={"stripes": stripes})
