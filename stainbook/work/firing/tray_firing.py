"""A tray in the furnace: which pieces may go in, put in, one record for all of them when they are out, and undone.

What is told of it is stored in the book, so a page that is loaded anew, and another bench, see the same tray.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from stainbook.apparatus import FurnaceTray, Programme
from stainbook.book import Book, Transaction
from stainbook.book.entries import Entered
from stainbook.book.events import Event, ZoneFired, moment
from stainbook.book.possible import refusal
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import BY_MISTAKE, Firing, Painted, Report
from stainbook.language import say
from stainbook.stage_words import FIRINGS, firing_name
from stainbook.words.times import moment as clock
from stainbook.work.case.current_case import CurrentCase, known_case
from stainbook.work.case.open_case import now
from stainbook.work.case.tray_fit import ONE_FIRING, cannot_share
from stainbook.work.documents.book_schemas import RecordResult
from stainbook.work.firing.corrections import take_back_firings
from stainbook.work.firing.record import record_reports
from stainbook.work.firing.results import fired_with
from stainbook.work.reading.typed_colour import typed_number
from stainbook.work.stains.painted import liquids_of

TRAY_KINDS = ("stain", "stain+glaze", "glaze", "correction", "sinter")  # of firings that a tray can be
PAINTED_KINDS = frozenset({"stain", "stain+glaze", "correction"})  # of these each piece was painted for
MOST_MINUTES = 3000.0  # as of programmes
SOURCE = say("the tray page")


@dataclass(frozen=True, slots=True)
class TrayWish:
    """What a tray shall be: the kind of its firing, programme, furnace and technician; ``minutes`` as typed."""

    kind: str = "stain"
    programme: str | None = None
    furnace: str | None = None
    operator: str | None = None
    minutes: str = ""


@dataclass(frozen=True, slots=True)
class TrayPiece:
    """A piece that is in the lab, with what is asked of it before it goes in; ``tray`` is the one that it is on."""

    current: CurrentCase
    tray: TrayShown | None = None

    @property
    def code(self) -> str:
        """The code of its case."""
        return self.current.case.case


@dataclass(frozen=True, slots=True)
class TrayRow:
    """A piece as the tray's list has it; ``why`` says why it cannot go in, None where it can."""

    case: str
    stage: str | None
    material: str | None
    painted: int  # zones that stain lies on
    why: str | None


@dataclass(frozen=True, slots=True)
class TrayShown:
    """A tray with who put it in, or said that it is out, and when that was stored."""

    tray: FurnaceTray
    by: str
    at: str

    @property
    def due(self) -> datetime | None:
        """When it is to come out; None where nobody said how long it takes."""
        tray = self.tray
        return moment(tray.put_in_at) + timedelta(minutes=tray.minutes) if tray.minutes is not None else None


# ---------------------------------------------------------------- what there is


def trays(book: Book | Transaction, state: str = "in") -> tuple[TrayShown, ...]:
    """The trays that are in the furnace, or of another state, the first one first."""
    return tuple(_shown(one) for one in book.trays(state))


def newest_out(book: Book) -> TrayShown | None:
    """The tray that was taken out last: its record can be undone."""
    return max(trays(book, "out"), key=lambda one: one.at, default=None)


def _shown(entered: Entered) -> TrayShown:
    return TrayShown(entered.record, entered.author, entered.created_at)


def pieces_in_the_lab(book: Book, known: Mapping[str, CurrentCase]) -> tuple[TrayPiece, ...]:
    """The pieces that did not leave the lab, as they are ``known``, with the trays that they are on."""
    on = {code: one for one in trays(book) for code in one.tray.cases}
    return tuple(TrayPiece(current, on.get(code)) for code, current in known.items())


def minutes_of(programmes: Sequence[Programme], name: str | None) -> str:
    """How long a programme takes, as it is written into a field; empty where nobody said."""
    found = next((one for one in programmes if one.programme == name), None)
    return f"{found.minutes:g}" if found is not None and found.minutes is not None else ""


# ---------------------------------------------------------------- what may go in


def tray_rows(
    pieces: Sequence[TrayPiece], wish: TrayWish, liquids: frozenset[str], ticked: Sequence[str] = ()
) -> tuple[TrayRow, ...]:
    """All pieces, those that may go in first; each that may not says why, beside those that are ticked too."""
    why = {one.code: cannot_go_in(one, wish, liquids) for one in pieces}
    first = next((one.current.case for one in pieces if one.code in ticked and why[one.code] is None), None)
    for one in pieces:
        if first is not None and why[one.code] is None and one.code != first.case:
            why[one.code] = cannot_share(one.current.case, first, ONE_FIRING, strict=False)
    return tuple(sorted((_row(one, why[one.code]) for one in pieces), key=lambda row: row.why is not None))


