"""What the lab keeps of its work, as plain frozen data: firings, outcomes, recipes, and what was taken back.

As ``records``: nothing here computes a colour or opens a file.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from stainbook.language import say
from stainbook.records import LabRef, Layers, Pot, Reading, SampleRef, Viewing

BY_MISTAKE = say("pressed by mistake")  # why a step is undone, where nothing else is said
ACCEPTED_BY = ("lab", "clinic", "patient")
RETURNED_FOR = ("shade", "fit", "fracture", "design", "clinic change")
FIRING_KINDS = (
    "stain", "stain+glaze", "glaze", "correction", "layering", "foundation", "after-grinding", "resin", "sinter",
)  # fmt: skip
STEPS = (
    "opened", "milled", "coloured", "dried", "sintered", "ground", "polished", "blasted", "cleaned", "stripped",
    "try-in", "back", "accepted", "bonded", "delivered", "returned", "stated", "noted",
)  # fmt: skip
RECIPE_STATES = ("draft", "tried", "approved", "retired")


@dataclass(frozen=True, slots=True)
class Operator:
    """Someone whose hand lays stain on, by the name the lab uses at the bench."""

    operator: str
    notes: str | None = None


@dataclass(frozen=True, slots=True)
class StandingMix:
    """A mix that the lab keeps ready in a jar of its own."""

    mix: str
    pot: Pot
    made_on: str | None = None
    by: str | None = None
    lots: tuple[tuple[str, str], ...] = ()
    reading: str | None = None  # the sample that shows it
    left: str | None = None  # how much of it, in the lab's words


@dataclass(frozen=True, slots=True)
class Prices:
    """What the lab typed once: the price of a firing, of a blank, of an hour, and its own text for the currency."""

    firing: float | None = None
    blank: float | None = None
    hour: float | None = None
    currency: str | None = None


@dataclass(frozen=True, slots=True)
class Settings:
    """What the lab decided once for all its work; None or empty: as the program comes.

    ``thresholds`` are names of sets, one a tissue at most; ``viewing`` is for spectra that are compared with spectra.
    """

    settings: str = "lab"
    lab: str | None = None  # its name, as reports carry it
    thresholds: tuple[str, ...] = ()
    viewing: Viewing | None = None
    strengths: tuple[float, ...] = ()  # shares that the lab mixes
    scale_step: float | None = None  # g
    together: tuple[tuple[str, str], ...] = ()  # systems or forms of jars that may share a pot
    mixes: tuple[StandingMix, ...] = ()  # that stand ready
    shadow: bool | None = None  # what the program would have done is kept beside what the hand did
    annex: bool | None = None  # False: the clinic's page goes without the zones' numbers
    edges: bool | None = None  # incisal thirds and papillae of a translucent piece count as other zones do
    leads: tuple[str, ...] | None = None  # technicians who lead the lab
    lead_sees_all: bool | None = None  # a lead sees the numbers of every technician; else each sees their own
    apprentices: tuple[str, ...] | None = None  # technicians who paint as apprentices
    prices: Prices | None = None
    host: str | None = None  # where other devices reach the app, as labels name it: http://bench.local:8501


@dataclass(frozen=True, slots=True)
class Firing:
    """One firing of one case: who, when, by which programme, and how it was received."""

    case: str
    fired_at: str  # ISO 8601, UTC
    operator: str | None = None
    programme: str | None = None
    furnace: str | None = None
    finish: str | None = None
    accepted_by: str | None = None
    returned: str | None = None
    minutes: float | None = None
    clinic: str | None = None
    kind: str | None = None  # one of FIRING_KINDS; None in books of before, which did not ask
    run: str | None = None  # that several cases share
    witness: tuple[str, ...] | None = None  # samples of the discs of a sintering
    checked_by: str | None = None  # who looked at an apprentice's work before the furnace
    seen: str | None = None  # the event of the case that its teller had seen last
    source: str = ""

    @property
    def firing(self) -> str:
        """Its name: the case and when it was fired."""
        return f"{self.case} {self.fired_at}"

    @property
    def told(self) -> Firing:
        """What the bench told, wherever it was written."""
        return replace(self, source="", seen=None)


@dataclass(frozen=True, slots=True)
class PaintedZone:
    """What lies on one zone, dried and not fired yet."""

    tooth: int
    zone: str
    layers: Layers


@dataclass(frozen=True, slots=True)
class Painted:
    """What lies on a case, dried and not fired yet; without zones it was wiped off. A later firing ends it."""

    case: str
    painted_at: str  # ISO 8601, UTC
    zones: tuple[PaintedZone, ...] = ()
    operator: str | None = None

    @property
    def painted(self) -> str:
        """Its name: one a case, the newest holds."""
        return f"{self.case} painted"


@dataclass(frozen=True, slots=True)
class StepDone:
    """A step of a piece's way that is no firing, reading or wish: ``did`` is one of STEPS.

    ``zones`` are those that it was done to, none for the whole piece; ``painted`` the liquids of a colouring. Of a case
    that was opened ``stage`` and ``fired`` say where it stood; ``seen`` is the event that its teller had seen last.
    """

    case: str
    did: str
    at: str  # ISO 8601, UTC
    zones: tuple[tuple[int, str], ...] = ()
    painted: tuple[PaintedZone, ...] = ()
    stage: str | None = None
    fired: tuple[tuple[int, str, int], ...] = ()  # firings that zones had had
    blank: str | None = None
    lot: str | None = None
    run: str | None = None
    operator: str | None = None
    by: str | None = None  # who accepted it
    why: str | None = None
    seen: str | None = None
    number: str = ""  # tells two like steps of one moment apart

    @property
    def step(self) -> str:
        """Its name: the case, what was done and when."""
        return f"{self.case} {self.did} {self.at}{self.number and ' ' + self.number}"


@dataclass(frozen=True, slots=True)
class FiredZone:
    """One zone of a firing as it is reported, its readings not yet looked up."""

    tooth: int
    zone: str
    tissue: str
    layers: Layers
    after: SampleRef | LabRef | Reading | None = None  # None: painted and fired, not read
    before: SampleRef | LabRef | Reading | None = None
    recipe: str | None = None
    note: str | None = None
    source: str = ""

    @property
    def key(self) -> tuple[int, str]:
        """Tooth and zone."""
        return self.tooth, self.zone


@dataclass(frozen=True, slots=True)
class Report:
    """What was really done to a case in one firing, as a file tells it."""

    firing: Firing
    zones: tuple[FiredZone, ...]
    lots: tuple[tuple[str, str], ...] = ()
    source: str = ""


@dataclass(frozen=True, slots=True)
class Claim:
    """What the program claimed of a zone when its step was chosen or fired, so that trust can be counted later.

    ``colour`` with its 5-95 % interval in ΔE00 to the target, the radius that holds 9 in 10, the chances, and by which
    fit and program; ``shown`` is False where the hand did something else or did not see it.
    """

    colour: LabRef | None = None
    dE00: float | None = None
    low: float | None = None
    high: float | None = None
    radius: float | None = None
    accept: float | None = None
    accept_within: float | None = None
    fit: int | None = None
    version: str | None = None
    shown: bool | None = None


@dataclass(frozen=True, slots=True)
class Beside:
    """What the program would have done on a zone that the hand painted by itself, and what it claimed of that."""

    kind: str  # as of moves
    layers: Layers = ()
    claim: Claim | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was really put on one zone in one firing, and the colour that came out, where it was read.

    ``target``, ``got`` and ``expected`` hold under one light and observer.
    The readings are kept whole, so that an outcome stays what it was whatever is read or renamed later.
    """

    case: str
    tooth: int
    zone: str
    tissue: str
    fired_at: str
    layers: Layers
    after: Reading | None = None
    before: Reading | None = None
    got: LabRef | None = None
    target: LabRef | None = None
    expected: LabRef | None = None
    to_target: float | None = None  # ΔE00
    accepted: bool | None = None
    material: str | None = None
    stage: str | None = None
    finish: str | None = None
    operator: str | None = None
    programme: str | None = None
    furnace: str | None = None
    lots: tuple[tuple[str, str], ...] = ()
    recipe: str | None = None
    accepted_by: str | None = None
    returned: str | None = None
    note: str | None = None
    claim: Claim | None = None
    beside: Beside | None = None
    source: str = ""

    @property
    def outcome(self) -> str:
        """Its name: the case, the zone and when it was fired."""
        return f"{self.case} {self.tooth} {self.zone} {self.fired_at}"

    @property
    def told(self) -> Outcome:
        """What the bench told, without what was computed or looked up: a later fit changes nothing of it."""
        plain = replace(self, got=None, target=None, expected=None, to_target=None, accepted=None)
        return replace(plain, material=None, stage=None, claim=None, beside=None, source="")


