"""What `stainbook plan` and `stainbook report` print as JSON, as pydantic models."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from stainbook.work.documents.document_parts import (
    Chance,
    ColourResult,
    Difference,
    Document,
    Grade,
    OneOf,
    Result,
    Sentence,
    Tissue,
    Visibility,
)

Id = Annotated[str, Field(min_length=1, max_length=200)]  # letters; of a mix that stands ready its own name


class Weighed(Result):
    """What goes into a mix on the scale, clear glaze last; ``off`` is the largest relative error of a share."""

    grams: dict[str, float]
    off: Annotated[float, Field(ge=0.0)]


class PlannedPot(Result):
    """A mix of the palette: each stain's share of it, the rest is clear glaze, of ``liquid`` stains their thinner.

    ``stock``: it stands ready; ``dilution``: how a fresh one is made without weighing little.
    """

    id: Id
    pot: dict[str, Annotated[float, Field(gt=0.0, le=1.0)]]
    zones: int = 0
    weighed: Weighed | None = None
    liquid: bool = False
    stock: bool = False
    dilution: Sentence | None = None


class PlannedLayer(Result):
    """One mix by its id, and its number of coats; bottom layer first."""

    pot: Id
    coats: Annotated[int, Field(ge=1)]


class PaintedLayer(Result):
    """One pot, each stain's share of it, and its number of coats, bottom layer first; ``liquid`` soaks in."""

    pot: dict[str, Annotated[float, Field(gt=0.0, le=1.0)]]
    coats: Annotated[int, Field(ge=1)]
    liquid: bool = False


class Then(Result):
    """The surface stain that is expected to follow on liquids."""

    layers: list[PaintedLayer]
    dE00: Difference
    accept: Chance | None


class UnderLight(Result):
    """A step under one light; all but its name is null where reading or target is L*a*b* alone.

    ``metamerism`` is the special metamerism index against the target's light, in ΔE00; ``now``, ``expected`` and
    ``target`` are the strip that is seen in it: the piece as it was read, what the step makes of it, the target.
    """

    illuminant: str
    observer: int | None
    dE00: Difference | None = None
    accept: Chance | None = None
    metamerism: Difference | None = None
    now: ColourResult | None = None
    expected: ColourResult | None = None
    target: ColourResult | None = None


class PlannedZone(Result):
    """What goes on one zone, and what would come of it after the finish.

    ``painted`` are the same layers with their mixes written out, as ``record`` takes them; ``accept_unlimited`` is
    the zone's chance with as many mixes as it could wish for. ``radius`` about ``colour`` holds 9 in 10 of what
    comes out.
    """

    tooth: int
    zone: str
    tissue: Tissue
    layers: list[PlannedLayer]
    verdict: Annotated[str, OneOf("stain", "leave", "out of reach", "no firing")]
    colour: ColourResult
    dE00: Difference
    dE00_p05: Difference
    dE00_p95: Difference
    accept: Chance | None
    accept_within: Chance | None
    why: Sentence
    painted: list[PaintedLayer] = []
    accept_unlimited: Chance | None = None
    then: Then | None = None
    lights: list[UnderLight] = []
    radius: Difference | None = None
    counted: bool = True  # false: its number is a hint, the eye decides; it has no part in a chance, nor in the mixes


class Palette(Result):
    """So many mixes, and the chance that they bring all zones there that stain can bring there.

    ``expected`` is how many zones of all are expected in tolerance after this firing; ``minutes`` what weighing its
    ``fresh`` mixes and ``dryings`` between passes take at the bench.
    """

    mixes: int
    accept: Chance
    accept_within: Chance
    expected: Annotated[float, Field(ge=0.0)] | None = None
    fresh: int | None = None
    dryings: int | None = None
    minutes: Annotated[float, Field(ge=0.0)] | None = None


class HoldingBack(Result):
    """A zone that holds the case back, and what would help it."""

    tooth: int
    zone: str
    accept: Chance
    helps: Sentence


class PlanResult(Document):
    """``stainbook plan``: ``accept`` is the chance of all zones, ``within_reach`` of those that stain can bring there.

    ``unlimited`` is that of as many mixes as the zones could wish for, ``trade_off`` of few, where asked for.
    """

    case: str
    pots: list[PlannedPot]
    accept: Chance | None
    zones: list[PlannedZone]
    accept_within: Chance | None = None
    within_reach: Palette | None = None
    unlimited: Palette | None = None
    trade_off: list[Palette] = []
    effects: list[Sentence] = []
    programme: str | None = None
    stage: str | None = None  # of the piece
    expected_in_tolerance: Annotated[float, Field(ge=0.0)] | None = None  # the sum of the zones' chances
    zones_counted: int = 0
    one_more: Palette | None = None  # with one mix more, where it brings something
    at_hand: Palette | None = None  # with mixes that stand ready alone, in one pass, where any stand ready
    holding_back: list[HoldingBack] = []
    mark: str | None = None  # of the case's own facts and wishes, as the sheet carries it
    forms: list[str] = []  # paste, powder or liquid: of the jars in the mixes, where they are known
    apprentice: str | None = None  # who paints it as one: the sheet is signed before the furnace


class TrayResult(Document):
    """``stainbook plan`` of several cases: the mixes that they share, and what goes on each."""

    pots: list[PlannedPot]
    cases: list[PlanResult]


# ---------------------------------------------------------------- report


class ReportedColour(Result):
    """L*, a*, b* under the zone's light."""

    L: float
    a: float
    b: float


class ReportedZone(Result):
    """A zone's newest reading against its target; a grade never stands without its doubt ``u``."""

    tooth: int
    zone: str
    tissue: Tissue
    target: ReportedColour | None
    result: ReportedColour | None
    light: Sentence | None
    dE00: Difference | None
    u: Difference | None
    grade: Grade | None
    visibility: Visibility | None = None
    lights: dict[str, Difference | None] = {}
    note: Sentence | None = None
    counted: bool = True  # false: its number is a hint, the eye decides


class ReportedMaterial(Result):
    """A blank, liquid, stain or glaze of the piece; ``lot`` null where none was noted."""

    kind: Annotated[str, OneOf("blank", "liquid", "stain", "glaze")]
    name: str
    lot: str | None


class ReportResult(Document):
    """``stainbook report``: the files written, by kind, and what they say of the piece and of each zone."""

    case: str
    lab: str | None
    files: dict[str, str]
    counts: dict[str, int]
    reached: Sentence = ""
    check: list[Sentence] = []
    materials: list[ReportedMaterial] = []
    notes: list[Sentence] = []
    zones: list[ReportedZone]


COMMANDS: dict[str, type[Document]] = {"plan": PlanResult, "report": ReportResult}
