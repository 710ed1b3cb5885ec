"""Bench talk: mixes in parts, coats in words, shifts as value, chroma and hue."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import gcd, lcm

import numpy as np

from stainbook.colour import delta_e_2000, delta_e_2000_parts, lab_to_lch, lch_to_lab
from stainbook.optics.two_by_two import Array
from stainbook.records import CLEAR, Layers, Pot

_COUNTS = {1: "one coat", 2: "two coats", 3: "three coats", 4: "four coats", 5: "five coats"}
_FINEST = 64  # parts; finer shares are told in percent
_HUES = ((0.0, "red"), (90.0, "yellow"), (180.0, "green"), (270.0, "blue"), (360.0, "red"))
_NEXT_HUE = 15.0  # degrees: a colour is not said to turn towards what it already is
_OF = {" a touch": " a touch of", " a lot": " a lot of"}
_UNSEEN = 0.25  # ΔE00 of one part of a shift that is not worth a word


def mix(pot: Pot) -> str:
    """A pot as it is weighed out: ``1 part husk + 7 parts clear``."""
    shares = [(name, Fraction(share).limit_denominator(_FINEST)) for name, share in pot.shares]
    whole = lcm(*(share.denominator for _, share in shares)) if shares else 1
    exact = all(abs(float(part) - share) < 1e-6 for (_, part), (_, share) in zip(shares, pot.shares, strict=True))
    if not exact or whole > _FINEST:
        return " + ".join(f"{share:.3g} of {name}" for name, share in (*pot.shares, (CLEAR, pot.clear)) if share > 1e-9)
    parts = [(name, int(share * whole)) for name, share in shares]
    parts += [(CLEAR, whole - sum(count for _, count in parts))]
    used = [(name, count) for name, count in parts if count > 0]
    if len(used) == 1:
        return f"{used[0][0]} undiluted"
    common = gcd(*(count for _, count in used))
    return " + ".join(f"{n // common} part{'s' if n > common else ''} {name}" for name, n in used)


def coating(layers: Layers) -> str:
    """What to put on, bottom first: ``two coats of 1 part husk + 7 parts clear, dried, then one coat of …``."""
    return ", dried, then ".join(f"{_COUNTS.get(one.coats, f'{one.coats} coats')} of {mix(one.pot)}" for one in layers)


def shift(before: Array, after: Array, *, many: bool) -> str:
    """What layers do to value, chroma and hue; ``many`` picks the verb for several coats."""
    value, chroma, hue = (_amount(size) for size in single_parts(after, before))
    dC, dH = _chroma_and_hue(after, before)
    s = "" if many else "s"
    told = []
    if value is not None:
        told.append(f"take{s} value down{value}" if after[0] < before[0] else f"lift{s} value{value}")
    if chroma is not None:
        told.append(f"add{s}{_OF.get(chroma, chroma)} chroma" if dC > 0 else f"take{s} chroma down{chroma}")
    if hue is not None:
        told.append(f"turn{s} hue{hue} towards {hue_towards(before, dH)}")
    return _listed(told) if told else f"hardly change{s} the colour"


def remainder(lab: Array, target: Array, perceptible: float) -> str:
    """What is still wrong afterwards, the largest part first in ΔE00."""
    if float(delta_e_2000(lab, target)) <= 0.5 * perceptible:
        return "ends on the target"
    value, chroma, hue = single_parts(lab, target)
    dC, dH = _chroma_and_hue(lab, target)
    words = (
        (value, "dark" if lab[0] < target[0] else "light"),
        (chroma, "strong in chroma" if dC > 0 else "weak in chroma"),
        (hue, hue_towards(target, dH)),
    )
    size, word = max(words)
    amount = "slightly " if size < 1.5 * perceptible else "" if size < 4.0 * perceptible else "far "
    return f"stays {amount}too {word}"


def single_parts(lab: Array, target: Array) -> tuple[float, float, float]:
    """ΔE00 of the difference in value alone, chroma alone, hue alone."""
    (L, C, h), (goal_L, goal_C, goal_h) = lab_to_lch(lab), lab_to_lch(target)
    moved = lch_to_lab(np.array([[L, goal_C, goal_h], [goal_L, C, goal_h], [goal_L, goal_C, h]]))
    value, chroma, hue = (float(one) for one in delta_e_2000(moved, target))
    return value, chroma, hue


def hue_towards(lab: Array, dH: float) -> str:
    """The hue that a colour nears when it turns by the sign of ΔH′."""
    h = float(lab_to_lch(lab)[2])
    if dH > 0:
        return next((name for at, name in _HUES if at > h + _NEXT_HUE), "yellow")
    return next((name for at, name in reversed(_HUES) if at < h - _NEXT_HUE), "blue")


def _chroma_and_hue(lab: Array, other: Array) -> tuple[float, float]:
    parts = delta_e_2000_parts(lab, other)
    return float(parts.dC), float(parts.dH)


def _amount(size: float) -> str | None:
    """How much, with a blank before it; None when it is not worth a word."""
    if size < _UNSEEN:
        return None
    return " a touch" if size < 0.8 else " a little" if size < 2.5 else "" if size < 6.0 else " a lot"


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