def _row(piece: TrayPiece, why: str | None) -> TrayRow:
    case = piece.current.case
    return TrayRow(case.case, case.stage, case.material, len(piece.current.state.unfired), why)


def cannot_go_in(piece: TrayPiece, wish: TrayWish, liquids: frozenset[str]) -> str | None:
    """Why a piece may not go into the furnace as it is; None where it may."""
    state, case, kind = piece.current.state, piece.current.case, wish.kind
    if piece.tray is not None:
        since, who = clock(piece.tray.tray.put_in_at), piece.tray.by
        return say("{case} is in the furnace since {at}, by {name}", case=case.case, at=since, name=who)
    zones = tuple(ZoneFired(one.tooth, one.zone, one.layers) for one in state.unfired)
    firing = Firing(case.case, now(), kind=kind)
    why = refusal(state, Event("fired", firing.fired_at, firing, zones=zones, kind=kind), liquids=liquids)
    return why or _not_ready(piece.current, kind) or _other_programme(piece.current, wish)


def _not_ready(current: CurrentCase, kind: str) -> str | None:
    """What has to be done to a piece first: dried, cleaned, painted, or fired otherwise."""
    state, code = current.state, current.case.case
    if state.stage == "green" and not state.dried:
        return say("{case} was not dried for sintering, expected it fully dry: moisture cracks it", case=code)
    if state.stage == "returned" and not (state.cleaned and state.dried):
        return say("{case} came back, expected it cleaned and slowly dried first: moisture cracks it", case=code)
    if kind in PAINTED_KINDS and not state.unfired:
        return say("nothing lies unfired on {case}, expected a painted piece", case=code)
    if kind == "glaze" and any(layer.pot.shares for one in state.unfired for layer in one.layers):
        return say(
            "stain lies unfired on {case}, expected nothing but glaze: fire it as {stain}, or as {both}",
            case=code,
            stain=firing_name("stain"),
            both=firing_name("stain+glaze"),
        )
    return None


def _other_programme(current: CurrentCase, wish: TrayWish) -> str | None:
    own = current.case.programme
    if own is None or wish.programme is None or own == wish.programme or wish.kind in ("sinter", "glaze"):
        return None
    return say(
        "{case}: found programme {own}, expected {other} as this tray",
        case=current.case.case,
        own=own,
        other=wish.programme,
    )


# ---------------------------------------------------------------- in, and out again


def put_in(book: Book, cases: Sequence[str], wish: TrayWish) -> FurnaceTray:
    """Note that pieces went into the furnace together, now.

    Raises InputError for no piece, one that may not go in as it is, and one that another bench put in meanwhile; then
    nothing is stored.
    """
    if wish.kind not in TRAY_KINDS:
        raise UnknownNameError(say("kind of firing"), wish.kind, TRAY_KINDS)
    if not cases:
        raise InputError(say("found no piece ticked, expected one or more"))
    minutes = typed_number(wish.minutes, say("minutes"), least=1.0, most=MOST_MINUTES) if wish.minutes.strip() else None
    codes, at = tuple(sorted(set(cases))), now()
    liquids = liquids_of(book.stains().values())
    with book.transaction() as step:  # few pieces, each folded once: another bench waits for that
        on = {code: one for one in trays(step) for code in one.tray.cases}
        pieces = [TrayPiece(known_case(step, code), on.get(code)) for code in codes]
        for one in pieces:
            why = cannot_go_in(one, wish, liquids)
            if why is None and one is not pieces[0]:
                why = cannot_share(one.current.case, pieces[0].current.case, ONE_FIRING, strict=False)
            if why is not None:
                raise InputError(say("{why}; nothing was stored", why=why))
        tray = FurnaceTray(
            _free_name(step, at), codes, at, wish.kind, wish.programme, wish.furnace, wish.operator, minutes
        )
        step.add_tray(tray)
    return tray


def _free_name(step: Transaction, at: str) -> str:
    """A name that no tray of the lab has: two benches may press within one second."""
    taken = set(step.names("tray"))
    names = (f"tray {at}", *(f"tray {at} {number}" for number in range(2, len(taken) + 3)))
    return next(one for one in names if one not in taken)