@dataclass(frozen=True, slots=True)
class Conditions:
    """What a recipe holds for; None means any. ``thickness_mm`` is the least and the most."""

    material: str | None = None
    thickness_mm: tuple[float, float] | None = None
    stage: str | None = None
    surface: str | None = None
    programme: str | None = None
    consistency: str | None = None
    tissue: str | None = None
    zone: str | None = None


@dataclass(frozen=True, slots=True)
class DrawnEffect:
    """Something drawn by eye upon a recipe's layers, on whichever tooth: listed, never scored."""

    effect: str
    place: str | None = None
    pot: Pot | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class LabRecipe:
    """A recipe as the lab keeps it; ``based_on`` is the revision that this one was made from."""

    recipe: str
    layers: Layers
    state: str = "draft"
    conditions: Conditions = field(default_factory=Conditions)
    target: LabRef | None = None
    notes: str | None = None
    why: str | None = None  # of this revision
    based_on: int | None = None
    effects: tuple[DrawnEffect, ...] | None = None  # None, not empty: recipes of before keep their seal


@dataclass(frozen=True, slots=True)
class Photo:
    """A reduced copy of a photo that zones of a case were read from; its JPEG is kept beside this.

    ``zones`` are tooth, zone and outline in the copy's pixels. Nothing of the file's own data is in it.
    """

    case: str
    taken_at: str  # ISO 8601, UTC
    subject: str  # piece or patient
    width: int
    height: int
    zones: tuple[tuple[int, str, tuple[tuple[float, float], ...]], ...]
    method: str | None = None
    taken_with: str | None = None  # camera, lens and exposure

    @property
    def photo(self) -> str:
        """Its name: the case, what is in it and when it was taken."""
        return f"{self.case} {self.subject} {self.taken_at}"


