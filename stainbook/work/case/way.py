"""The way of a piece: which step may come next, and steps that were done, told and undone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stainbook.book import Book
from stainbook.book.case_state import CaseState
from stainbook.book.events import Event, Key, ZoneFired
from stainbook.book.fold import BARE, FIRED
from stainbook.book.possible import cannot_go, cannot_stand, refusal
from stainbook.errors import InputError, UnknownNameError
from stainbook.files.guide import zone_word
from stainbook.files.values import instant
from stainbook.kept import BY_MISTAKE, PaintedZone, StepDone
from stainbook.language import say
from stainbook.records import Layers
from stainbook.stage_words import stage_name, step_name
from stainbook.work.case.current_case import CurrentCase, What, known_case
from stainbook.work.case.open_case import brought_in, now

DID = ("milled", "coloured", "dried", "sintered", "ground", "polished", "blasted", "cleaned", "stripped", "try-in",
       "back", "bonded")  # fmt: skip


@dataclass(frozen=True, slots=True)
class WayShown:
    """One step of the way of a piece: a stage word with its moment, ``now`` where the piece stands.

    One that is still ``ahead`` has no moment.
    """

    word: str
    at: str
    now: bool = False
    ahead: bool = False


@dataclass(frozen=True, slots=True)
class WayStrip:
    """The way of a piece, so far and ahead, what may be noted next, the likeliest first, and the step to be undone."""

    way: tuple[WayShown, ...]
    next: tuple[str, ...]
    last: str | None


def did(
    book: Book,
    what: What,
    step: str,
    *,
    zones: Sequence[Key] = (),
    at: str | None = None,
    operator: str | None = None,
    layers: Layers = (),
    why: str | None = None,
    run: str | None = None,
) -> CurrentCase:
    """Note that a step was done to a piece, or to some of its zones; ``layers`` are the liquids of a colouring.

    Raises UnknownNameError for a word that is no step and a zone that the case has not, InputError for a step that
    cannot follow what the piece is; then nothing is stored.
    """
    if step not in DID:
        raise UnknownNameError(say("step of a piece's way"), step, DID)
    current = brought_in(book, what)
    code, state = current.case.case, current.state
    keys = _known_zones(current, zones)
    painted = tuple(PaintedZone(*key, layers) for key in (keys or _teeth(current))) if step == "coloured" else ()
    stop = refusal(state, Event(step, _moment(at)))
    if stop is not None and at is None:
        raise InputError(say("{stop}; nothing was stored", stop=stop))
    if step == "coloured":
        _check_liquids(book, layers)
    told = StepDone(
        code,
        step,
        _moment(at),
        zones=keys,
        painted=painted,
        stage="green" if step == "milled" else None,
        operator=operator,
        why=why,
        run=run,
        seen=current.seen,
        number=str(len(current.events)),
    )
    new = Event(
        step,
        told.at,
        told,
        number=1 << 62,
        zones=tuple(ZoneFired(one.tooth, one.zone, one.layers) for one in painted),
        keys=keys,
        kind=told.stage,
    )
    stop = cannot_stand(current.events, new)
    if stop is not None:
        raise InputError(say("{stop}; nothing was stored", stop=stop))
    book.add_steps([told])
    return known_case(book, code)


def _check_liquids(book: Book, layers: Layers) -> None:
    stains = book.stains()
    for name in {name for layer in layers for name in layer.pot.stains}:
        if name not in stains:
            raise UnknownNameError(say("stain"), name, stains)
        if stains[name].kind != "infiltrating":
            raise InputError(say("{stain} does not soak in, expected liquids for an unsintered piece", stain=name))


def undo_did(book: Book, code: str, step: str, *, why: str = BY_MISTAKE) -> CurrentCase:
    """Undo the newest step of that word; raises InputError where there is none, or a later one rests on it."""
    current = known_case(book, code)
    found = next((one for one in reversed(current.events) if one.what == step and one.what in DID), None)
    if found is None:
        raise InputError(say("{code} was not {step}, expected a step that was noted", code=code, step=step_name(step)))
    stop = cannot_go(current.events, [found.id])
    if stop is not None:
        raise InputError(say("{code}: {step} is not undone: {reason}", code=code, step=step_name(step), reason=stop))
    book.undo_rows([found.id], why=why)
    return known_case(book, code)


def _known_zones(current: CurrentCase, zones: Sequence[Key]) -> tuple[Key, ...]:
    have = {zone.key for zone in current.case.zones}
    for tooth, zone in zones:
        if (tooth, zone) not in have:
            names = (f"{t} {z}" for t, z in have)
            raise UnknownNameError(say("zone of {case}:", case=current.case.case), f"{tooth} {zone}", names)
    return tuple(zones)


def _teeth(current: CurrentCase) -> tuple[Key, ...]:
    return tuple(zone.key for zone in current.case.zones if zone.tissue == "tooth" and not zone.by_hand)


def zones_named(text: str) -> list[Key]:
    """Zones as they are typed, ``11 cervical, 11 middle``; raises InputError for what is none."""
    found = []
    for part in (one.strip() for one in text.replace(";", ",").split(",")):
        tooth, _, zone = part.partition(" ")
        if not part:
            continue
        if not tooth.isdecimal() or not zone.strip():
            raise InputError(
                say("found the zone {part!r}, expected a tooth and a zone, such as 11 cervical", part=part)
            )
        found.append((int(tooth), zone_word(zone.strip())))
    return found


def _moment(at: str | None) -> str:
    if at is None:
        return now()
    found = instant(at)
    if found is None:
        raise InputError(say("found the time {at!r}, expected ISO 8601, such as 2026-03-02T10:40", at=at))
    from stainbook.files.outcome import utc

    return utc(found.isoformat())


# ---------------------------------------------------------------- what may come next


def next_steps(state: CaseState) -> tuple[str, ...]:
    """The steps that may come next on a piece, the likeliest first; firings and readings are told elsewhere."""
    stage = state.stage
    if state.out:
        return ("back",)
    if stage == "green":
        return ("sintered",) if state.dried else ("dried", "coloured") if state.coloured else ("coloured", "dried")
    if stage == "sintered":
        return "blasted", "ground", "polished"
    if stage in BARE:
        return "polished", "ground"
    if stage in FIRED:
        return "try-in", "polished", "ground", "stripped", "bonded"
    if stage == "returned":
        return ("dried", "ground", "stripped") if state.cleaned else ("cleaned",)
    return ()


def strip_of(current: CurrentCase, *, liquids: bool = False) -> WayStrip:
    """The way of a piece as a page shows it; ``liquids``: the lab has some that may go into it."""
    state = current.state
    last = state.last
    undone = last.what if last and last.what in DID and last.id else None
    return WayStrip((*way_of(state), *ahead_of(current, liquids=liquids)), next_steps(state), undone)


def ahead_of(current: CurrentCase, *, liquids: bool = False) -> tuple[WayShown, ...]:
    """The steps that this piece will take yet: of its own form and finish, none that is behind it."""
    state, case = current.state, current.case
    stage = state.stage
    if stage is None or stage in ("trial", "delivered"):
        return ()
    finishes = {zone.finish or case.finish for zone in case.zones if not zone.by_hand} or {case.finish}
    green, bare = stage == "green", stage == "green" or stage in BARE
    stains = case.limits.firings_left > 0
    ahead = (
        ("coloured", green and liquids and not state.coloured),
        ("sintered", green),
        ("blasted", green or stage == "sintered"),
        ("stained", bare and stains),
        ("glazed", "glaze" in finishes and (bare or stage == "stained")),
        ("try-in", not state.out and stage != "bonded"),
        ("delivered", True),
    )
    behind = {one.word for one in way_of(state)} if stage != "returned" else set()
    words = [_word(name) for name, is_ahead in ahead if is_ahead]
    return tuple(WayShown(word, "", ahead=True) for word in words if word not in behind)


def _word(name: str) -> str:
    return _SHOWN.get(name) or stage_name(name)


def way_of(state: CaseState) -> tuple[WayShown, ...]:
    """The stages that a piece passed with their moments, and where it stands."""
    passed: dict[str, str] = {}
    for one in state.way:
        word = _STRIP.get(one.what)
        if one.what == "opened":
            word = one.said if one.said in ("green", "trial") else None
        if one.what == "fired":
            word = {"sinter": "sintered", "liquids": "sintered", "glaze": "glazed", "stain+glaze": "glazed"}.get(
                one.said, "stained"
            )
        if word is not None:
            passed[word] = one.at
    here = "try-in" if state.out else "coloured" if state.stage == "green" and state.coloured else state.stage
    if here and here not in passed:
        passed[here] = state.last.at if state.last is not None else ""
    return tuple(WayShown(_word(one), at, one == here) for one, at in passed.items())


_STRIP = {
    "milled": "green", "coloured": "coloured", "sintered": "sintered", "blasted": "blasted", "try-in": "try-in",
    "bonded": "bonded", "delivered": "delivered", "returned": "returned",
}  # fmt: skip
_SHOWN = {"coloured": say("coloured"), "try-in": say("try-in")}  # beside the stages
