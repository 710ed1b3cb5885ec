"""What chances and radii were worth, in words: for the command and the page of numbers."""

from __future__ import annotations

from collections.abc import Mapping

from stainbook.words.chances import chance
from stainbook.words.figures import counted, tenths

CHOSEN = "painted as chosen"
LOOKED_ON = "looked on at"
HOLDS, TOO_HIGH, TOO_LOW = "the chances hold", "the chances are claimed too high", "the chances are claimed too low"
LEFT_OUT = {
    "not read": "not read after the firing",
    "no target": "without a target when they were read",
    "lights": "judged in several lights",
    "other light": "read in another light than claimed",
    "wrong": "confirmed as a wrong sample or mix",
}


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
    return f"Unknown yet: {counted(zones, 'zone')} {what} and read after, {needed} are needed."


def known(zones: int, firings: int, claimed: float, met: tuple[float, float, float], what: str) -> str:
    """What was claimed of zones and what came; ``met`` is the share with its interval.

    >>> known(143, 31, 0.82, (0.79, 0.71, 0.85), CHOSEN).replace("\\xa0", " ")
    '143 zones of 31 firings painted as chosen: 82 % expected in tolerance, 79 % came out so (likely 71 to 85 %): \
the chances hold.'
    """
    share, low, high = met
    verdict = TOO_HIGH if claimed > high else TOO_LOW if claimed < low else HOLDS
    likely = f"{100.0 * low:.0f} to {percent(high)}"
    return (
        f"{counted(zones, 'zone')} of {counted(firings, 'firing')} {what}: {percent(claimed)} expected in tolerance, "
        f"{percent(share)} came out so (likely {likely}): {verdict}."
    )


def radius(zones: int, inside: float, low: float, high: float) -> str:
    """How many zones lay inside the radius that was to hold 9 in 10."""
    likely = f"{100.0 * low:.0f} to {percent(high)}"
    verdict = "it holds" if low <= 0.9 <= high else "it is too small" if high < 0.9 else "it is wider than needed"
    return f"The 9-in-10 radius held {percent(inside)} of {counted(zones, 'zone')} (likely {likely}): {verdict}."


def beside(zones: int, claimed: float, met: float, expected: float, got: float) -> str:
    """The hand beside the program's own first step."""
    return (
        f"{counted(zones, 'zone')} painted by the hand alone: {percent(met)} came out in tolerance, ΔE00 "
        f"{tenths(got)} on average; of its own step the program claimed {percent(claimed)}, ΔE00 {tenths(expected)}."
    )


def step_beside(step: str, expected: float | None, accept: float | None, painted: float | None) -> str:
    """What the program would have done on one zone, and what it claimed of what was painted.

    >>> step_beside("2 coats of (peat alone)", 0.84, 0.81, 0.42)
    'the program would have taken 2 coats of (peat alone): ΔE00 0.8 expected, about 8 in 10; of what was painted it \
said about 4 in 10'
    """
    claimed = f"ΔE00 {tenths(expected)} expected, {chance(accept)}" if None not in (expected, accept) else "unknown"  # type: ignore[arg-type]
    own = chance(painted) if painted is not None else "nothing"
    return f"the program would have taken {step}: {claimed}; of what was painted it said {own}"


def left_out(counts: Mapping[str, int]) -> str:
    """Zones of which nothing can be said, by the reason; empty where there is none."""
    said = "; ".join(f"{counted(number, 'zone')} {LEFT_OUT[why]}" for why, number in counts.items() if number)
    return f"Not counted: {said}." if said else ""
