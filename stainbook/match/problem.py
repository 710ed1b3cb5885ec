"""What is asked of one zone and what the bench can put on it, as arrays and plain records."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from stainbook.colour import ThresholdSet
from stainbook.match.layer_options import Options, options_of, pots_of
from stainbook.optics.causes import Hands
from stainbook.optics.curves import Optics
from stainbook.optics.forecast import ForecastRequest, Forecasts, forecasts
from stainbook.optics.forecast import Start as Start
from stainbook.optics.two_by_two import Array
from stainbook.records import LabValues, Limits, Pot, Viewing

Key = tuple[int, str]


@dataclass(frozen=True, slots=True)
class WishedLight:
    """A light in which a zone must be in tolerance, and its target there; None where only a spectrum would tell."""

    viewing: Viewing
    target: LabValues | None = None


@dataclass(frozen=True, slots=True, eq=False)
class ZoneProblem:
    """One zone: where it is, where it must go, and how it will leave.

    Parameters
    ----------
    now : the piece as it is
    target, viewing : L*, a*, b* to reach, and their light and observer
    glazed : the finish puts the piece under glass
    lab_offset : added to every predicted L*, a*, b*: what bands beyond 400-700 nm do to the colour
    target_covariance : (3, 3) of the target's L*, a*, b*
    firings_of : firings that a stain may still go through, by its maker; a stain not named has no limit
    bare : the piece without stain, where it was read: what stripping leads back to
    lights : further ones in which it must be in tolerance
    counts : False where its number is a hint and the eye decides: it has no part in any chance, nor in what is mixed
    piece : where zones of several pieces are planned together, whose it is
    """

    key: Key
    tissue: str
    now: Start
    target: LabValues
    viewing: Viewing
    thresholds: ThresholdSet
    glazed: bool = True
    lab_offset: LabValues = (0.0, 0.0, 0.0)
    target_covariance: Array | None = None
    firings_of: Mapping[str, int] = field(default_factory=dict)
    bare: Start | None = None
    piece: str = ""
    lights: tuple[WishedLight, ...] = ()
    counts: bool = True

    @property
    def name(self) -> str:
        """Piece, tooth and zone, as sources of doubt that belong to this zone alone are called."""
        return f"{self.piece} {self.key[0]} {self.key[1]}".strip()

    @property
    def finish_fires(self) -> bool:
        """True when leaving the zone as it is still means a firing: bare ceramic that must be glazed."""
        return self.glazed and self.now.is_bare


def equal_zones(problems: Sequence[ZoneProblem]) -> list[list[int]]:
    """The places of zones that are one question: the same reading, target, finish and thresholds; two or more each."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for place, one in enumerate(problems):
        reading = one.now.piece.reading.tobytes()
        key = (reading, one.now.piece.surface, one.target, one.viewing, one.tissue, one.glazed, one.thresholds.name)
        groups.setdefault((*key, tuple(sorted(one.firings_of.items()))), []).append(place)
    return [places for places in groups.values() if len(places) > 1]


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """What the lab can lay on: learnt optics, whose hand, the stains on offer, and the limits of the case.

    ``families`` gives (kind, family) of every stain on offer, for those without a chip; ``apart`` pairs that no pot
    may hold; ``stock`` the mixes that stand ready, by their names; ``later`` is the surface stain that may follow
    on an unsintered piece; ``ready_alone`` are stains without a jar, which nothing is mixed of anew.
    """

    optics: Optics
    stains: tuple[str, ...]
    families: Mapping[str, tuple[str, str | None]] = field(default_factory=dict)
    hands: Hands = field(default_factory=Hands)
    limits: Limits = field(default_factory=Limits)
    apart: frozenset[frozenset[str]] = frozenset()
    stock: Mapping[str, Pot] = field(default_factory=dict)
    later: Bench | None = None
    ready_alone: frozenset[str] = frozenset()

    @property
    def pots(self) -> list[Pot]:
        """Every mix that may be made or stands ready."""
        ready = [pot for pot in self.stock.values() if self._bears(pot)]
        fresh = [one for one in self.stains if one not in self.ready_alone]
        return list(dict.fromkeys([*ready, *pots_of(fresh, self.limits.strengths, self.apart)]))

    @property
    def options(self) -> Options | None:
        """Every layer that one mix may be, within the coats of the case; None where there is nothing to put on."""
        pots = self.pots
        return options_of(pots, self.limits.coats, in_all=self.limits.most_coats) if pots else None

    def _bears(self, pot: Pot) -> bool:
        pairs = combinations(pot.stains, 2)
        return set(pot.stains) <= set(self.stains) and not any(frozenset(pair) in self.apart for pair in pairs)

    @property
    def hand_scatter(self) -> float:
        """Standard deviation of ln amount of one coat."""
        return self.hands.scatter if self.hands.scatter is not None else self.optics.pooled.hand

    def forecasts(self, wanted: Sequence[ForecastRequest]) -> Forecasts:
        """What this hand would get with these jars."""
        return forecasts(self.optics, wanted, hands=self.hands, families=self.families)

    @property
    def soaks(self) -> bool:
        """True for a green piece: the stains on offer go into it."""
        return any(self.kind(name) == "infiltrating" for name in self.stains)

    def kind(self, name: str) -> str:
        """Kind of a stain on offer."""
        if name in self.families:
            return self.families[name][0]
        return self.optics.stains[name].kind if name in self.optics.stains else "surface"
