"""What the display of an instrument shows, drawn: which of its numbers are asked for, and where its light stands."""

from __future__ import annotations

from stainbook.language import say
from stainbook.words.escaping import escape

_LINE = 'fill="none" stroke="currentColor" stroke-width="2" stroke-linejoin="round" stroke-linecap="round"'
_ROWS = (("L*", "72.4"), ("a*", "1.2"), ("b*", "15.0"))


def display_markup() -> str:
    """A display with L*, a*, b*, a light and an observer; each has its name beside it."""
    rows = "".join(
        f'<text x="34" y="{52 + 26 * i}" font-size="19">{name}</text>'
        f'<text x="126" y="{52 + 26 * i}" font-size="19" text-anchor="end">{value}</text>'
        for i, (name, value) in enumerate(_ROWS)
    )
    boxes = ((8, 8, 144, 132, 12), (20, 26, 120, 100, 0))
    body = "".join(f'<rect x="{x}" y="{y}" width="{w}" height="{h}" rx="{r}" {_LINE}/>' for x, y, w, h, r in boxes)
    head = '<text x="28" y="120" font-size="13">D65</text>'
    head += '<text x="132" y="120" font-size="13" text-anchor="end">10°</text>'
    arrows = f'<path d="M176 58H148m7-6l-7 6l7 6M176 116H148m7-6l-7 6l7 6" {_LINE}/>'
    said = say("the three numbers"), say("light and observer")
    names = "".join(
        f'<text x="184" y="{y}" font-size="15">{escape(text)}</text>' for y, text in zip((63, 121), said, strict=True)
    )
    label = escape(say("A display with L*, a*, b*, below them its light and its observer"))
    drawn = f'<g fill="currentColor" stroke="none">{rows}{head}{names}</g>'
    return (
        f'<svg class="display" viewBox="0 0 340 148" width="340" style="max-width:100%" role="img" '
        f'aria-label="{label}">{body}{arrows}{drawn}</svg>'
    )
