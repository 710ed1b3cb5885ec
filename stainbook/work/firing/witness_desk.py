"""Witness discs of one sintering, as a page tells them: two from the offcut of the blank, one bare, one coloured.

They stand in the furnace beside the piece and are read first: what blank, bottle and run became shows on them, and the
expected colours of the piece move with it before the piece is touched.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from stainbook.book import Book
from stainbook.errors import InputError, UncalibratedError, UnknownNameError
from stainbook.files import NamedFile, format_readings
from stainbook.files.layers import format_chips
from stainbook.kept import Firing, Report
from stainbook.language import say
from stainbook.records import Chip, Layers, Reading
from stainbook.work.case.case_gaps import gaps_of
from stainbook.work.case.current_case import CurrentCase, known_case
from stainbook.work.case.open_case import now
from stainbook.work.case.witness import looked_at, sintering_of
from stainbook.work.documents.schemas import AdvisedZone
from stainbook.work.firing.record import record_reports
from stainbook.work.reading.typed_colour import Light, asked_under, typed_colour
from stainbook.work.stains.learnt import learnt
from stainbook.work.stains.painted import liquids_of, painted_layers, soaks, told_layers
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files

SOURCE = say("the page of witness discs")
TOO_LATE = say("it was read after the piece: what was read of the piece itself holds")
BARE, COLOURED = "disc-bare", "disc-coloured"


@dataclass(frozen=True, slots=True)
class DiscRun:
    """A sintering with its discs: the liquid of the coloured one as it is written, and what the run is called."""

    mix: str
    run: str | None = None
    operator: str | None = None
    programme: str | None = None


@dataclass(frozen=True, slots=True)
class WitnessView:
    """The discs of a case: ``may`` where it can be sintered with some, ``discs`` with what was painted on each.

    ``unread`` are those without a reading; ``zones`` are the zones as they stand, expected by what was read.
    """

    blank: str | None
    may: bool
    discs: Mapping[str, str]
    unread: tuple[str, ...] = ()
    liquids: str = ""
    zones: tuple[AdvisedZone, ...] = ()
    ignored: Mapping[str, str] = field(default_factory=dict)  # discs that tell nothing of the piece, and why


def witness_view(book: Book, code: str) -> WitnessView:
    """Give the discs of a case; raises UnknownNameError for a case that is not there."""
    current = known_case(book, code)
    names = _discs(book, code)
    chips = {chip.chip: chip for chip in book.chips()}
    liquids = liquids_of(book.stains().values())
    discs = {name: told_layers(chips[name].layers, liquids) if name in chips else "" for name in names}
    unread = tuple(name for name in names if book.find_reading(name) is None)
    zones = tuple(gaps_of(book, current).shown.zones) if names and not unread else ()
    return WitnessView(
        current.case.blank.name if current.case.blank else None,
        current.case.stage == "green",
        discs,
        unread,
        _coloured(current, liquids),
        zones,
        _ignored(book, current, zones) if zones else {},
    )


def _ignored(book: Book, current: CurrentCase, zones: Sequence[AdvisedZone]) -> dict[str, str]:
    """The discs that tell nothing of the piece, each with the reason."""
    case, library = current.case, current.library(book)
    sintering = sintering_of(case, library)
    if sintering is None:
        return {}
    blank = case.blank.name if case.blank else ""
    found = {name: one for name, one in looked_at(sintering, blank, case, library).items() if isinstance(one, str)}
    read = [one.standing.read_at for one in zones if one.standing and one.standing.from_ == "read"]
    first = min((one for one in read if one), default=None)
    for name in sintering.discs:
        disc = book.find_reading(name)
        late = disc is not None and first is not None and disc.taken_at is not None and disc.taken_at > first
        if late and name not in found:
            found[name] = TOO_LATE
    return found


def sinter_with_discs(book: Book, code: str, told: DiscRun) -> None:
    """Record the sintering of a piece and the two discs beside it.

    Raises InputError for a piece that is not unsintered or names no blank, and for a mix that is no liquid.
    """
    current, liquids = known_case(book, code), liquids_of(book.stains().values())
    blank = current.case.blank
    if current.case.stage != "green" or blank is None:
        raise InputError(say("{code} is no unsintered piece of a blank, expected one", code=code))
    layers = painted_layers(told.mix)
    if not soaks(layers, liquids):
        used = {name for layer in layers for name in layer.pot.stains}
        raise UnknownNameError(say("liquid"), ", ".join(sorted(used)), liquids)
    chip = Chip(
        _name(code, COLOURED), blank.name, layers, operator=told.operator, programme=told.programme,
        material=current.case.material,
    )  # fmt: skip
    firing = Firing(
        code, now(), told.operator, told.programme, kind="sinter", run=told.run,
        witness=(_name(code, BARE), _name(code, COLOURED)),
    )  # fmt: skip
    record_reports(book, [Report(firing, (), source=SOURCE)], timed=True)
    book.add_chips([chip])


def read_discs(book: Book, code: str, typed: Mapping[str, str], light: Light) -> None:
    """Store what was read of the discs; a liquid that no disc showed before is learnt from them.

    Raises InputError for numbers that are no colour, and a disc of which nothing was typed.
    """
    asked, at = asked_under(book, light), now()
    readings = []
    for name in _discs(book, code):
        text = typed.get(name, "")
        if not text.strip():
            raise InputError(say("{disc} was not read, expected both discs", disc=name))
        found = typed_colour(text, asked, name)
        readings.append(_read(found, at))
    book.add_readings(readings)
    chips = [chip for chip in book.chips() if chip.chip in {one.sample for one in readings}]
    _learn(book, chips, readings)


def _learn(book: Book, chips: Sequence[Chip], readings: Sequence[Reading]) -> None:
    """Where nothing showed a liquid before, its disc stands for plates."""
    try:
        known = frozenset(learnt(book)[0].stains)
    except UncalibratedError:
        known = frozenset()
    new = [chip for chip in chips if any(name not in known for one in chip.layers for name in one.pot.stains)]
    blanks = [found for chip in new if (found := book.find_reading(chip.body)) is not None]
    if new and blanks:
        lists = format_chips(new), format_readings([*blanks, *readings])
        calibrate_files(book, ChipFiles(*(NamedFile(SOURCE, one.encode()) for one in lists)))


def _read(found: Reading, at: str) -> Reading:
    return replace(found, stage="sintered", surface="matt", taken_at=at, source="")


def _discs(book: Book, code: str) -> tuple[str, ...]:
    """The discs of the case's last sintering."""
    sintered = [one for one in book.firings_of(code) if one.kind == "sinter" and one.witness]
    return (sintered[-1].witness or ()) if sintered else ()


def _coloured(current: CurrentCase, liquids: frozenset[str]) -> str:
    """What lies in the piece, as the disc may be coloured too: the liquid of the most zones."""
    stacks: list[Layers] = [one.layers for one in current.state.unfired]
    common = max(stacks, key=stacks.count, default=())
    return told_layers(common, liquids) if common else ""


def _name(code: str, disc: str) -> str:
    return f"{code}-{disc}"
