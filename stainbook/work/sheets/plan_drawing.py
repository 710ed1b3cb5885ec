"""One pass over the piece as a drawing: all teeth in a row, the mix of each zone and a dot for each coat.

In a row, not along the arch: the thirds of molars then stand over one another with room for a letter that is
read at arm's length on one printed page.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stainbook.report.arch_shapes import Drawing, Shape, draw_jaw, is_upper
from stainbook.words import mixes
from stainbook.words.escaping import escape

Key = tuple[int, str]
_SIZE = 3.0  # mm of the drawn piece; on paper letters of 3 to 4 mm
_MANY, _SMALLER = 4, 0.8  # letters and dots from which on they are drawn smaller
_LINE = 0.22  # mm
_SPARE, _BETWEEN = 1.5, 0.68  # mm from the broad end of a papilla to its mark, and how small that is


def drawn_pass(zones: Sequence[tuple[int, str, str]], marks: Mapping[Key, tuple[str, int]], heading: str) -> str:
    """The jaws of a case as SVG.

    Parameters
    ----------
    zones : tooth, zone and tissue of all zones of the case
    marks : what goes on a zone: the mix by its letter or name, and its coats
    """
    jaws = [[zone for zone in zones if is_upper(zone[0]) == upper] for upper in (True, False)]
    return "".join(_svg(draw_jaw(jaw, in_row=True), marks, heading) for jaw in jaws if jaw)


def _svg(drawing: Drawing, marks: Mapping[Key, tuple[str, int]], heading: str) -> str:
    x, y, width, height = drawing.box
    outlines = [_outline(shape, painted=(shape.tooth, shape.zone) in marks) for shape in drawing.shapes]
    letters = [
        _mark(_place(shape), *marks[shape.tooth, shape.zone], small=shape.zone == "papilla")
        for shape in drawing.shapes
        if (shape.tooth, shape.zone) in marks
    ]
    numbers = [_text(number.at, str(number.tooth), 0.8 * _SIZE) for number in drawing.numbers]
    box = f"{x:.1f} {y:.1f} {width:.1f} {height:.1f}"
    said = escape(heading)
    return f'<svg viewBox="{box}" role="img" aria-label="{said}">{"".join([*outlines, *letters, *numbers])}</svg>'


def _outline(shape: Shape, *, painted: bool) -> str:
    points = " ".join(f"{px:.1f},{py:.1f}" for px, py in shape.outline[::4])
    fill = "#e4e4e4" if painted else "#fff"
    return f'<polygon points="{points}" fill="{fill}" stroke="#555" stroke-width="{_LINE}"/>'


def _place(shape: Shape) -> tuple[float, float]:
    """Where the mark stands: of a papilla between those of the neck and the gum edge beside it."""
    x, y = shape.centre
    if shape.zone != "papilla":
        return x, y
    ends = shape.outline[:, 1].min() + _SPARE, shape.outline[:, 1].max() - _SPARE
    return x, float(ends[0] if is_upper(shape.tooth) else ends[1])


def _mark(at: tuple[float, float], name: str, coats: int, *, small: bool) -> str:
    """The letter with its dots."""
    said = mixes.mark(name, coats)
    size = _BETWEEN * _SIZE if small else _SIZE if len(said) < _MANY else _SMALLER * _SIZE
    return _text(at, said, size)


def _text(at: tuple[float, float], said: str, size: float) -> str:
    place = f'x="{at[0]:.1f}" y="{at[1] + 0.35 * size:.1f}" font-size="{size:.2f}"'
    return f'<text {place} text-anchor="middle" font-family="sans-serif">{escape(said)}</text>'
