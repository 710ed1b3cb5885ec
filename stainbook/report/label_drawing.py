"""The label of a job tray: the case's code in large letters and as a QR code, drawn as SVG and as PDF; units are mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stainbook.language import shown
from stainbook.report.paper import INK, SOFT, Paper
from stainbook.words.escaping import escape

WIDTH, HEIGHT = 70.0, 40.0
_EDGE = 3.0
_QR = 32.0  # with its quiet zone
_QUIET = 4  # modules of white around it, ISO/IEC 18004
_POINT = 0.3528  # mm
_NARROW = 0.8  # width of a letter against its height, of a W at most 1: a long code is set smaller


@dataclass(frozen=True, slots=True)
class LabelContent:
    """What a label says: the case's code, lines below it, and the address that its QR code opens, if any."""

    case: str
    lines: tuple[str, ...] = ()
    address: str | None = None


def qr_rows(address: str) -> tuple[tuple[bool, ...], ...]:
    """The modules of a QR code, row by row, dark ones true, without the white around them.

    >>> len(qr_rows("http://bench.local:8501/case?case=0123456789abcdef")[0])
    33
    """
    import segno

    code = segno.make(address, error="m", micro=False, boost_error=False)
    return tuple(tuple(bool(one) for one in row) for row in code.matrix)


def _size(content: LabelContent) -> float:
    """The height of the code's letters in mm, so that all of it stands on the label."""
    return min(8.0, _room(content) / (_NARROW * max(len(content.case), 1)))


def _room(content: LabelContent) -> float:
    """The width beside the QR code."""
    return WIDTH - 2 * _EDGE - (_QR + 1.0 if content.address else 0.0)


def label_svg(content: LabelContent) -> str:
    """The label as SVG that loads nothing.

    >>> label_svg(LabelContent("W-1042"))[:4], "<path" in label_svg(LabelContent("W-1042"))
    ('<svg', False)
    """
    size, code = _size(content), escape(content.case)
    told = "".join(
        f'<text x="{_EDGE}" y="{_EDGE + size + 5.0 * (n + 1):.1f}" font-size="3.4">{escape(line)}</text>'
        for n, line in enumerate(content.lines)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH:g}mm" height="{HEIGHT:g}mm" '
        f'viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img" aria-label="{code}" font-family="sans-serif">'
        f'<rect width="{WIDTH:g}" height="{HEIGHT:g}" fill="#fff"/>'
        f'<text x="{_EDGE}" y="{_EDGE + size:.2f}" font-size="{size:.2f}" font-weight="bold">{code}</text>'
        f"{told}{_qr_path(content.address) if content.address else ''}</svg>"
    )


def _qr_path(address: str) -> str:
    rows = qr_rows(address)
    step = _QR / (len(rows) + 2 * _QUIET)
    squares = "".join(
        f"M{column + _QUIET},{line + _QUIET}h1v1h-1z"
        for line, row in enumerate(rows)
        for column, dark in enumerate(row)
        if dark
    )
    left, top = WIDTH - _EDGE - _QR, (HEIGHT - _QR) / 2
    return (
        f'<path transform="translate({left:g} {top:g}) scale({step:.5f})" d="{squares}" shape-rendering="crispEdges"/>'
    )


def label_pdf(content: LabelContent) -> bytes:
    """The label as a PDF of its own size, with its fonts inside.

    >>> label_pdf(LabelContent("W-1042", ("11, 21",), "http://bench.local:8501/case?case=0123456789abcdef"))[:4]
    b'%PDF'
    """
    paper = _LabelPaper("", "")
    paper.set_title(shown(content.case))
    paper.set_creator("stainbook")
    paper.set_auto_page_break(False)
    paper.add_page(orientation="landscape", format=(HEIGHT, WIDTH))
    size = _size(content)
    paper.ink(size / _POINT, bold=True, grey=INK)
    paper.put(_EDGE, _EDGE + size / 2, _room(content), content.case)
    _lines(paper, content.lines, _EDGE + size, _room(content))
    if content.address:
        _draw_qr(paper, content.address)
    return bytes(paper.output())


class _LabelPaper(Paper):
    """Paper of a label: no head, no foot."""

    def header(self) -> None:
        """Nothing."""

    def footer(self) -> None:
        """Nothing."""


def _lines(paper: Paper, lines: Sequence[str], top: float, width: float) -> None:
    paper.ink(3.4 / _POINT, grey=SOFT)
    for number, line in enumerate(lines):
        paper.put(_EDGE, top + 5.0 * (number + 1) - 1.2, width, line)


def _draw_qr(paper: Paper, address: str) -> None:
    rows = qr_rows(address)
    step = _QR / (len(rows) + 2 * _QUIET)
    left, top = WIDTH - _EDGE - _QR + _QUIET * step, (HEIGHT - _QR) / 2 + _QUIET * step
    paper.set_fill_color(0)
    for line, row in enumerate(rows):
        for column, dark in enumerate(row):
            if dark:
                paper.rect(left + column * step, top + line * step, step, step, style="F")
