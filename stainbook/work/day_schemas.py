"""What the commands of the first day print as JSON: sheets, readings taken in, instruments, guides, plates."""

from __future__ import annotations

from stainbook.work.documents import Document, Observer, Result, Sampled, Tissue


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


COMMANDS: dict[str, type[Document]] = {
    "sheet": SheetResult,
    "read": ReadResult,
    "instrument": InstrumentResult,
}
