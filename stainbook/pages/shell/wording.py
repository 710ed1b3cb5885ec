"""Numbers and records as the bench says them; the fixed words come from ``texts``."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from stainbook.faces.view_types import hue_towards, parts_of
from stainbook.pages.shell import texts
from stainbook.work.documents.schemas import AdvisedZone, ColourResult, Gap, Move, PaintedLayer

_UNBREAKABLE = re.compile(r"(?<=[0-9]) (?=part)|(?<=part) |(?<=parts) ")
UNSAID = 0.5  # L*a*b* units: a smaller difference of value, chroma or hue is called right


def one_decimal(value: float) -> str:
    """``7.3``, with a real minus sign."""
    return f"{value + 0.0:.1f}".replace("-0.0", "0.0").replace("-", "−")


def mix(shares: Mapping[str, float]) -> str:
    """``1 part husk + 7 parts clear``; a number and what it counts do not part at a line's end."""
    said = parts_of(shares)
    return _UNBREAKABLE.sub("\u00a0", said) if said else texts.CLEAR_ALONE


def layer(painted: PaintedLayer) -> str:
    """``1 part husk + 7 parts clear, 2 coats``."""
    return f"{mix(painted.pot)}, {painted.coats}\u00a0coat{'s' if painted.coats > 1 else ''}"


def layers(painted: Sequence[PaintedLayer]) -> list[str]:
    """One line a layer, bottom first."""
    return [(texts.DRY_BEFORE if place else "") + layer(one) for place, one in enumerate(painted)]


def step(move: Move) -> list[str]:
    """A next step in one line or more."""
    said = layers(move.layers)
    if move.kind == "add":
        return said or [texts.CLEAR_ALONE]
    head = texts.KINDS[move.kind] + (f": {move.body}" if move.body else "")
    return [head, *said]


def verdict(zone: AdvisedZone) -> str:
    """What is to be said of a zone before its steps: nothing where stain goes on."""
    head = texts.VERDICTS.get(zone.verdict) if zone.gap else None
    said = ": ".join(part for part in (head, zone.why) if part)
    if not said and not zone.moves:
        return texts.NO_STEP
    return f"{said[0].upper()}{said[1:]}." if said else ""


def direction(delta: float, words: tuple[str, str]) -> str:
    """``▲ 3.2 too light``: which way the piece is off, and by how much."""
    if abs(delta) < UNSAID:
        return f"right ({one_decimal(delta)})"
    return f"{'▲' if delta > 0 else '▼'} {one_decimal(abs(delta))} too {words[delta < 0]}"


def value(gap: Gap) -> str:
    """The value of the piece against its target."""
    return direction(gap.dL, ("light", "dark"))


def chroma(gap: Gap) -> str:
    """The chroma of the piece against its target."""
    return direction(gap.dC, ("strong", "weak"))


def hue(gap: Gap, target: ColourResult | None) -> str:
    """The hue of the piece against its target: towards which colour it is off."""
    if abs(gap.dH) < UNSAID or target is None:
        return f"right ({one_decimal(gap.dH)})"
    return f"{'↺' if gap.dH > 0 else '↻'} {one_decimal(abs(gap.dH))} too {hue_towards(target, gap.dH)}"


def viewing(colour: ColourResult | None) -> str:
    """``D65, 10°``."""
    if colour is None:
        return texts.NOT_STATED
    if colour.observer is None or colour.illuminant == "unknown":
        return texts.OWN_SCALE
    return f"{colour.illuminant}, {colour.observer}°"


def lab(colour: ColourResult | None) -> str:
    """``L* 72.8, a* 0.9, b* 13.2``."""
    if colour is None:
        return texts.NOTHING_THERE
    return f"L* {one_decimal(colour.L)}, a* {one_decimal(colour.a)}, b* {one_decimal(colour.b)}"


def moment(at: str) -> str:
    """``2026-03-02 10:40`` of a time as the book keeps it, in UTC."""
    return f"{at[:10]} {at[11:16]} UTC"


def counted(text: str, n: int, **others: str) -> str:
    """A text with a number in it, in the singular for one: ``{n} zones`` to ``1 zone``."""
    said = text.format(n=n, **others)
    return re.sub(r"\b1 (zone|reading|coat|layer|time)s\b", r"1 \1", said)
