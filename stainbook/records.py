"""What is talked about, as plain frozen data: readings, stains, layers, chips, cases, moves.

Nothing here computes a colour or opens a file. Arrays are kept as tuples so that records can be
compared, hashed and stored. Units: wavelengths in nm, reflectance as a factor (1 = perfect
diffuser), shares and coats as plain numbers, doubts as one standard deviation unless named else.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from stainbook.limits import DEFAULT_SHARES as DEFAULT_SHARES
from stainbook.limits import Later as Later
from stainbook.limits import Limits as Limits

TEETH = frozenset(
    q * 10 + n
    for q, last in ((1, 8), (2, 8), (3, 8), (4, 8), (5, 5), (6, 5), (7, 5), (8, 5))
    for n in range(1, last + 1)
)  # ISO 3950: 32 permanent and 20 deciduous codes
TOOTH_ZONES = ("cervical", "middle", "incisal", "occlusal")
GUM_ZONES = ("margin", "papilla", "attached", "mucosa")
TISSUES = ("tooth", "gingiva")
SURFACES = ("matt", "polished", "glazed", "wet")
FILMS = ("none", "water", "glycerine", "stain liquid")  # over the surface when it was read
FINISHES = ("glaze", "polish")
STAGES = ("trial", "green", "sintered", "blasted", "stained", "glazed", "bonded", "delivered", "returned")
NO_FIRING_STAGES = frozenset({"trial", "bonded", "delivered"})
STAIN_KINDS = ("surface", "infiltrating", "clear", "resin", "effect")
STAIN_FORMS = ("paste", "powder", "liquid")
STAIN_USES = ("stain", "correction")
SOAKED_FROM = ("outside", "inside", "both")  # faces that a liquid is painted on
FAMILIES = ("white", "yellow", "orange", "brown", "olive", "grey", "blue", "violet", "pink", "red")
CONSISTENCIES = ("thin", "creamy", "stiff")
EFFECTS = ("halo", "mamelon", "craze line", "white spot", "translucency", "fissure", "vessel", "mottle")
CLEAR = "clear"
LIGHTEST = 108.0  # L* of a reflectance factor of 1.2
LARGEST_FACTOR = 1.2  # of reflectance: a glossy face may send more into an instrument than a perfect diffuser
MOST_CHROMATIC = 200.0  # |a*|, |b*|; the spectral locus stays within
PHOTO = "photo"  # the note of a reading that was taken from a photo

LabValues = tuple[float, float, float]


def tissue_of(zone: str) -> str | None:
    """``tooth`` or ``gingiva`` for a zone name that has a fixed tissue, else None."""
    if zone in TOOTH_ZONES:
        return "tooth"
    return "gingiva" if zone in GUM_ZONES else None


# ---------------------------------------------------------------- readings


@dataclass(frozen=True, slots=True)
class Viewing:
    """The light and observer under which a colour holds; ``unknown`` is a valid answer."""

    illuminant: str = "D65"
    observer: int = 10

    @property
    def known(self) -> bool:
        """False for a colour on an instrument's own scale."""
        return self.illuminant != "unknown" and self.observer in (2, 10)


UNKNOWN_VIEWING = Viewing("unknown", 0)  # an instrument's own scale


@dataclass(frozen=True, slots=True)
class Reading:
    """One colour measurement of one sample: a reflectance spectrum, or L*, a*, b*.

    Exactly one of ``reflectance`` (with ``wavelengths``) and ``lab`` (with ``viewing``) is set.
    Rows that were repeats are averaged: ``repeats`` counts them and ``scatter`` is the sample
    standard deviation of one row, per band or per L*, a*, b*, None when there was one row. ``u`` is the
    radius in ΔE00 that holds the true colour in 95 % of cases, where L*, a*, b* came with one, as of a photo.
    """

    sample: str
    wavelengths: tuple[float, ...] = ()
    reflectance: tuple[float, ...] = ()
    lab: LabValues | None = None
    viewing: Viewing | None = None
    repeats: int = 1
    scatter: tuple[float, ...] | None = None
    stage: str | None = None
    surface: str | None = None
    tissue: str | None = None
    instrument: str | None = None
    geometry: str | None = None
    specular: str | None = None
    aperture_mm: float | None = None
    backing: str | None = None
    taken_at: str | None = None
    notes: str | None = None
    u: float | None = None
    source: str = ""  # file and row, for messages
    film: str | None = None  # over the surface, which is what lies below it

    @property
    def is_spectral(self) -> bool:
        """True when the reading is a spectrum."""
        return bool(self.reflectance)

    @property
    def is_photo(self) -> bool:
        """True for a zone of a photo."""
        return self.notes == PHOTO and self.lab is not None


