"""A piece that was made of a tab and a tooth, on its way: what will be painted, what came after the glaze, both beside.

The first pieces are looked at without a word. From the fourth on the program says afterwards what it would have done,
as it does of any firing that it looks on at.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from stainbook.book import Book
from stainbook.errors import InputError
from stainbook.kept import Outcome
from stainbook.language import say
from stainbook.records import CaseZone, Reading
from stainbook.words import mixes
from stainbook.words.sentences import AS_IT_IS
from stainbook.words.trust import step_beside
from stainbook.work.case.case_gaps import gaps_of
from stainbook.work.case.current_case import known_case
from stainbook.work.case.tab_and_tooth import compared, is_piece
from stainbook.work.documents.book_schemas import RecordResult
from stainbook.work.documents.schemas import AdvisedZone
from stainbook.work.firing.results import FiringResult, Key, ZoneResult, record_result
from stainbook.work.reading.typed_colour import Light, asked_under, typed_colour
from stainbook.work.stains.painted import liquids_of, told_layers

SAID_FROM = 4  # such pieces: before it nothing of this hand and these jars is known
GLAZED = "stain+glaze"


@dataclass(frozen=True, slots=True)
class PieceView:
    """A piece as its page shows it.

    ``before`` are its zones as they were read first, ``painted`` what was painted on them, ``after`` the zones as they
    were read after the glaze; ``said`` are sentences of what the program would have done, by zone. ``number`` is how
    many such pieces were read after their glaze, this one with them.
    """

    code: str
    before: tuple[AdvisedZone, ...]
    painted: Mapping[Key, str] = field(default_factory=dict)
    after: tuple[AdvisedZone, ...] = ()
    said: Mapping[Key, str] = field(default_factory=dict)
    number: int = 0

    @property
    def zones(self) -> tuple[Key, ...]:
        """Its zones, from the neck."""
        return tuple((one.tooth, one.zone) for one in self.before)


def piece_view(book: Book, code: str) -> PieceView:
    """Give a piece as it stands; raises UnknownNameError for a case that is not there."""
    current = known_case(book, code)
    liquids = liquids_of(book.stains().values())
    fired = [one for one in book.outcomes_of(code) if one.after is not None]
    if fired:
        at = min(one.fired_at for one in fired)
        return _fired(book, code, [one for one in fired if one.fired_at == at], liquids)
    lying = book.painted(code)
    painted = {(one.tooth, one.zone): told_layers(one.layers, liquids) for one in (lying.zones if lying else ())}
    return PieceView(code, tuple(gaps_of(book, current).shown.zones), painted)


def record_piece(book: Book, code: str, typed: Mapping[str, str], light: Light) -> RecordResult:
    """Store what was read after the glaze on a piece that was painted; ``typed`` are three numbers by zone.

    Raises InputError for numbers that are no colour, for zones that were not painted, and where nothing was read.
    """
    lying = book.painted(code)
    if lying is None:
        raise InputError(say("nothing lies on {code}, expected what was painted on it", code=code))
    asked, liquids = asked_under(book, light), liquids_of(book.stains().values())
    zones = []
    for one in lying.zones:
        text = typed.get(one.zone, "")
        found = typed_colour(text, asked, one.zone).lab if text.strip() else None
        lab = " ".join(f"{value:.6g}" for value in found or ())
        zones.append(ZoneResult(one.tooth, one.zone, told_layers(one.layers, liquids), lab))
    if not any(one.lab for one in zones):
        raise InputError(say("found no numbers, expected L*, a*, b* of one painted zone after the glaze"))
    told = FiringResult(zones, lying.operator, None, None, "", *light, kind=GLAZED, shadow=_says(book, code))
    return record_result(book, code, told)


def pieces_read(book: Book) -> list[str]:
    """The pieces of a tab and a tooth that were read after their glaze, in the order in which they were fired."""
    fired: dict[str, str] = {}
    for one in book.outcomes():
        if is_piece(one.case) and one.after is not None:
            fired[one.case] = min(fired.get(one.case, one.fired_at), one.fired_at)
    return sorted(fired, key=lambda code: fired[code])


def _says(book: Book, code: str) -> bool | None:
    """True from the fourth piece on; else as the lab decided."""
    earlier = [one for one in pieces_read(book) if one != code]
    return True if len(earlier) >= SAID_FROM - 1 else None


def _fired(book: Book, code: str, outcomes: list[Outcome], liquids: frozenset[str]) -> PieceView:
    before, after, painted, said = [], [], {}, {}
    for one in outcomes:
        key = one.tooth, one.zone
        zone = CaseZone(one.tooth, one.zone, one.tissue)
        painted[key] = told_layers(one.layers, liquids)
        if one.target is None or one.before is None or one.after is None:
            continue
        target = Reading(code, lab=one.target.lab, viewing=one.target.viewing, tissue=one.tissue)
        before.append(compared(book, zone, target, one.before))
        after.append(compared(book, zone, target, one.after))
        if (sentence := _said(one)) is not None:
            said[key] = sentence
    read = pieces_read(book)
    return PieceView(code, tuple(before), painted, tuple(after), said, read.index(code) + 1 if code in read else 0)


def _said(one: Outcome) -> str | None:
    """What the program would have done, where it looked on."""
    if one.beside is None or one.beside.claim is None or one.claim is None:
        return None
    step = mixes.layers(one.beside.layers) if one.beside.layers else AS_IT_IS
    return step_beside(step, one.beside.claim.dE00, one.beside.claim.accept, one.claim.accept)
