"""A wrong tooth that was noticed late: its zones move to the right number with all that is known of them.

Targets, readings, what was painted and fired, and what is chosen next go with it, at whatever stage the piece is: they
are facts of the tooth that was in the hand. When and by whom each was told stays; what it said before stays in the
history. A sheet that was printed before names the wrong tooth, so its mark holds no longer.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from stainbook.book import Book
from stainbook.book.case_state import CaseState
from stainbook.book.marks import choice_holds, zone_mark
from stainbook.book.teeth_renamed import TeethRenamed, of_case
from stainbook.errors import InputError
from stainbook.files.case_zones import place_of
from stainbook.kept import Choice, StepDone
from stainbook.language import joined, say
from stainbook.records import Case
from stainbook.words.places import place
from stainbook.words.teeth import called
from stainbook.work.case.current_case import CurrentCase, What, known_case
from stainbook.work.case.new_case import teeth_of
from stainbook.work.case.open_case import brought_in, now, store_wish_in, wish_of

_PAIR = re.compile(r"\s*(\d+)\s*(?:=|→|:)\s*(\d+)\s*")


def teeth_called(said: Iterable[str]) -> dict[int, int]:
    """Old and new numbers as they are typed, ``12=11``; raises InputError for what is none.

    >>> teeth_called(["12=11", "11=12"])
    {12: 11, 11: 12}
    """
    found: dict[int, int] = {}
    for text in said:
        pair = _PAIR.fullmatch(text)
        if pair is None:
            raise InputError(say("found {text}, expected the wrong and the right tooth, such as 12=11", text=text))
        (old,), (new,) = teeth_of(pair[1]), teeth_of(pair[2])
        if found.setdefault(old, new) != new:
            raise InputError(say("found {tooth} a second time, expected each tooth once", tooth=old))
    return found


def rename_teeth(book: Book, what: What, teeth: Mapping[int, int]) -> Case:
    """Call teeth of a case by other numbers, old to new, in one step; gives the case as it is now.

    Raises InputError for a tooth that the case has not, and for zones that would meet others; then nothing is stored.
    """
    current = brought_in(book, what)
    code, state = current.case.case, current.state
    _check(current, teeth)
    other = replace(of_case(current.case, teeth), words=frozenset(zone for _, zone in _keys(book, current)))
    with book.transaction() as step:
        wish = other.record(wish_of(current.case))
        store_wish_in(step, replace(wish, renamed=tuple(teeth.items())), current)
        step.tell_otherwise(_told(book, current, other), why=called(teeth))
        step.add_steps([StepDone(code, "noted", now(), why=called(teeth), number=str(len(current.events)))])
        step.add_choices(_chosen(state, known_case(step, code).state, other))
    return known_case(book, code).case


def _check(current: CurrentCase, teeth: Mapping[int, int]) -> None:
    code, state = current.case.case, current.state
    known = list(dict.fromkeys(str(zone.tooth) for zone in current.case.zones))
    if not teeth or any(old == new for old, new in teeth.items()):
        raise InputError(say("found no other number, expected the wrong and the right tooth, such as 12=11"))
    for old in teeth:
        if str(old) not in known:
            raise InputError(
                say(
                    "{case} has no tooth {tooth}, expected one of {teeth}",
                    case=code,
                    tooth=old,
                    teeth=joined(map(str, known)),
                )
            )
    if len(set(teeth.values())) < len(teeth):
        raise InputError(say("found one number for two teeth, expected another one for each"))
    had = dict.fromkeys([*(zone.key for zone in current.case.zones), *state.zones])
    other = of_case(current.case, teeth)
    stay = {place_of(*key) for key in had if key[0] not in teeth}
    for key in had:
        if key[0] in teeth and place_of(*other.key(key)) in stay:
            raise InputError(
                say(
                    "{zone} is or was in the case already. Remove it where it is empty and was never read, or exchange "
                    "the two teeth: {old}={new} {new}={old}",
                    zone=place(*other.key(key)),
                    old=key[0],
                    new=teeth[key[0]],
                )
            )


def _keys(book: Book, current: CurrentCase) -> set[tuple[int, str]]:
    """Every zone that the case ever had."""
    entered = (zone.key for one in book.entered("case", current.case.case) for zone in one.record.zones)
    return {*entered, *current.state.zones}


def _told(book: Book, current: CurrentCase, other: TeethRenamed) -> dict[str, Any]:
    """The rows that name the teeth, by their seals, as they are told under the right numbers."""
    code = current.case.case
    samples = [f"{code}-{tooth}-{word}" for tooth in other.teeth for word in sorted(other.words)]
    rows = book.rows_naming(code, samples)
    told = {one.seal: other.record(one.record) for one in rows}
    kinds = {one.kind for one in rows if told[one.seal] != one.record}
    whole = kinds & {"painted"}  # the newest row alone says what lies on the piece: all of them, in their order
    return {one.seal: told[one.seal] for one in rows if one.kind in whole or told[one.seal] != one.record}


def _chosen(before: CaseState, after: CaseState, other: TeethRenamed) -> Sequence[Choice]:
    """What is chosen next of the zones that moved, for their standing under the right number."""
    held = {
        other.key(key): one.choice
        for key, one in before.chosen.items()
        if key[0] in other.teeth and one.choice.kind and choice_holds(before, one)
    }
    stale: Collection[tuple[int, str]] = [
        key for key in before.chosen if key[0] in {*other.teeth, *other.teeth.values()} and key not in held
    ]
    moved = [replace(one, tooth=key[0], zone=key[1], made_for=zone_mark(after, key)) for key, one in held.items()]
    return [*(Choice(before.case, *key, kind="") for key in stale), *moved]