def newest_reading(readings: Iterable[Reading], fired: Iterable[str] = ()) -> Reading | None:
    """The one that a reference by sample means: the newest ``taken_at``, else the last; None of none.

    A photo, far less sure, takes the place of an instrument's reading only where it shows something else: a later
    stage, or the piece after a firing. ``fired`` : when the piece was fired, ISO 8601.
    """
    numbered = [(_instant(one.taken_at), number, one) for number, one in enumerate(readings)]
    photo = max((one for one in numbered if one[2].is_photo), default=None)
    read = max((one for one in numbered if not one[2].is_photo), default=None)
    if photo is None or read is None:
        found = photo or read
    else:
        later = photo > read and _moved_on(read[2], photo[2], fired)
        found = photo if later else read
    return None if found is None else found[2]


def _moved_on(read: Reading, photo: Reading, fired: Iterable[str]) -> bool:
    """Whether the piece has another stage in a photo than as it was read, or was fired in between."""
    if None not in (read.stage, photo.stage) and STAGES.index(str(photo.stage)) > STAGES.index(str(read.stage)):
        return True
    began, ended = _instant(read.taken_at), _instant(photo.taken_at)
    return read.taken_at is not None and any(began < _instant(one) <= ended for one in fired)


def _instant(taken_at: str | None) -> datetime:
    """An ISO 8601 time, in UTC where it names no zone; the beginning of time for what is none."""
    try:
        found = datetime.fromisoformat(taken_at or "")
    except ValueError:
        return datetime.min.replace(tzinfo=UTC)
    return found if found.tzinfo else found.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Body:
    """The piece without stain."""

    body: str
    material: str | None = None
    lot: str | None = None
    thickness_mm: float | None = None
    backing: str | None = None
    sintering_programme: str | None = None
    surface: str | None = None
    ceramic: str | None = None  # bodies that share it are one ceramic, read at other thickness or over another backing


# ---------------------------------------------------------------- stains and what is painted


@dataclass(frozen=True, slots=True)
class Stain:
    """A pigmented paste, powder or liquid as its jar comes; ``None`` means any that its kind can bear."""

    name: str
    kind: str = "surface"
    family: str | None = None
    materials: tuple[str, ...] | None = None
    stages: tuple[str, ...] | None = None
    lot: str | None = None
    max_firings: int | None = None
    notes: str | None = None
    system: str | None = None  # the lab's word for what belongs together
    form: str | None = None
    use: str | None = None


@dataclass(frozen=True, slots=True)
class Pot:
    """Stains mixed dry, each one's share of the whole, sorted by name; the rest is clear glaze."""

    shares: tuple[tuple[str, float], ...] = ()

    @classmethod
    def of(cls, shares: dict[str, float]) -> Pot:
        """A pot from a mapping of stain to share; a share of ``clear`` counts as the rest."""
        return cls(tuple(sorted((name, float(share)) for name, share in shares.items() if name != CLEAR)))

    @property
    def clear(self) -> float:
        """The share of clear glaze."""
        return max(0.0, 1.0 - sum(share for _, share in self.shares))

    @property
    def stains(self) -> tuple[str, ...]:
        """The stains' names, sorted."""
        return tuple(name for name, _ in self.shares)

    def as_dict(self) -> dict[str, float]:
        """The mapping that the files and JSON show."""
        return dict(self.shares)


@dataclass(frozen=True, slots=True)
class Layer:
    """One pot and its number of coats."""

    pot: Pot
    coats: int = 1
    lots: tuple[tuple[str, str], ...] = ()
    consistency: str | None = None
    method: str | None = None
    firings: int = 1  # what this layer went through
    brush: str | None = None  # of a liquid: chips of another brush are another curve
    wait_min: float | None = None  # of a liquid, before the next pass or the furnace
    soaked_from: str | None = None  # outside, inside or both


Layers = tuple[Layer, ...]  # bottom first


@dataclass(frozen=True, slots=True)
class Chip:
    """A fired stripe or chip whose layers are known; chip and body are samples in the readings."""

    chip: str
    body: str
    layers: Layers
    operator: str | None = None
    programme: str | None = None
    material: str | None = None
    fired_at: str | None = None
    source: str = ""


