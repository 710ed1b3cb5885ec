"""What chances and radii were worth, in words: for the command and the page of numbers."""

from __future__ import annotations

from collections.abc import Mapping

from stainbook.language import joined, say, say_n
from stainbook.words.chances import chance
from stainbook.words.figures import tenths

CHOSEN = say("painted as chosen")
LOOKED_ON = say("looked on at")
HOLDS, TOO_HIGH, TOO_LOW = (
    say("the chances hold"),
    say("the chances are claimed too high"),
    say("the chances are claimed too low"),
)
_INSIDE = 0.9  # what the radius is to hold


def percent(share: float) -> str:
    """A share of zones.

    >>> percent(0.784)
    '78\\xa0%'
    """
    return f"{100.0 * share:.0f}\u00a0%"


def unknown(zones: int, needed: int, what: str) -> str:
    """That so few zones tell nothing yet.

    >>> unknown(7, 20, CHOSEN)
    'Unknown yet: 7 zones painted as chosen and read after, 20 are needed.'
    """
    return say_n(
        "Unknown yet: {n} zone {what} and read after, {needed} are needed.",
        "Unknown yet: {n} zones {what} and read after, {needed} are needed.",
        zones,
        what=what,
        needed=needed,
    )


def known(zones: int, firings: int, claimed: float, met: tuple[float, float, float], what: str) -> str:
    """What was claimed of zones and what came; ``met`` is the share with its interval.

    >>> known(143, 31, 0.82, (0.79, 0.71, 0.85), CHOSEN).replace("\\xa0", " ")
    '143 zones painted as chosen, of 31 firings: 82 % expected in tolerance, 79 % came out so (likely 71 % to 85 %): \
the chances hold.'
    """
    share, low, high = met
    return say(
        "{zones} {what}, of {firings}: {claimed} expected in tolerance, {share} came out so (likely {low} to {high}): "
        "{verdict}.",
        zones=_zones(zones),
        what=what,
        firings=say_n("{n} firing", "{n} firings", firings),
        claimed=percent(claimed),
        share=percent(share),
        low=percent(low),
        high=percent(high),
        verdict=TOO_HIGH if claimed > high else TOO_LOW if claimed < low else HOLDS,
    )


def radius(zones: int, inside: float, low: float, high: float) -> str:
    """How many zones lay inside the radius that was to hold 9 in 10.

    >>> radius(143, 0.88, 0.81, 0.92).replace("\\xa0", " ")
    'The 9-in-10 radius held 88 % of 143 zones (likely 81 % to 92 %): it holds.'
    """
    if low <= _INSIDE <= high:
        verdict = say("it holds")
    else:
        verdict = say("it is too small") if high < _INSIDE else say("it is wider than needed")
    return say(
        "The 9-in-10 radius held {inside} of {zones} (likely {low} to {high}): {verdict}.",
        inside=percent(inside),
        zones=_zones(zones),
        low=percent(low),
        high=percent(high),
        verdict=verdict,
    )


def beside(zones: int, claimed: float, met: float, expected: float, got: float) -> str:
    """The hand beside the program's own first step.

    >>> beside(143, 0.82, 0.79, 0.84, 0.97).replace("\\xa0", " ")
    '143 zones painted by the hand alone: 79 % came out in tolerance, ΔE00 1.0 on average; of its own step \
the program claimed 82 %, ΔE00 0.8.'
    """
    return say(
        "{zones} painted by the hand alone: {met} came out in tolerance, ΔE00 {got} on average; of its own step the "
        "program claimed {claimed}, ΔE00 {expected}.",
        zones=_zones(zones),
        met=percent(met),
        got=tenths(got),
        claimed=percent(claimed),
        expected=tenths(expected),
    )


def step_beside(step: str, expected: float | None, accept: float | None, painted: float | None) -> str:
    """What the program would have done on one zone, and what it claimed of what was painted.

    >>> step_beside("2 coats of (peat alone)", 0.84, 0.81, 0.42)
    'the program would have taken 2 coats of (peat alone): ΔE00 0.8 expected, about 8 in 10; of what was painted it \
said about 4 in 10'
    """
    if expected is None or accept is None:
        claimed = say("unknown")
    else:
        claimed = say("ΔE00 {expected} expected, {chance}", expected=tenths(expected), chance=chance(accept))
    return say(
        "the program would have taken {step}: {claimed}; of what was painted it said {painted}",
        step=step,
        claimed=claimed,
        painted=chance(painted) if painted is not None else say("nothing"),
    )


def left_out(counts: Mapping[str, int]) -> str:
    """Zones of which nothing can be said, by the reason; empty where there is none.

    >>> left_out({"not read": 2, "wrong": 1})
    'Not counted: 2 zones not read after the firing; 1 zone confirmed as a wrong sample or mix.'
    """
    said = [say("{zones} {why}", zones=_zones(number), why=_LEFT_OUT[why]) for why, number in counts.items() if number]
    return say("Not counted: {zones}.", zones=joined(said, "; ")) if said else ""


def _zones(count: int) -> str:
    return say_n("{n} zone", "{n} zones", count)


_LEFT_OUT = {
    "not read": say("not read after the firing"),
    "no target": say("without a target when they were read"),
    "lights": say("judged in several lights"),
    "other light": say("read in another light than claimed"),
    "wrong": say("confirmed as a wrong sample or mix"),
}
