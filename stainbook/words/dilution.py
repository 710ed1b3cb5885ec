"""How a fresh mix is made without weighing little: from a mix that stands ready, else in two steps."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from stainbook.language import say_n
from stainbook.words.mixes import CLEAR_GLAZE, THINNER, mix

WEIGHED_WELL = 1 / 8  # share of a stain below which a fresh mix is thinned in two steps
_SAME = 1e-6


def dilution_of(
    pot: Mapping[str, float], stock: Mapping[str, Mapping[str, float]], *, liquid: bool = False
) -> str | None:
    """How a fresh mix is made without weighing little: from a mix that stands ready, else in two steps.

    Parameters
    ----------
    pot : each stain's share of the whole, 0 to 1; the rest is clear glaze or thinning liquid
    stock : the same of each mix that stands ready, by its name
    liquid : the stains soak in

    Returns
    -------
    The sentence; None where the parts can be weighed out as they are

    >>> dilution_of({"husk": 1 / 16}, {})
    'first 1 part husk + 1 part clear; then 1 part of that + 7 parts clear'
    >>> dilution_of({"husk": 1 / 16}, {"pale husk": {"husk": 1 / 8}})
    '1 part pale husk + 1 part clear'
    """
    for name, ready in sorted(stock.items()):
        share = _share_of(pot, ready)
        if share is not None and share < 1.0:
            return mix({name: share}, liquid=liquid)
    with_one = _with_one_stain(pot, stock, liquid)
    if with_one is not None:
        return with_one
    if min(pot.values(), default=1.0) >= WEIGHED_WELL:
        return None
    strong, whole = 1, sum(pot.values())
    while 2 * strong * whole <= 0.5:
        strong *= 2
    if strong == 1:
        return None
    first = mix({name: strong * share for name, share in pot.items()}, liquid=liquid)
    return say_n(
        "first {first}; then 1 part of that + {n} part {thinner}",
        "first {first}; then 1 part of that + {n} parts {thinner}",
        strong - 1,
        first=first,
        thinner=THINNER if liquid else CLEAR_GLAZE,
    )


def _share_of(pot: Mapping[str, float], ready: Mapping[str, float]) -> float | None:
    """The share of a mix that stands ready in a mix of the same stains in the same proportion."""
    if set(pot) != set(ready):
        return None
    shares = [pot[name] / ready[name] for name in pot]
    return shares[0] if max(shares) - min(shares) < _SAME and shares[0] <= 1.0 + _SAME else None


def _with_one_stain(pot: Mapping[str, float], stock: Mapping[str, Mapping[str, float]], liquid: bool) -> str | None:
    """A mix that stands ready and one stain more, where that gives the mix in plain parts."""
    for name, ready in sorted(stock.items()):
        for stain in sorted(pot):
            rest = {one: share for one, share in pot.items() if one != stain}
            share = _share_of(rest, {one: value for one, value in ready.items() if one != stain}) if rest else None
            if share is None:
                continue
            extra = pot[stain] - share * ready.get(stain, 0.0)
            plain = all(abs(one - float(Fraction(one).limit_denominator(32))) < _SAME for one in (share, extra))
            if extra > _SAME and plain and share + extra <= 1.0 + _SAME:
                return mix({name: share, stain: extra}, liquid=liquid)
    return None