def not_in(book: Book, name: str, case: str | None = None) -> None:
    """Note that a tray never went in, or that one of its pieces was not on it; raises InputError for none in there."""
    with book.transaction() as step:
        tray = _in_furnace(step, name).tray
        if case is not None and case not in tray.cases:
            raise UnknownNameError(say("piece on this tray"), case, tray.cases)
        left = tuple(one for one in tray.cases if one != case) if case is not None else ()
        step.add_tray(replace(tray, cases=left) if left else replace(tray, state="undone", ended_at=now()))


def _in_furnace(book: Book | Transaction, name: str) -> TrayShown:
    """A tray that is in the furnace; raises InputError for one that somebody took out, by whom and when."""
    entered = book.entered("tray", name)
    if not entered:
        raise UnknownNameError(say("tray"), name, [one.tray.tray for one in trays(book)])
    last = _shown(entered[-1])
    if last.tray.state == "out":
        raise InputError(
            say(
                "this tray was taken out at {at}, by {name}; nothing was stored",
                at=clock(last.tray.ended_at or last.at),
                name=last.by,
            )
        )
    if last.tray.state != "in":
        raise InputError(
            say("{name} said at {at} that this tray never went in; nothing was stored", name=last.by, at=clock(last.at))
        )
    return last


def taken_out(book: Book, name: str) -> RecordResult:
    """Record one firing of all pieces of a tray, as they were painted when it went in, and that it is out.

    Raises InputError for a tray that is not in the furnace, and for a piece that was told otherwise meanwhile.
    """
    tray = _in_furnace(book, name).tray
    liquids = liquids_of(book.stains().values())
    reports = [_report(book, code, tray, liquids) for code in tray.cases if not _is_recorded(book, code, tray)]
    result = record_reports(book, reports)
    with book.transaction() as step:
        _in_furnace(step, name)
        step.add_tray(replace(tray, state="out", ended_at=now()))
    return result


def _is_recorded(book: Book, code: str, tray: FurnaceTray) -> bool:
    """Whether the book holds the firing already: somebody's machine stopped before it held that the tray is out."""
    return any(one.run == tray.tray for one in book.firings_of(code))


def _report(book: Book, code: str, tray: FurnaceTray, liquids: frozenset[str]) -> Report:
    """The firing of one piece; its time is when it went in, so what was read since stands after it."""
    current = known_case(book, code)
    why = cannot_go_in(TrayPiece(current), TrayWish(tray.kind), liquids) or _painted_since(book, code, tray)
    if why is not None:
        raise InputError(
            say("{why}; say that it was not on this tray, or undo what was noted since; nothing was stored", why=why)
        )
    firing = Firing(
        code, tray.put_in_at, tray.operator, tray.programme, furnace=tray.furnace, kind=tray.kind, run=tray.tray,
        accepted_by=current.state.accepted_by if tray.kind == "glaze" else None,
    )  # fmt: skip
    whole = fired_with(book, firing, book.painted(code) or Painted(code, tray.put_in_at, (), tray.operator))
    minutes = tray.minutes if code == tray.cases[0] else None  # they count once a firing
    return replace(whole, firing=replace(whole.firing, minutes=minutes), source=SOURCE)


def _painted_since(book: Book, code: str, tray: FurnaceTray) -> str | None:
    painted = book.painted(code)
    if painted is None or painted.painted_at <= tray.put_in_at:
        return None
    return say(
        "{case} was painted at {at}, after this tray went in at {since}",
        case=code,
        at=clock(painted.painted_at),
        since=clock(tray.put_in_at),
    )


def back_in(book: Book, name: str, *, why: str = BY_MISTAKE) -> None:
    """Undo that a tray was taken out: its firings hold no longer, in one step, and it is in the furnace again.

    Raises InputError for a tray that is not out, or where a later step rests on one of its firings; then nothing is
    changed.
    """
    entered = book.entered("tray", name)
    if not entered or entered[-1].record.state != "out":
        raise InputError(say("found no such tray that is out, expected one whose pieces were recorded"))
    tray: FurnaceTray = entered[-1].record
    told = [(code, one.fired_at) for code in tray.cases for one in book.firings_of(code) if one.run == tray.tray]
    take_back_firings(book, told, why=why, ended=replace(tray, state="in", ended_at=None))


def kinds() -> dict[str, str]:
    """The kinds of firings that a tray can be, in words."""
    return {kind: FIRINGS[kind] for kind in TRAY_KINDS}