@dataclass(frozen=True, slots=True)
class Recipe:
    """Layers to predict on a body that a reading names."""

    recipe: str
    body: str
    layers: Layers
    source: str = ""


@dataclass(frozen=True, slots=True)
class GuideTab:
    """One zone of one tab of the lab's own guide; its colour is the sample ``guide/tab/zone``."""

    guide: str
    tab: str
    zone: str
    tissue: str

    @property
    def sample(self) -> str:
        """The name of its reading."""
        return f"{self.guide}/{self.tab}/{self.zone}"


# ---------------------------------------------------------------- cases


@dataclass(frozen=True, slots=True)
class SampleRef:
    """A colour that a readings file (or, without one, the book) holds."""

    sample: str
    file: Path | None = None
    stage: str | None = None


@dataclass(frozen=True, slots=True)
class LabRef:
    """A colour written into the case itself."""

    lab: LabValues
    viewing: Viewing


@dataclass(frozen=True, slots=True)
class BodyRef:
    """The sintered colour of the same blank, for a piece that is still green."""

    name: str


@dataclass(frozen=True, slots=True)
class TabRef:
    """A tab of the lab's guide for this zone."""

    guide: str
    tab: str


@dataclass(frozen=True, slots=True)
class Target:
    """Where a zone must go: a colour, and a shift of L*, a*, b*, C*, h (h in degrees) upon it."""

    colour: SampleRef | LabRef | TabRef
    shift: tuple[tuple[str, float], ...] = ()


NowRef = SampleRef | LabRef | BodyRef


@dataclass(frozen=True, slots=True)
class CaseZone:
    """One zone of a case; ``like`` names the zone whose reading (and target) also hold here."""

    tooth: int
    zone: str
    tissue: str
    now: NowRef | None = None
    target: Target | None = None
    like: tuple[int, str] | None = None
    fired: int = 0  # stain firings this zone has had
    like_spread: float | None = None  # how many times further from it than two zones alike; None is once
    finish: str | None = None  # where it is not the case's
    by_hand: bool | None = None  # layered ceramic or composite: listed, no part of any plan or chance
    height_mm: float | None = None  # in a blank of layers
    piece: str | None = None  # where a case holds several
    thickness_mm: float | None = None
    read_over: str | None = None  # what lay behind it when it was read: a sample
    seated_on: str | None = None  # what will lie behind it: a sample

    @property
    def key(self) -> tuple[int, str]:
        """Tooth and zone."""
        return self.tooth, self.zone


@dataclass(frozen=True, slots=True)
class Effect:
    """Something drawn by eye: listed, never scored."""

    tooth: int
    effect: str
    place: str | None = None
    pot: Pot | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Blank:
    """The one blank that a piece is milled from; ``layers`` are heights in it (mm) and the samples read there."""

    name: str
    lot: str | None = None
    layers: tuple[tuple[float, str], ...] = ()

    def at(self, height_mm: float | None) -> str:
        """The sample that stands for a height: the nearest layer, else the blank itself."""
        if height_mm is None or not self.layers:
            return self.name
        return min(self.layers, key=lambda one: abs(one[0] - height_mm))[1]


@dataclass(frozen=True, slots=True)
class Case:
    """A piece of work: its zones, where each is and where it must go."""

    case: str
    zones: tuple[CaseZone, ...]
    material: str | None = None
    stage: str | None = None
    finish: str = "glaze"
    effects: tuple[Effect, ...] = ()
    operator: str | None = None
    programme: str | None = None
    lots: tuple[tuple[str, str], ...] = ()
    limits: Limits = field(default_factory=Limits)
    accepted_by: str | None = None  # since its last firing: lab, clinic or patient
    returned: str | None = None  # why it came back; None once it was fired again
    blank: Blank | None = None  # that the whole piece is milled from
    lights: tuple[str, ...] | None = None  # in which it must be in tolerance, beside the target's
    ceramic: str | None = None  # of bodies.csv; with the zones' thickness the piece is predicted as seated
    read_over: str | None = None
    seated_on: str | None = None
    mark: str | None = field(default=None, compare=False)  # random: names the case where its code must not stand
    wish: bool | None = None  # True: what is prescribed alone, no fact of the piece; None: a file, or a book of before
    renamed: tuple[tuple[int, int], ...] | None = field(default=None, compare=False)  # teeth called otherwise since
    folder: Path | None = None
    source: str = ""
