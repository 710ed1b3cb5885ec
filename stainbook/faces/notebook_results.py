"""What a notebook gets: frozen results that read well and turn into data frames."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from stainbook.language import joined, say, say_n, shown
from stainbook.records import LabValues
from stainbook.words.figures import tenths
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
    """The colour of layers on a bare piece after the furnace.

    >>> found = lab.predict({"barley": 1 / 8}, coats=2, on="plate-pale")
    >>> found
    L* 86.5, a* -2.1, b* 6.0 (D65/10°), 9 in 10 within ΔE00 1.8
    """

    document: PredictedRecipe

    @property
    def lab(self) -> LabValues:
        """L*, a*, b*.

        >>> [round(one, 1) for one in found.lab]
        [86.5, -2.1, 6.0]
        """
        return self.document.L, self.document.a, self.document.b

    @property
    def doubt(self) -> float:
        """The radius in ΔE00 that holds the true colour in 9 of 10 cases.

        >>> round(found.doubt, 1)
        1.8
        """
        return self.document.dE00_p90

    @property
    def spectrum(self) -> tuple[float, ...]:
        """Reflectance factors by band of ``wavelengths``.

        >>> round(found.spectrum[0], 2)
        0.6
        """
        return tuple(self.document.reflectance)

    @property
    def wavelengths(self) -> tuple[float, ...]:
        """Bands of the spectrum, nm.

        >>> found.wavelengths[0], found.wavelengths[-1], len(found.wavelengths)
        (400.0, 700.0, 31)
        """
        return tuple(self.document.wavelengths)

    def to_frame(self) -> pd.DataFrame:
        """Give the spectrum as a data frame, a band a row.

        >>> found.to_frame().round(2).head(2)
           wavelength  reflectance
        0       400.0          0.6
        1       410.0          0.6
        """
        rows = zip(self.wavelengths, self.spectrum, strict=True)
        return _frame([{"wavelength": nm, "reflectance": value} for nm, value in rows])

    def __repr__(self) -> str:
        L, a, b = self.lab
        light = f"{self.document.illuminant}/{self.document.observer}°"
        told = say(
            "L* {lightness:.1f}, a* {a:.1f}, b* {b:.1f} ({light}), 9 in 10 within ΔE00 {doubt:.1f}",
            lightness=L,
            a=a,
            b=b,
            light=light,
            doubt=self.doubt,
        )
        return shown(told)


@dataclass(frozen=True, slots=True)
class LearntStains:
    """How well the stripes of each stain are described.

    >>> import pandas as pd
    >>> chips = pd.read_csv("recipes/chips.csv").query("stain == 'barley'")
    >>> with type(lab).open("new.db") as new:
    ...     learnt = new.calibrate(chips, "recipes/readings.csv")
    >>> learnt
    1 stain learnt from stripes, their stripes described to ΔE00 1.3
    """

    document: CalibrateResult

    def to_frame(self) -> pd.DataFrame:
        """Give a data frame, one stain a row.

        >>> learnt.to_frame()[["stain", "chips"]]
            stain  chips
        0  barley      7
        """
        return _frame([one.model_dump() for one in self.document.stains])

    @property
    def doubt(self) -> dict[str, float | None]:
        """Median ΔE00 of each stain's stripes, each predicted from the others; None where that cannot be said.

        >>> {name: round(one, 1) for name, one in learnt.doubt.items()}
        {'barley': 1.5}
        """
        return {one.stain: one.dE00_left_out for one in self.document.stains}

    def __repr__(self) -> str:
        chips = sum(one.chips > 0 for one in self.document.stains)
        met = sorted(one.dE00_median for one in self.document.stains if one.dE00_median is not None)
        if not met:
            return shown(say_n("{n} stain learnt from stripes", "{n} stains learnt from stripes", chips))
        return shown(
            say_n(
                "{n} stain learnt from stripes, their stripes described to ΔE00 {median:.1f}",
                "{n} stains learnt from stripes, their stripes described to ΔE00 {median:.1f}",
                chips,
                median=met[len(met) // 2],
            )
        )


@dataclass(frozen=True, slots=True)
class NextSteps:
    """The next steps of each zone of a case; by zone, of its first step.

    >>> steps = lab.case("W-1051").advise()
    >>> steps
    11 cervical: stain it: 1 coat of (1 part garnet + 4 parts pollen + 3 parts clear), then ΔE00 1.2 (0.4 to 2.4)
    11 middle: stain it: 1 coat of (4 parts barley + 1 part garnet + 3 parts clear), then ΔE00 0.9 (0.3 to 1.9)
    11 incisal: stain it: 1 coat of (1 part pollen + 2 parts saddle + 5 parts clear), then ΔE00 1.2 (0.5 to 2.2)
    """

    document: AdviseResult

    @property
    def zones(self) -> dict[Zone, AdvisedZone]:
        """Each zone with its gap and moves.

        >>> steps.zones[11, "middle"].verdict
        'stain'
        """
        return {(zone.tooth, zone.zone): zone for case in self.document.cases for zone in case.zones}

    @property
    def _first(self) -> dict[Zone, Move]:
        return {key: zone.moves[0] for key, zone in self.zones.items() if zone.moves}

    @property
    def lab(self) -> dict[Zone, LabValues | None]:
        """The colour expected after the first step.

        >>> [round(one, 1) for one in steps.lab[11, "middle"]]
        [74.8, 1.6, 18.1]
        """
        return {key: _lab(move.colour) for key, move in self._first.items()}

    @property
    def doubt(self) -> dict[Zone, tuple[float, float]]:
        """The range that holds the difference to the target after the first step in 9 of 10 cases, ΔE00.

        >>> [round(one, 1) for one in steps.doubt[11, "middle"]]
        [0.3, 1.9]
        """
        return {key: (move.dE00_p05, move.dE00_p95) for key, move in self._first.items()}

    def to_frame(self) -> pd.DataFrame:
        """Give a data frame, one step a row.

        >>> steps.to_frame()[["zone", "kind", "rank"]].head(1)
               zone kind  rank
        0  cervical  add     1
        """
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
            parts = [place(tooth, zone), VERDICTS[advised.verdict], *([_step(move)] if move else [])]
            lines.append(joined(parts, ": "))
        return shown(joined(lines, "\n"))


def _step(move: Move) -> str:
    painted = step(move.kind, move.layers, liquid=any(one.liquid for one in move.layers))
    return say(
        "{step}, then ΔE00 {middle:.1f} ({low:.1f} to {high:.1f})",
        step=painted,
        middle=move.dE00,
        low=move.dE00_p05,
        high=move.dE00_p95,
    )


@dataclass(frozen=True, slots=True)
class CasePlan:
    """Few mixes for a whole case.

    >>> plan = lab.case("W-1051").plan()
    >>> plan
    mix Y: 1 part kettle + 2 parts moss + 1 part clear
    mix J: 1 part garnet + 4 parts pollen + 3 parts clear
    """

    document: PlanResult

    @property
    def mixes(self) -> dict[str, dict[str, float]]:
        """Shares by the letter of each mix.

        >>> plan.mixes
        {'Y': {'kettle': 0.25, 'moss': 0.5}, 'J': {'garnet': 0.125, 'pollen': 0.5}}
        """
        return {one.id: dict(one.pot) for one in self.document.pots}

    def to_frame(self) -> pd.DataFrame:
        """Give a data frame, one zone a row.

        >>> plan.to_frame()[["zone", "verdict"]].head(2)
               zone verdict
        0  cervical   stain
        1    middle   stain
        """
        return _frame([zone.model_dump() for zone in self.document.zones])

    def __repr__(self) -> str:
        if not self.document.pots:
            return shown(say("no mix helps this case"))
        mixes = (
            say("mix {letter}: {mix}", letter=one.id, mix=mix(one.pot, liquid=one.liquid)) for one in self.document.pots
        )
        return shown(joined(mixes, "\n"))


@dataclass(frozen=True, slots=True)
class Recorded:
    """What was stored of a firing, and what was learnt from it."""

    document: RecordResult

    def to_frame(self) -> pd.DataFrame:
        """Give a data frame, one zone a row.

        >>> done = lab.record("recipes/finished/firings/W-0979-1.yaml")
        >>> done.to_frame()[["zone", "dE00"]].round(1).head(2)
              zone  dE00
        0   margin   0.2
        1  papilla   0.1
        """
        return _frame([one.model_dump() for one in self.document.outcomes])

    def __repr__(self) -> str:
        said = [one.sentence for one in self.document.learnt]
        return shown(joined([say_n("{n} outcome", "{n} outcomes", len(self.document.outcomes)), *said], "\n"))


@dataclass(frozen=True, slots=True)
class FoundBefore:
    """What was done before, nearest first where a colour was asked.

    >>> before = lab.search(near=(72, 2, 19), limit=2)
    >>> before
    recipe warm neck: ΔE00 0.6
    outcome W-1003 14 cervical 2026-05-12T11:15:00Z: ΔE00 0.6
    """

    document: SearchResult = field()

    @property
    def doubt(self) -> tuple[float | None, ...]:
        """How far each is from the colour that was looked for, ΔE00.

        >>> [round(one, 1) for one in before.doubt]
        [0.6, 0.6]
        """
        return tuple(one.dE00 for one in self.document.found)

    def to_frame(self) -> pd.DataFrame:
        """Give a data frame, one hit a row.

        >>> before.to_frame()[["kind", "name"]].head(1)
             kind       name
        0  recipe  warm neck
        """
        return _frame([one.model_dump(exclude={"record"}) for one in self.document.found])

    def __len__(self) -> int:
        return len(self.document.found)

    def __repr__(self) -> str:
        rows = [f"{one.kind} {one.name}{_apart(one.dE00)}" for one in self.document.found]
        return "\n".join(rows) or shown(say("nothing found"))


def _apart(value: float | None) -> str:
    return "" if value is None else f": ΔE00 {shown(tenths(value))}"
