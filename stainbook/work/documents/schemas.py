"""What each command prints as JSON, as pydantic models: ``stainbook schema COMMAND`` shows them.

Keys of the contract are required; what was added to it has a default, so that a document that
holds the contract's keys alone is valid too.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from stainbook.work.documents import account_schemas as account
from stainbook.work.documents import book_schemas as book
from stainbook.work.documents import check_schemas as checks
from stainbook.work.documents import day_schemas as day
from stainbook.work.documents import jar_schemas as jar
from stainbook.work.documents import label_schemas as label
from stainbook.work.documents import number_schemas as numbers
from stainbook.work.documents import photo_schemas as photo
from stainbook.work.documents import plan_schemas as plan
from stainbook.work.documents import trust_schemas as trust
from stainbook.work.documents.document_parts import (
    Chance,
    Difference,
    Grade,
    Observer,
    OneOf,
    Result,
    Sampled,
    Sentence,
    Tissue,
    Visibility,
)
from stainbook.work.documents.document_parts import ColourResult as ColourResult
from stainbook.work.documents.document_parts import Document as Document
from stainbook.work.documents.document_parts import Gap as Gap
from stainbook.work.documents.document_parts import StandingResult as StandingResult
from stainbook.work.documents.photo_schemas import PhotoResult as PhotoResult
from stainbook.work.documents.photo_schemas import PhotoZone as PhotoZone
from stainbook.work.documents.plan_schemas import PaintedLayer as PaintedLayer
from stainbook.work.documents.plan_schemas import Then as Then
from stainbook.work.documents.plan_schemas import UnderLight as UnderLight

# ---------------------------------------------------------------- convert


class ConvertedReading(ColourResult, Sampled):
    """One reading; ``u`` is the radius in ΔE00 that holds the true colour in 95 % of cases."""

    C: float
    h: float
    u: Difference
    stage: str | None = None
    taken_at: str | None = None
    surface: str | None = None
    tissue: Tissue | None = None
    instrument: str | None = None
    repeats: int = 1
    doubt_from: Annotated[str, OneOf("stated", "repeats", "usual repeatability")] | None = None
    scale: Sentence | None = None


class ConvertResult(Document):
    """``stainbook convert``."""

    readings: list[ConvertedReading]


# ---------------------------------------------------------------- compare


class ComparedPair(Sampled):
    """Sample minus target; ``u`` is the doubt of ``dE00`` in 95 % of cases."""

    target: str
    dE00: Difference
    dL: float
    dC: float
    dH: float
    grade: Grade
    u: Difference
    visibility: Visibility | None = None
    tissue: Tissue | None = None
    thresholds: str | None = None
    illuminant: str | None = None
    observer: Observer = None
    scale: Sentence | None = None


class CompareResult(Document):
    """``stainbook compare``."""

    pairs: list[ComparedPair]


# ---------------------------------------------------------------- calibrate


class StainFit(Result):
    """How well a stain is known: ``dE00_left_out`` predicts each chip without itself."""

    stain: str
    fit: int | str
    chips: int
    dE00_median: Difference | None
    dE00_left_out: Difference | None
    strength_exponent: float
    fade: float
    warnings: list[Sentence] = []


class CalibrateResult(Document):
    """``stainbook calibrate``."""

    stains: list[StainFit]


# ---------------------------------------------------------------- predict


class Assumes(Result):
    """Whose hand, which jars and which firing a prediction means; null is the chips' own."""

    operator: str | None
    lots: dict[str, str]
    programme: str | None
    finish: str | None


class Named(Result):
    """Something that a recipe is the name of."""

    recipe: str


class PredictedRecipe(ColourResult, Named):
    """The true colour lies within ``dE00_p90`` of this one in 90 % of cases."""

    dE00_p90: Difference
    wavelengths: list[float] = []
    reflectance: list[float] = []
    assumes: Assumes | None = None
    why: Sentence | None = None
    warnings: list[Sentence] = []


class PredictResult(Document):
    """``stainbook predict``."""

    recipes: list[PredictedRecipe]
    assumes: Assumes | None = None


# ---------------------------------------------------------------- advise


class Move(Result):
    """What could be done next to a zone, and what would come of it after the finish.

    ``radius`` about ``colour`` holds 9 in 10 of what comes out, in ΔE00. Chances are null while they are held back.
    """

    rank: Annotated[int, Field(ge=1)]
    kind: Annotated[str, OneOf("add", "leave", "strip and restain", "remake")]
    layers: list[PaintedLayer]
    colour: ColourResult
    dE00: Difference
    dE00_p05: Difference
    dE00_p95: Difference
    accept: Chance | None
    accept_within: Chance | None
    firings: Annotated[float, Field(ge=0.0)]
    why: Sentence
    body: str | None = None
    then: Then | None = None
    lights: list[UnderLight] = []
    radius: Difference | None = None


class TranslucencyResult(Result):
    """How much of what lies behind a zone shows, before and after its first next step: over black and over white."""

    tp00: Difference
    contrast_ratio: float
    tp00_stained: Difference | None
    contrast_ratio_stained: float | None


class AdvisedZone(Result):
    """One zone of a case."""

    tooth: int
    zone: str
    tissue: Tissue
    gap: Gap | None
    verdict: Annotated[str, OneOf("stain", "leave", "out of reach", "no firing")]
    moves: list[Move]
    why: Sentence | None = None
    now: ColourResult | None = None
    target: ColourResult | None = None
    thresholds: str | None = None
    standing: StandingResult | None = None
    translucency: TranslucencyResult | None = None
    counted: bool = True  # false: its number is a hint, the eye decides; it has no part in a chance of the case


class RankedBlank(Result):
    """A blank to start from: the case's chances on it, and the zones that no stain would bring there."""

    rank: Annotated[int, Field(ge=1)]
    body: str
    accept: Chance | None
    accept_within: Chance | None
    dE00: Difference | None
    out_of_reach: list[str] = []


class RemakeResult(Result):
    """The one other blank that serves a piece best, with the case's chances on it."""

    body: str
    accept: Chance | None
    accept_within: Chance | None


class AdvisedCase(Result):
    """All zones of a case; ``accept`` is the chance that every one is accepted.

    ``pots`` are the mixes that the first moves use, ``blanks`` the bodies ranked when asked for.
    """

    case: str
    accept: Chance | None
    zones: list[AdvisedZone]
    accept_within: Chance | None = None
    pots: list[dict[str, float]] = []
    blanks: list[RankedBlank] = []
    remake: RemakeResult | None = None


class AdviseResult(Document):
    """``stainbook advise``."""

    cases: list[AdvisedCase]


# ---------------------------------------------------------------- the app


class AppResult(Document):
    """``stainbook app`` and ``stainbook demo``: where the app listens."""

    url: str
    book: str | None = None
    folder: str | None = None


COMMANDS: dict[str, type[Document]] = {
    "convert": ConvertResult,
    "compare": CompareResult,
    "calibrate": CalibrateResult,
    "predict": PredictResult,
    "advise": AdviseResult,
    "app": AppResult,
    "demo": AppResult,
    **account.COMMANDS,
    **checks.COMMANDS,
    **day.COMMANDS,
    **jar.COMMANDS,
    **label.COMMANDS,
    **book.COMMANDS,
    **numbers.COMMANDS,
    **photo.COMMANDS,
    **plan.COMMANDS,
    **trust.COMMANDS,
}
