"""Mixes on the scale: weights that keep the shares as nearly as the scale's step allows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import ceil

from stainbook.errors import InputError
from stainbook.language import say
from stainbook.records import CLEAR, Pot
from stainbook.work.documents.plan_schemas import PlannedPot, Weighed

GOOD = 0.05  # relative error of a share that is lost in the scatter of the hand, some 12 % a coat
_ROUNDING = 1e-9


def weigh(shares: Mapping[str, float], grams: float, step: float) -> Weighed:
    """A batch of at least ``grams`` of a mix, in multiples of the scale's ``step`` in grams.

    The smallest portion is rounded up to the step and the others follow it. ``off`` takes rounding and
    half a step of reading the scale together. Raises InputError for weights that are not above 0.
    """
    if not (grams > 0.0 and step > 0.0):
        raise InputError(
            say(
                "found a batch of {grams:g} g on a scale of {step:g} g steps, expected both above 0",
                grams=grams,
                step=step,
            )
        )
    pot = Pot.of(dict(shares))
    parts = {name: share for name, share in (*pot.shares, (CLEAR, pot.clear)) if share > _ROUNDING}
    smallest = min(parts.values())
    total = ceil(grams * smallest / step - _ROUNDING) * step / smallest
    steps = {name: max(round(total * share / step), 1) for name, share in parts.items()}
    whole = sum(steps.values())
    off = max(abs(steps[name] / whole / share - 1.0) + 0.5 / steps[name] for name, share in parts.items())
    decimals = max(0, -_exponent(step))
    return Weighed(grams={name: round(count * step, decimals) for name, count in steps.items()}, off=off)


def least_batch(shares: Mapping[str, float], step: float) -> float:
    """The grams from which on the smallest portion of a mix can be weighed well enough."""
    pot = Pot.of(dict(shares))
    smallest = min(share for share in (*(share for _, share in pot.shares), pot.clear) if share > _ROUNDING)
    return 0.5 * step / GOOD / smallest


def too_coarse(pots: Iterable[PlannedPot], step: float) -> list[str]:
    """A line for each mix whose smallest portion a scale of this step cannot weigh well enough."""
    return [
        say(
            "mix {mix}: a step of {step:g} g makes a share {off:.0f} % uncertain; make {grams:.2g} g or more of it, or "
            "dilute in two steps",
            mix=one.id,
            step=step,
            off=100 * one.weighed.off,
            grams=least_batch(one.pot, step),
        )
        for one in pots
        if one.weighed is not None and one.weighed.off > GOOD
    ]


def _exponent(step: float) -> int:
    """The power of ten of the last digit of a step such as 0.05."""
    digits = f"{step:.6f}".rstrip("0").partition(".")[2]
    return -len(digits)
