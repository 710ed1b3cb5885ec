"""A tab and a tooth, read without a case and without a file: an ordinary case is made of it that codes itself."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from stainbook.book import Book
from stainbook.errors import InputError
from stainbook.language import say
from stainbook.records import UNKNOWN_VIEWING, Case, CaseZone, LabRef, Reading, Target
from stainbook.words.places import zone_name
from stainbook.work.case.advise import colour_shown
from stainbook.work.case.measuring_sheet import sample_of
from stainbook.work.case.new_case import teeth_of, tooth_zones
from stainbook.work.case.open_case import now, open_as
from stainbook.work.documents.schemas import AdvisedZone, Gap
from stainbook.work.reading.compare import graded
from stainbook.work.reading.lab_settings import limits_in
from stainbook.work.reading.samples import colour_of
from stainbook.work.reading.typed_colour import Light, asked_under, typed_colour
from stainbook.work.reading.viewing_conditions import Asked, shared_viewing

PREFIX = "piece-"
_CODE = re.compile(rf"{PREFIX}(\d+)")
TAB, TOOTH = say("tab"), say("tooth")


@dataclass(frozen=True, slots=True)
class TabAndTooth:
    """What was read of a tab and of a tooth: three numbers a zone, as typed; zones of which nothing was read may fail.

    ``tooth`` is a number of ISO 3950, ``material`` and ``stage`` are those of the piece.
    """

    tab: Mapping[str, str]
    read: Mapping[str, str]
    light: Light = field(default_factory=Light)
    tooth: str = "11"
    material: str = "zirconia"
    stage: str = "blasted"

    @property
    def zones(self) -> Sequence[str]:
        """The three zones of the tooth, from the neck; raises InputError for what is no tooth."""
        teeth = teeth_of(self.tooth)
        if len(teeth) != 1:
            raise InputError(say("found the teeth {text!r}, expected one tooth, such as 11", text=self.tooth))
        return tooth_zones(teeth[0])

    @property
    def numbers(self) -> tuple[int, ...]:
        """The tooth's number, as the one of a tuple."""
        return teeth_of(self.tooth)


def gaps_typed(book: Book, asked: TabAndTooth) -> tuple[AdvisedZone, ...]:
    """How far the tooth is from the tab in each zone that was read of both; raises InputError as `make_piece` does."""
    under = asked_under(book, asked.light)
    return tuple(
        compared(book, CaseZone(asked.numbers[0], zone, "tooth"), *pair) for zone, pair in _pairs(asked, under)
    )


def make_piece(book: Book, asked: TabAndTooth) -> str:
    """Store a tab and a tooth as a case with its targets and readings; gives its code.

    Raises InputError for numbers that are no colour, and a zone that was read of one of the two alone.
    """
    under = asked_under(book, asked.light)
    read = dict(_pairs(asked, under))
    if not read:
        raise InputError(say("found no numbers, expected L*, a*, b* of one zone of the tab and of the tooth"))
    tooth = asked.numbers[0]
    zones = tuple(CaseZone(tooth, zone, "tooth", target=_target(tab)) for zone, (tab, _) in read.items())
    with book.transaction() as step:
        code = _next(step.names("case"))
        case = Case(code, zones, asked.material or None, asked.stage, "glaze")
        open_as(step, case)
        at = now()
        step.add_readings(
            replace(read[zone.zone][1], sample=sample_of(zone, case), tissue="tooth", taken_at=at, source="")
            for zone in zones
        )
    return code


def is_piece(code: str) -> bool:
    """Whether a case was made of a tab and a tooth."""
    return _CODE.fullmatch(code) is not None


def compared(book: Book, zone: CaseZone, target: Reading, read: Reading) -> AdvisedZone:
    """A zone as it was read against its target, without any next step; raises InputError for colours of two lights."""
    limits = limits_in(book)[zone.tissue]
    viewing = shared_viewing(read, target, Asked())
    seen, wanted = (colour_of(one, viewing) for one in (read, target))
    pair = graded(seen, wanted, limits)
    gap = Gap(
        dE00=pair.dE00, dL=pair.dL, dC=pair.dC, dH=pair.dH, grade=pair.grade, u=pair.u, visibility=pair.visibility
    )
    return AdvisedZone(
        tooth=zone.tooth, zone=zone.zone, tissue=zone.tissue, gap=gap, verdict="stain", moves=[],
        now=colour_shown(seen.lab, viewing), target=colour_shown(wanted.lab, viewing), thresholds=limits.name,
    )  # fmt: skip


def _pairs(asked: TabAndTooth, under: Asked) -> Sequence[tuple[str, tuple[Reading, Reading]]]:
    """The zones that were read of tab and tooth, each with its two readings."""
    found = []
    for zone in asked.zones:
        both = [typed.get(zone, "").strip() for typed in (asked.tab, asked.read)]
        if not any(both):
            continue
        tab, read = (_one(text, under, zone, side) for text, side in zip(both, (TAB, TOOTH), strict=True))
        found.append((zone, (tab, read)))
    return found


def _one(text: str, under: Asked, zone: str, side: str) -> Reading:
    return typed_colour(text, under, say("{side}, {zone}", side=side, zone=zone_name(zone)))


def _target(tab: Reading) -> Target:
    assert tab.lab is not None
    return Target(LabRef(tab.lab, tab.viewing or UNKNOWN_VIEWING))


def _next(codes: Sequence[str]) -> str:
    numbers = [int(found[1]) for one in codes if (found := _CODE.fullmatch(one))]
    return f"{PREFIX}{max(numbers, default=0) + 1}"
