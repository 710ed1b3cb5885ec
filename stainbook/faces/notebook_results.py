"""What a notebook gets: frozen results that read well and turn into data frames."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from stainbook.records import LabValues
from stainbook.words.mixes import layers, mix
from stainbook.words.places import place
from stainbook.words.sentences import step
from stainbook.words.states import VERDICTS

if TYPE_CHECKING:
    import pandas as pd

    from stainbook.work.documents.book_schemas import RecordResult, SearchResult
    from stainbook.work.documents.plan_schemas import PlanResult
    from stainbook.work.documents.schemas import (
        AdvisedZone,
        AdviseResult,
        CalibrateResult,
        ColourResult,
        Move,
        PredictedRecipe,
    )

Zone = tuple[int, str]


def _frame(rows: list[dict[str, Any]]) -> pd.DataFrame:
    import pandas as pd

    return pd.DataFrame(rows)


def _lab(colour: ColourResult | None) -> LabValues | None:
    return None if colour is None else (colour.L, colour.a, colour.b)


@dataclass(frozen=True, slots=True)
class Prediction:
    """The colour of layers on a body after the furnace; ``doubt`` is the radius in ΔE00 that holds 9 in 10."""

    document: PredictedRecipe

    @property
    def lab(self) -> LabValues:
        """L*, a*, b*."""
        return self.document.L, self.document.a, self.document.b

    @property
    def doubt(self) -> float:
        """The true colour lies within this many ΔE00 in 90 % of cases."""
        return self.document.dE00_p90

    @property
    def spectrum(self) -> tuple[float, ...]:
        """Reflectance by band of ``wavelengths``."""
        return tuple(self.document.reflectance)

    @property
    def wavelengths(self) -> tuple[float, ...]:
        """Bands of the spectrum, nm."""
        return tuple(self.document.wavelengths)

    def to_frame(self) -> pd.DataFrame:
        """The spectrum, a band a row."""
        rows = zip(self.wavelengths, self.spectrum, strict=True)
        return _frame([{"wavelength": nm, "reflectance": value} for nm, value in rows])

    def __repr__(self) -> str:
        L, a, b = self.lab
        light = f"{self.document.illuminant}/{self.document.observer}°"
        return f"L* {L:.1f}, a* {a:.1f}, b* {b:.1f} ({light}), 9 in 10 within ΔE00 {self.doubt:.1f}"


@dataclass(frozen=True, slots=True)
class LearntStains:
    """How well the chips of each stain are met."""

    document: CalibrateResult

    def to_frame(self) -> pd.DataFrame:
        """One stain a row."""
        return _frame([one.model_dump() for one in self.document.stains])

    @property
    def doubt(self) -> dict[str, float | None]:
        """Median ΔE00 of each stain's chips, each predicted from the others; None where that cannot be said."""
        return {one.stain: one.dE00_left_out for one in self.document.stains}

    def __repr__(self) -> str:
        chips = sum(one.chips > 0 for one in self.document.stains)
        met = sorted(one.dE00_median for one in self.document.stains if one.dE00_median is not None)
        middle = f", their stripes described to ΔE00 {met[len(met) // 2]:.1f}" if met else ""
        return f"{chips} stains learnt from stripes{middle}"


@dataclass(frozen=True, slots=True)
class NextSteps:
    """The next steps of each zone of a case; by zone, of its first step."""

    document: AdviseResult

    @property
    def zones(self) -> dict[Zone, AdvisedZone]:
        """Each zone with its gap and moves."""
        return {(zone.tooth, zone.zone): zone for case in self.document.cases for zone in case.zones}

    @property
    def _first(self) -> dict[Zone, Move]:
        return {key: zone.moves[0] for key, zone in self.zones.items() if zone.moves}

    @property
    def lab(self) -> dict[Zone, LabValues | None]:
        """The colour expected after the first step."""
        return {key: _lab(move.colour) for key, move in self._first.items()}

    @property
    def doubt(self) -> dict[Zone, tuple[float, float]]:
        """From where to where the difference to the target may end, ΔE00, in 9 of 10 cases."""
        return {key: (move.dE00_p05, move.dE00_p95) for key, move in self._first.items()}

    def to_frame(self) -> pd.DataFrame:
        """One move a row."""
        rows = []
        for (tooth, zone), advised in self.zones.items():
            for move in advised.moves:
                told = move.model_dump(include={"rank", "kind", "dE00", "dE00_p05", "dE00_p95", "accept", "why"})
                painted = layers(move.layers, liquid=any(one.liquid for one in move.layers))
                rows.append({"tooth": tooth, "zone": zone, "verdict": advised.verdict, "layers": painted, **told})
        return _frame(rows)

    def __repr__(self) -> str:
        lines = []
        for (tooth, zone), advised in self.zones.items():
            move = advised.moves[0] if advised.moves else None
            said = f": {_step(move)}" if move else ""
            lines.append(f"{place(tooth, zone)}: {VERDICTS[advised.verdict]}{said}")
        return "\n".join(lines)


def _step(move: Move) -> str:
    painted = step(move.kind, move.layers, liquid=any(one.liquid for one in move.layers))
    return f"{painted}, then ΔE00 {move.dE00:.1f} ({move.dE00_p05:.1f} to {move.dE00_p95:.1f})"


@dataclass(frozen=True, slots=True)
class CasePlan:
    """Few mixes for a whole case."""

    document: PlanResult

    @property
    def mixes(self) -> dict[str, dict[str, float]]:
        """Shares by the letter of each mix."""
        return {one.id: dict(one.pot) for one in self.document.pots}

    def to_frame(self) -> pd.DataFrame:
        """One zone a row."""
        return _frame([zone.model_dump() for zone in self.document.zones])

    def __repr__(self) -> str:
        return (
            "\n".join(f"mix {one.id}: {mix(one.pot, liquid=one.liquid)}" for one in self.document.pots)
            or "no mix helps this case"
        )


@dataclass(frozen=True, slots=True)
class Recorded:
    """What was stored of a firing, and what was learnt from it."""

    document: RecordResult

    def to_frame(self) -> pd.DataFrame:
        """One zone a row."""
        return _frame([one.model_dump() for one in self.document.outcomes])

    def __repr__(self) -> str:
        said = [one.sentence for one in self.document.learnt]
        return "\n".join([f"{len(self.document.outcomes)} outcomes", *said])


@dataclass(frozen=True, slots=True)
class FoundBefore:
    """What was done before, nearest first where a colour was asked."""

    document: SearchResult = field()

    @property
    def doubt(self) -> tuple[float | None, ...]:
        """How far each is from the colour that was looked for, ΔE00."""
        return tuple(one.dE00 for one in self.document.found)

    def to_frame(self) -> pd.DataFrame:
        """One hit a row."""
        return _frame([one.model_dump(exclude={"record"}) for one in self.document.found])

    def __len__(self) -> int:
        return len(self.document.found)

    def __repr__(self) -> str:
        rows = [f"{one.kind} {one.name}{_apart(one.dE00)}" for one in self.document.found]
        return "\n".join(rows) or "nothing found"


def _apart(value: float | None) -> str:
    return "" if value is None else f": ΔE00 {value:.1f}"
