"""What a report says, as plain frozen data: where each zone of a case came to, and what was done to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from stainbook.records import LabValues
from stainbook.words.states import State, state

Key = tuple[int, str]


@dataclass(frozen=True, slots=True)
class ZoneReport:
    """One zone: its target and its newest reading under one light, and how far they are apart.

    ``u`` is the doubt of ``dE00`` in 95 % of cases; a grade never stands without it. ``lights`` holds ΔE00 under
    further lights, None where only a spectrum would tell. ``note`` says what is special about the reading,
    ``standing`` what the colour rests on.
    """

    tooth: int
    zone: str
    tissue: str
    target: LabValues | None = None
    result: LabValues | None = None
    light: str = ""
    dE00: float | None = None
    u: float | None = None
    grade: str = ""
    by_hand: bool = False  # layered by hand: listed, not counted
    by_eye: bool = False  # its number is a hint, the eye decides
    visibility: str = ""
    perceptible: float = 0.0
    acceptable: float = 0.0
    lights: Mapping[str, float | None] = field(default_factory=dict)
    put_on: tuple[str, ...] = ()
    read: str = ""
    note: str = ""
    standing: str = "read"
    like: str = ""  # the zone that was read in its place, in words

    @property
    def counted(self) -> bool:
        """Whether its grade counts."""
        return not (self.by_hand or self.by_eye)

    @property
    def state(self) -> State:
        """How the zone stands, in the words and shapes of all pages."""
        return state(self.grade or None, self.visibility or None, standing=self.standing, by_eye=self.by_eye)

    @property
    def key(self) -> Key:
        """Tooth and zone."""
        return self.tooth, self.zone


@dataclass(frozen=True, slots=True)
class FiringReport:
    """One firing of the case."""

    fired_at: str
    programme: str = ""
    operator: str = ""
    furnace: str = ""
    lots: str = ""
    accepted_by: str = ""
    returned: str = ""
    checked_by: str = ""
    kind: str = ""
    minutes: float | None = None


@dataclass(frozen=True, slots=True)
class AimReport:
    """What was prescribed for some zones in words, and the middle of their targets and of their readings."""

    said: str
    zones: tuple[Key, ...]
    target: LabValues | None = None
    reached: LabValues | None = None


@dataclass(frozen=True, slots=True)
class MaterialReport:
    """What the piece is made of or was painted with; ``kind`` is blank, liquid, stain or glaze, ``lot`` as noted."""

    kind: str
    name: str
    lot: str = ""


@dataclass(frozen=True, slots=True)
class PhotoReport:
    """A photo for the eye: a JPEG, its size in pixels, and what is said under it."""

    jpeg: bytes
    width: int
    height: int
    said: str


@dataclass(frozen=True, slots=True)
class CaseReport:
    """All that a report shows; ``facts`` are labels and values, ``made_on`` a date, ``received`` lines by time."""

    lab: str
    case: str
    made_on: str
    facts: tuple[tuple[str, str], ...]
    lights: tuple[str, ...]
    zones: tuple[ZoneReport, ...]
    firings: tuple[FiringReport, ...] = ()
    effects: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    received: tuple[str, ...] = ()
    photo: PhotoReport | None = None
    material: str = ""
    finish: str = ""
    aims: tuple[AimReport, ...] = ()
    materials: tuple[MaterialReport, ...] = ()
    annex: bool = True  # the clinic's page is followed by the zones' numbers

    @property
    def counts(self) -> dict[str, int]:
        """Zones by grade, without those by hand or by eye; those without one are ``not graded``."""
        found = dict.fromkeys(("within", "cannot tell", "beyond", "not graded"), 0)
        for zone in (one for one in self.zones if one.counted):
            found[zone.grade or "not graded"] += 1
        return found
