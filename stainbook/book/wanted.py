"""What can be looked for in the book."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from stainbook.errors import InputError
from stainbook.language import say
from stainbook.records import LabValues, Viewing

MOST_ASKED = 100_000


@dataclass(frozen=True, slots=True)
class BookQuery:
    """What is looked for; ``conditions`` are pairs such as (stain, husk), (lot, 24-117), (word, thin): all must hold.

    colour : L*, a*, b* under ``viewing``; ``radius`` in ΔE00 about it.
    """

    colour: LabValues | None = None
    radius: float = 2.0
    viewing: Viewing = field(default_factory=Viewing)
    conditions: tuple[tuple[str, str], ...] = ()
    limit: int = 20

    def __post_init__(self) -> None:
        if not (math.isfinite(self.radius) and self.radius > 0.0):
            raise InputError(say("radius {radius:g}: expected a ΔE00 above 0", radius=self.radius))
        if self.colour is None and not self.conditions:
            raise InputError(say("nothing to look for: expected a colour, words or conditions"))
        if not 1 <= self.limit <= MOST_ASKED:
            raise InputError(say("limit {limit}: expected 1 to {most}", limit=self.limit, most=MOST_ASKED))