@dataclass(frozen=True, slots=True)
class Choice:
    """What the bench means to do next on one zone: a step of advice, a mix by hand, a plan's layers.

    It holds for the standing that it was made for: ``made_for`` is that one's mark; choices of before name how many
    firings the zone had had, ``fired``. An empty ``kind`` takes a choice back.
    """

    case: str
    tooth: int
    zone: str
    kind: str  # as of moves: add, leave, strip and restain, remake; empty for none
    layers: Layers = ()
    body: str | None = None  # of a remake
    fired: int = 0
    made_for: str | None = None
    claim: Claim | None = None

    @property
    def choice(self) -> str:
        """Its name: the case and the zone."""
        return f"{self.case} {self.tooth} {self.zone}"

    @property
    def key(self) -> tuple[int, str]:
        """Tooth and zone."""
        return self.tooth, self.zone


VERDICTS = ("true", "wrong", "open")  # it was really so; the wrong sample or mix; not decided any longer


@dataclass(frozen=True, slots=True)
class Decision:
    """What somebody says of an outcome that nothing explains: learnt from in full, never, or as if nothing was said.

    It holds until the outcome is corrected.
    """

    case: str
    tooth: int
    zone: str
    fired_at: str
    verdict: str
    why: str | None = None

    @property
    def outcome(self) -> str:
        """The name of the outcome that it is about."""
        return f"{self.case} {self.tooth} {self.zone} {self.fired_at}"


@dataclass(frozen=True, slots=True)
class Correction:
    """Takes back one row of the journal, by its seal, and says why; ``by`` is the seal of what holds instead.

    ``same``: that one tells the same fact under another name, so it was told when and by whom the first one was.
    """

    of: str
    why: str
    by: str | None = None
    same: bool | None = None
