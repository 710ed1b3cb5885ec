"""A new case from what a form asks: its teeth, zones and targets, opened in the book."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from stainbook.book import Book
from stainbook.errors import InputError
from stainbook.files.short_set import like_the_larger, like_the_short_set
from stainbook.language import say
from stainbook.records import TEETH, UNKNOWN_VIEWING, Blank, Case, CaseZone, LabRef, TabRef, Target
from stainbook.work.case.case_edits import trials_of
from stainbook.work.case.open_case import open_as
from stainbook.work.reading.cautions import too_small_for
from stainbook.work.reading.typing_slips import typed_target
from stainbook.work.reading.viewing_conditions import Asked

ROWS = (
    (18, 17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27, 28),
    (48, 47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37, 38),
    (55, 54, 53, 52, 51, 61, 62, 63, 64, 65),
    (85, 84, 83, 82, 81, 71, 72, 73, 74, 75),
)  # from the patient's right to the left
FRONT = 3  # canine: behind it teeth have an occlusal zone in place of an incisal one
_AT_THE_MIDLINE = {21: 11, 31: 41, 61: 51, 71: 81}
GREEN = "green"
_TARGET_OF = {"tooth": say("target of the teeth"), "gingiva": say("target of the gum")}
_CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}")
_RANGE = re.compile(r"(\d\d)\s*[-–]\s*(\d\d)")


@dataclass(frozen=True, slots=True)
class TypedTarget:
    """A target as a form holds it: a tab of the guide, ``guide/tab``, else L*, a*, b* as typed; empty: none yet."""

    lab: str = ""
    tab: str | None = None
    illuminant: str | None = None
    observer: int | None = None
    instrument: str | None = None


@dataclass(frozen=True, slots=True)
class NewCase:
    """What the form holds; ``targets`` are by tissue, ``few`` asks for the short set of readings."""

    code: str
    teeth: str
    gum: Sequence[str] = ()
    targets: Mapping[str, TypedTarget] = field(default_factory=dict)
    material: str | None = None
    stage: str | None = None
    finish: str = "glaze"
    few: bool = True
    operator: str | None = None
    body: str | None = None  # the blank of a green piece


def make_case(book: Book, asked: NewCase) -> str:
    """Open a new case in the book; gives its code.

    Raises InputError for what makes no case, and a code that is taken.
    """
    if not _CODE.fullmatch(asked.code):
        raise InputError(
            say("found the code {code!r}, expected letters, digits, - and _, such as W-1070", code=asked.code)
        )
    if asked.code in book.names("case"):
        raise InputError(say("{code} is here already, expected a code of its own; choose another", code=asked.code))
    targets = {tissue: found for tissue, one in asked.targets.items() if (found := _target(book, tissue, one))}
    zones = _zones(asked, targets)
    if asked.stage != GREEN:
        zones = like_the_short_set(zones) if asked.few else like_the_larger(zones, _too_small(book))
    case = Case(asked.code, zones, asked.material or None, asked.stage, asked.finish)
    case = replace(case, operator=asked.operator or None)
    if asked.stage == GREEN and asked.body:
        case = replace(case, blank=Blank(asked.body))
    with book.transaction() as step:
        open_as(step, case)
    return asked.code


def _too_small(book: Book) -> frozenset[str]:
    """The zones that are smaller than the aperture of the one instrument, where that is known."""
    found = [one.aperture_mm for one in book.instruments().values()]
    return too_small_for(found[0]) if len(found) == 1 and found[0] is not None else frozenset()


def teeth_of(text: str) -> tuple[int, ...]:
    """Teeth as people write them, ``15-25, 36``; a range runs along its row.

    Raises InputError for what is no tooth of ISO 3950, and a range over two rows.
    """
    found: list[int] = []
    for part in (piece.strip() for piece in re.split(r"[,;\s]+(?![-–])", re.sub(r"\s*[-–]\s*", "-", text))):
        if part:
            found += _range(part)
    if not found:
        raise InputError(say("found no tooth, expected numbers of ISO 3950, such as 15-25 or 11, 21"))
    return tuple(dict.fromkeys(found))


def tooth_zones(tooth: int) -> tuple[str, str, str]:
    """The zones of a tooth that are read, from the neck."""
    return "cervical", "middle", "incisal" if tooth % 10 <= FRONT else "occlusal"


def _range(text: str) -> list[int]:
    ends = _RANGE.fullmatch(text)
    first, last = (int(one) for one in ends.groups()) if ends else (_tooth(text), _tooth(text))
    for row in ROWS:
        if first in row and last in row:
            low, high = sorted((row.index(first), row.index(last)))
            return list(row[low : high + 1])
    raise InputError(say("found the teeth {text!r}, expected numbers of ISO 3950 in one row, such as 15-25", text=text))


def _tooth(text: str) -> int:
    if not text.isdecimal() or int(text) not in TEETH:
        raise InputError(say("found the tooth {text!r}, expected a number of ISO 3950, such as 11", text=text))
    return int(text)


@dataclass(frozen=True, slots=True)
class NamesOffered:
    """What the forms of a case offer: tabs of the guide as ``guide/tab`` by tissue, approved trials, blanks, stains."""

    tabs: Mapping[str, tuple[str, ...]]
    trials: tuple[str, ...]
    blanks: tuple[str, ...]
    stains: tuple[str, ...]


def names_offered(book: Book) -> NamesOffered:
    """The names that the book knows; of stains those that a case may be held to."""
    guide = book.guide()
    tabs: dict[str, dict[str, None]] = {"tooth": {}, "gingiva": {}}
    for one in guide:
        tabs[one.tissue][f"{one.guide}/{one.tab}"] = None
    stains = tuple(one.name for one in book.stains().values() if one.kind != "clear")
    by_tissue = {tissue: tuple(found) for tissue, found in tabs.items()}
    return NamesOffered(by_tissue, tuple(trials_of(guide)), tuple(book.bodies()), stains)


def _target(book: Book, tissue: str, wanted: TypedTarget) -> Target | None:
    if wanted.tab:
        guide, _, tab = wanted.tab.partition("/")
        return Target(TabRef(guide, tab))
    if not wanted.lab.strip():
        return None
    asked = Asked(wanted.illuminant, wanted.observer, instrument=wanted.instrument, instruments=book.instruments())
    found = typed_target(wanted.lab, asked, _TARGET_OF[tissue], tissue=tissue)
    assert found.lab is not None
    return Target(LabRef(found.lab, found.viewing or UNKNOWN_VIEWING))


def _zones(asked: NewCase, targets: Mapping[str, Target]) -> tuple[CaseZone, ...]:
    zones = []
    teeth = teeth_of(asked.teeth)
    for tooth in teeth:
        zones += [CaseZone(tooth, zone, "tooth", target=targets.get("tooth")) for zone in tooth_zones(tooth)]
        shared = _AT_THE_MIDLINE.get(tooth) in teeth  # one papilla lies between the front teeth
        gum = [zone for zone in asked.gum if not (shared and zone == "papilla")]
        zones += [CaseZone(tooth, zone, "gingiva", target=targets.get("gingiva")) for zone in gum]
    return tuple(zones)
