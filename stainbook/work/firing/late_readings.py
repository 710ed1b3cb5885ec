"""A firing that was recorded before its piece was read: what is read of it afterwards says what came out.

Else the layers would have no colour in the library, and the lab would learn nothing from them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stainbook.book import Book
from stainbook.book.case_state import ZoneState
from stainbook.kept import Outcome
from stainbook.language import say
from stainbook.records import Reading, newest_reading
from stainbook.work.case.current_case import known_case
from stainbook.work.firing.corrections import correct_after, told_with
from stainbook.work.firing.record import record_reports
from stainbook.work.reading.take_in import OF_A_ZONE
from stainbook.work.reading.viewing_conditions import Asked

READ_LATER = say("read after the firing was recorded")


def join_firing(book: Book, code: str) -> int:
    """Let what was read since the newest firing of a case stand as what came out of it; gives how many zones.

    Only zones that this firing changed last and that were recorded without a reading; a photo is not taken for one.
    It is learnt from once the last of them is read: that takes seconds, and readings are typed one after the other.
    """
    unread = _unread(book, code)
    zones = known_case(book, code).state.zones if unread else {}
    read = [(one, found) for one in unread if (found := _read_since(zones[one.tooth, one.zone])) is not None]
    if read:
        record_reports(book, [told_with(book, read)], because=READ_LATER, learns=len(read) == len(unread))
    return len(read)


def join_firings(book: Book, samples: Iterable[str]) -> None:
    """`join_firing` for the cases whose zones some samples are."""
    known = set(book.names("case")) if samples else set()
    for code in dict.fromkeys(named[1] for one in samples if (named := OF_A_ZONE.fullmatch(one))):
        if code in known:
            join_firing(book, code)


def correct_late(book: Book, code: str, sample: str, *, lab: str, why: str, asked: Asked) -> bool:
    """Correct a reading that joined the firing of its zone; gives whether there is such a reading."""
    held = book.entered("reading", sample)[-1:]
    for one in book.outcomes_of(code):
        told = book.entered("outcome", one.outcome)
        if held and told and one.after == replace(held[0].record, source="") and told[0].number < held[0].number:
            correct_after(book, one, lab=lab, why=why, asked=asked)
            return True
    return False


def _unread(book: Book, code: str) -> list[Outcome]:
    """The outcomes without a reading of the firing that changed their zones last."""
    found = [one for one in book.outcomes_of(code) if one.after is None]
    if not found:
        return []
    zones = known_case(book, code).state.zones
    changed = {key: there.change for key, there in zones.items() if there.change is not None}
    return [
        one
        for one in found
        if (last := changed.get((one.tooth, one.zone))) is not None and (last.what, last.at) == ("fired", one.fired_at)
    ]


def _read_since(zone: ZoneState) -> Reading | None:
    return newest_reading(replace(one, source="") for one in zone.read if not one.is_photo)
