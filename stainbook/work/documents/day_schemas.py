"""What the commands of the first day print as JSON: sheets, readings taken in, instruments, guides, plates."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from stainbook.work.documents.document_parts import (
    Chance,
    ColourResult,
    Difference,
    Document,
    Gap,
    Grade,
    Observer,
    Result,
    Sampled,
    Sentence,
    StandingResult,
    Tissue,
)


class LabShift(Result):
    """A difference in L*, a*, b*."""

    L: float
    a: float
    b: float


class Mottle(LabShift):
    """Scatter of L*, a*, b* over the places that were read, one standard deviation, and what it comes to in ΔE00."""

    dE00: float


# ---------------------------------------------------------------- sheet, read


class SheetRow(Sampled):
    """One reading to take: its place in the order, its name, and where to put the instrument."""

    row: int
    tooth: int | None = None
    zone: str | None = None
    tissue: Tissue | None = None
    note: Sentence | None = None


class SheetResult(Document):
    """``stainbook sheet``: the readings to take, in order; ``like`` are the zones that follow another's reading."""

    case: str
    rows: list[SheetRow]
    like: list[Sentence] = []


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


# ---------------------------------------------------------------- guide, trial, programme


class GuideZone(Result):
    """One zone of one tab; L, a, b are null where it was not read."""

    guide: str
    tab: str
    zone: str
    tissue: Tissue
    L: float | None = None
    a: float | None = None
    b: float | None = None
    illuminant: str | None = None
    observer: Observer = None
    u: Difference | None = None


class GuideResult(Document):
    """``stainbook guide``."""

    zones: list[GuideZone]


class TrialZone(Result):
    """One zone of a trial piece: worn minus as it left the lab; null where it was read once only."""

    tooth: int
    zone: str
    readings: int
    left: str | None = None
    worn: str | None = None
    dE00: Difference | None = None
    dL: float | None = None
    dC: float | None = None
    dH: float | None = None
    u: Difference | None = None
    grade: Grade | None = None


class TrialResult(Document):
    """``stainbook trial``; ``targets`` are the tabs that an approval made."""

    case: str
    zones: list[TrialZone]
    approved: str | None = None
    targets: list[str] = []


class ProgrammeShown(Result):
    """A firing programme as it was entered; °C and minutes."""

    programme: str
    furnace: str | None = None
    drying_min: float | None = None
    start_c: float | None = None
    rate_c_per_min: float | None = None
    vacuum: str | None = None
    final_c: float | None = None
    hold_min: float | None = None
    cooling: str | None = None
    minutes: float | None = None
    source_sheet: str | None = None
    notes: str | None = None


class MixShown(Result):
    """A mix that stands ready: each stain's share of it, the rest is clear glaze."""

    mix: str
    pot: dict[str, Annotated[float, Field(gt=0.0, le=1.0)]]
    made_on: str | None = None
    by: str | None = None
    lots: dict[str, str] = {}
    reading: str | None = None
    left: str | None = None


class MixesResult(Document):
    """``stainbook mixes``."""

    mixes: list[MixShown]


class ProgrammeResult(Document):
    """``stainbook programme``."""

    programmes: list[ProgrammeShown]


# ---------------------------------------------------------------- bench


class BenchZone(Result):
    """One zone of a bench sheet; value, chroma and hue in words, ``mottle`` the scatter of gum read in places.

    ``minutes`` in the furnace that the next step is expected to take, by the case's programme.
    """

    tooth: int
    zone: str
    tissue: Tissue
    now: ColourResult | None = None
    target: ColourResult | None = None
    gap: Gap | None = None
    value: Sentence | None = None
    chroma: Sentence | None = None
    hue: Sentence | None = None
    mottle: Mottle | None = None
    like: str | None = None
    step: Sentence | None = None
    minutes: float | None = None
    scale: Sentence | None = None
    standing: StandingResult | None = None


class BenchResult(Document):
    """``stainbook bench``."""

    case: str
    material: str | None
    stage: str | None
    finish: str
    zones: list[BenchZone]
    effects: list[Sentence] = []
    resin_stains: list[str] = []
    minutes: float | None = None
    cautions: list[Sentence] = []
    apprentice: str | None = None


# ---------------------------------------------------------------- plate, control


class Stripe(Result):
    """One stripe of a plate: its place in the reading order, and what is painted there."""

    row: int
    plate: str
    chip: str
    paint: Sentence


class HandResult(Result):
    """A hand's scatter, as a share of what one coat lays on, with the interval of 90 in 100."""

    operator: str | None
    stripes: int
    scatter: float
    low: float
    high: float


class NextStripe(Result):
    """A stripe that could be fired next: ``gain`` in the mean chance of the open zones, and by case."""

    rank: int
    stain: str
    share: float
    coats: int
    plate: str
    gain: float = 0.0
    cases: dict[str, float] = {}


class PlateResult(Document):
    """``stainbook plate``: stripes in reading order, hands measured, and what the next stripe would gain."""

    plates: list[str] = []
    stripes: list[Stripe] = []
    hands: list[HandResult] = []
    next: list[NextStripe] = []


class ControlPoint(Result):
    """One reading of the control chip; ``signals`` are empty while the instrument is in control."""

    taken_at: str | None
    L: float
    a: float
    b: float
    dE00: Difference
    signals: list[Sentence] = []


class ControlResult(Document):
    """``stainbook control``: individuals chart and moving mean of each axis; centre and sigma of the first readings."""

    chip: str
    centre: LabShift
    sigma: LabShift
    illuminant: str
    observer: Observer
    points: list[ControlPoint]
    in_control: bool


COMMANDS: dict[str, type[Document]] = {
    "sheet": SheetResult,
    "read": ReadResult,
    "instrument": InstrumentResult,
    "agree": AgreeResult,
    "plate": PlateResult,
    "control": ControlResult,
    "bench": BenchResult,
    "guide": GuideResult,
    "trial": TrialResult,
    "programme": ProgrammeResult,
    "mixes": MixesResult,
}
