"""A case as it is now, as plain frozen data: its zones with what lies on them, its stage, its way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from stainbook.book.events import Event, Key
from stainbook.kept import Choice, PaintedZone
from stainbook.records import Case, Layers, Reading


@dataclass(frozen=True, slots=True)
class FiredLayers:
    """What one firing put on or into a zone; ``firings`` is what these layers have gone through by now."""

    at: str
    kind: str
    layers: Layers
    firings: int = 1
    operator: str | None = None
    programme: str | None = None
    lots: tuple[tuple[str, str], ...] = ()
    before: Reading | None = None
    outcome: str = ""

    @property
    def aged(self) -> Layers:
        """The layers with what they went through."""
        return tuple(replace(layer, firings=self.firings) for layer in self.layers)


@dataclass(frozen=True, slots=True)
class LastChange:
    """What changed a zone last: the step, when, and the event's name in the journal."""

    what: str
    at: str
    id: str = ""


@dataclass(frozen=True, slots=True)
class FaceWorked:
    """What hid the colour of a zone: ground, polished, stripped, layered; ``whole`` where all of the piece was.

    ``place`` is the event's place among those of the piece.
    """

    what: str
    place: int
    whole: bool = True


@dataclass(frozen=True, slots=True)
class ReadAt:
    """A reading of a zone and whether it was taken since the last change."""

    reading: Reading
    at: str
    since: bool = True
    changed_at: str = ""  # when the zone was changed last before it; empty: never since the case was opened
    heated: int = 0  # firings that the zone had gone through by then
    place: int = 0  # of the event among those of the piece


@dataclass(frozen=True, slots=True)
class ZoneState:
    """One zone: what lies on it and in it, what changed it last, and what was read of it."""

    key: Key
    tissue: str
    fired: tuple[FiredLayers, ...] = ()  # on it and in it, bottom first
    soaked: Layers = ()  # liquids, not sintered yet
    coloured: bool = False  # with liquids that may be told with the sintering
    unfired: Layers = ()  # painted, not fired yet
    change: LastChange | None = None
    firings: int = 0  # of stain, glaze and correction that the zone went through, those before it was opened too
    readings: tuple[ReadAt, ...] = ()
    lost: bool = False  # its colour cannot be forecast: ground, polished, or layered since it was read
    before_reading: tuple[FiredLayers, ...] = ()  # what lay there already when it was last read
    heats: int = 0  # firings that it went through since it was last read, painted or not
    heated: int = 0  # firings that it went through in all
    worked: tuple[FaceWorked, ...] = ()

    @property
    def layers(self) -> Layers:
        """All fired layers, bottom first."""
        return tuple(layer for one in self.fired for layer in one.aged)

    @property
    def read(self) -> tuple[Reading, ...]:
        """The readings that may stand for the zone as it is."""
        return tuple(one.reading for one in self.readings if one.since)

    @property
    def since_read(self) -> tuple[FiredLayers, ...]:
        """What was fired on or into it since it was last read."""
        return self.fired[len(self.before_reading) :]


@dataclass(frozen=True, slots=True)
class Chosen:
    """A next step that was chosen, and the mark of the standing that it was made for."""

    choice: Choice
    number: int
    at: str
    author: str = ""


@dataclass(frozen=True, slots=True)
class WayStep:
    """One step of the way of a piece with its moment."""

    what: str
    at: str
    who: str = ""
    said: str = ""


@dataclass(frozen=True, slots=True)
class CaseState:
    """A case as it is now: the newest wish, and the facts of its piece."""

    case: str
    wish: Case
    stage: str | None = None
    zones: Mapping[Key, ZoneState] = field(default_factory=dict)
    chosen: Mapping[Key, Chosen] = field(default_factory=dict)
    firings: int = 0  # that count against those left
    had: int = 0  # firings that had been counted when the number left was set
    coloured: bool = False
    dried: bool = False
    out: bool = False  # at the clinic for a try-in
    cleaned: bool = False  # since it came back
    sintered_here: bool = False  # by an event, not as it was opened
    accepted_by: str | None = None
    returned: str | None = None
    last: Event | None = None  # the newest fact
    glazed_at: str | None = None  # when it was glazed, or opened so; None once that was stripped
    heats: tuple[tuple[str, str], ...] = ()  # kind and programme of its firings
    way: tuple[WayStep, ...] = ()
    conflicts: tuple[str, ...] = ()
    opened: Event | None = None
    told: int = 0  # events so far
    known_firings: bool = True  # False: a firing of a book of before, which did not say its kind

    @property
    def firings_left(self) -> int:
        """Stain firings that are still allowed, by the number that was last set."""
        return max(0, self.wish.limits.firings_left - (self.firings - self.had))

    @property
    def unfired(self) -> tuple[PaintedZone, ...]:
        """What lies on it, dried and not fired yet."""
        return tuple(PaintedZone(*one.key, one.unfired) for one in self.zones.values() if one.unfired)
