"""What the commands of the first day print as JSON: sheets, readings taken in, instruments, guides, plates."""

from __future__ import annotations

from stainbook.work.documents import Chance, Difference, Document, Observer, Result, Sampled, Tissue


class LabShift(Result):
    """A difference in L*, a*, b*."""

    L: float
    a: float
    b: float


# ---------------------------------------------------------------- sheet, read


class SheetRow(Sampled):
    """One reading to take: its place in the order, its name, and where to put the instrument."""

    row: int
    tooth: int | None = None
    zone: str | None = None
    tissue: Tissue | None = None
    note: str | None = None


class SheetResult(Document):
    """``stainbook sheet``: the readings to take, in order; ``like`` are the zones that follow another's reading."""

    case: str
    rows: list[SheetRow]
    like: list[str] = []


class ReadResult(Document):
    """``stainbook read``: what was taken into the book; what it held already is not counted."""

    stored: int
    samples: list[str]


# ---------------------------------------------------------------- instrument


class InstrumentShown(Result):
    """An instrument as the lab set it up; null is not known."""

    instrument: str
    illuminant: str
    observer: Observer
    geometry: str | None = None
    specular: str | None = None
    aperture_mm: float | None = None
    backing: str | None = None
    piece_offset: LabShift | None = None
    piece_doubt: LabShift | None = None
    notes: str | None = None


class InstrumentResult(Document):
    """``stainbook instrument``."""

    instruments: list[InstrumentShown]


# ---------------------------------------------------------------- agree


class AgreeingPair(Sampled):
    """One shared sample and how far apart the two readings of it are."""

    dE00: Difference


class ConvertedScale(Result):
    """The way to the second's scale: centre + offset + slope (first - centre), by axis.

    ``u`` holds 95 % of samples at the centre; ``dE00_left_out`` is the median of samples converted without themselves.
    """

    centre: LabShift
    offset: LabShift
    slope: LabShift
    u: Difference
    dE00_left_out: Difference


class AgreeResult(Document):
    """``stainbook agree``: second minus first; offset with its 95 % interval, scatter of one sample.

    ``imperceptible`` and ``acceptable`` are the shares of samples within the thresholds of teeth.
    """

    first: str
    second: str
    pairs: list[AgreeingPair]
    dE00_median: Difference
    imperceptible: Chance
    acceptable: Chance
    offset: LabShift
    offset_low: LabShift
    offset_high: LabShift
    scatter: LabShift
    conversion: ConvertedScale


COMMANDS: dict[str, type[Document]] = {
    "sheet": SheetResult,
    "read": ReadResult,
    "instrument": InstrumentResult,
    "agree": AgreeResult,
}
