"""One pass over the piece as a drawing: the arch with the mix of each zone and a dot for each coat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stainbook.report.arch_shapes import Drawing, draw_jaw, is_upper
from stainbook.words import mixes
from stainbook.words.escaping import escape

Key = tuple[int, str]
_LETTERS = 4  # of a mix's own name that a zone has room for


def drawn_pass(zones: Sequence[tuple[int, str, str]], marks: Mapping[Key, tuple[str, int]], heading: str) -> str:
    """The jaws of a case as SVG.

    Parameters
    ----------
    zones : tooth, zone and tissue of all zones of the case
    marks : what goes on a zone: the mix by its letter or name, and its coats
    """
    jaws = [[zone for zone in zones if is_upper(zone[0]) == upper] for upper in (True, False)]
    return "".join(_svg(draw_jaw(jaw), marks, heading) for jaw in jaws if jaw)


def _svg(drawing: Drawing, marks: Mapping[Key, tuple[str, int]], heading: str) -> str:
    x, y, width, height = drawing.box
    size = 0.026 * width
    parts = []
    for shape in drawing.shapes:
        mark = marks.get((shape.tooth, shape.zone))
        points = " ".join(f"{px:.1f},{py:.1f}" for px, py in shape.outline[::4])
        fill = "#e4e4e4" if mark else "none"
        parts.append(f'<polygon points="{points}" fill="{fill}" stroke="#555" stroke-width="{0.003 * width:.2f}"/>')
        if mark:
            parts.append(_text(shape.centre, mixes.mark(mark[0][:_LETTERS], mark[1]), size))
    parts += [_text(number.at, str(number.tooth), 0.8 * size) for number in drawing.numbers]
    box = f"{x:.1f} {y:.1f} {width:.1f} {height:.1f}"
    said = escape(heading)
    return f'<svg viewBox="{box}" role="img" aria-label="{said}">{"".join(parts)}</svg>'


def _text(at: tuple[float, float], said: str, size: float) -> str:
    place = f'x="{at[0]:.1f}" y="{at[1] + 0.35 * size:.1f}" font-size="{size:.1f}"'
    return f'<text {place} text-anchor="middle" font-family="sans-serif">{escape(said)}</text>'
