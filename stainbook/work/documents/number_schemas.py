"""Documents of the lab's numbers, and of what cases took."""

from __future__ import annotations

from typing import Annotated

from stainbook.work.documents.document_parts import Chance, Difference, Document, OneOf, Result, Sentence


class NumbersRow(Result):
    """Zones, firings and returns of one clinic, stain, technician or month, or of all.

    Of fewer than 20 units no figure is told: ``few`` is true, and they are null. ``first_firing`` is the share of the
    ``judged`` units whose zones were all accepted after their first firing, ``first_firing_low`` to
    ``first_firing_high`` its 95 % interval.
    """

    by: str
    name: Sentence
    cases: int
    units: int
    zones: int
    judged: int = 0
    first_firing: Chance | None
    first_firing_low: Chance | None = None
    first_firing_high: Chance | None = None
    firings_a_unit: float | None
    returned: dict[str, int] = {}
    minutes: float | None = None
    dE00_median: Difference | None = None
    few: bool = False


class NumbersResult(Document):
    """``stainbook book numbers``; ``notes`` say what is not told, and why."""

    rows: list[NumbersRow]
    notes: list[Sentence] = []


class CostsRow(Result):
    """What cases took whose first firing was in a period: means a case, and what that costs where prices are set.

    Of fewer than 20 cases no figure is told: ``few`` is true, and they are null.
    """

    period: Annotated[str, OneOf("before", "since", "all")]
    cases: int
    few: bool
    firings: float | None = None
    strips: float | None = None
    try_ins: float | None = None
    remakes: float | None = None
    minutes: float | None = None  # of firings, where they were noted
    cost: float | None = None


class CostsResult(Document):
    """``stainbook book costs``: ``currency`` is the lab's own text."""

    since: str | None
    currency: str | None
    rows: list[CostsRow]
    notes: list[Sentence] = []


COMMANDS: dict[str, type[Document]] = {"book numbers": NumbersResult, "book costs": CostsResult}
