"""A4 paper with the report's fonts, its head and foot, and text that wraps; units are mm and points."""

from __future__ import annotations

from importlib.resources import as_file, files
from typing import Any

from fpdf import FPDF
from fpdf.enums import MethodReturnValue, XPos, YPos

from stainbook.language import joined, say, shown
from stainbook.words.times import day

FONT = "report"
INK, SOFT, LINE, PALE = 20, 95, 150, 236  # grey levels, 0 black
MARGIN = 16.0
LINE_HEIGHT = 0.48  # mm of a line by its size in points
TEXT, SMALL, HEAD, TITLE = 9.0, 7.5, 12.0, 18.0  # points
FOOT = say("A bench aid, not a medical device: it judges no fitness for use.")
_UNKNOWN = "�"


class Paper(FPDF):
    """A document whose pages carry the case's code and their number."""

    def __init__(self, head: str, foot: str) -> None:
        super().__init__(orientation="portrait", unit="mm", format="A4")
        self._head, self._foot = head, foot
        self._add_fonts()
        self.set_margins(MARGIN, MARGIN)
        self.c_margin = 0.0
        self.set_auto_page_break(True, margin=MARGIN + 4.0)
        self.set_draw_color(LINE)
        self.ink()

    def _add_fonts(self) -> None:
        for style, name in (("", "DejaVuSans.ttf"), ("B", "DejaVuSans-Bold.ttf")):
            with as_file(files("stainbook.report") / "fonts" / name) as path:
                self.add_font(FONT, style, path)

    def header(self) -> None:
        """The head of every page but the first, which has its title."""
        if self.page_no() > 1:
            self.ink(SMALL, grey=SOFT)
            self.cell(0, 4.0, self.drawable(self._head), new_x=XPos.LMARGIN, new_y=YPos.NEXT)
            self.ln(2.0)

    def footer(self) -> None:
        """What the page is, and its number."""
        self.set_y(-MARGIN)
        self.ink(SMALL, grey=SOFT)
        self.cell(self.epw - 20.0, 4.0, self.drawable(self._foot))
        self.cell(20.0, 4.0, f"{self.page_no()} / {{nb}}", align="R")

    def ink(self, size: float = TEXT, *, bold: bool = False, grey: int = INK) -> None:
        """Choose size, weight and grey of what is written next."""
        self.set_font(FONT, "B" if bold else "", size)
        self.set_text_color(grey)

    def drawable(self, text: str) -> str:
        """Text in the language that is spoken, with a box for each letter that the fonts do not have."""
        known: Any = self.fonts[FONT].cmap  # type: ignore[union-attr]
        return "".join(one if ord(one) in known or one in "\n" else _UNKNOWN for one in shown(text))

    def write_line(self, text: str, size: float = TEXT, *, bold: bool = False, grey: int = INK) -> None:
        """A paragraph over the full width."""
        self.ink(size, bold=bold, grey=grey)
        self.multi_cell(0, size * LINE_HEIGHT, self.drawable(text), align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)

    def high(self, text: str, size: float = TEXT, *, bold: bool = False, width: float = 0.0) -> float:
        """The mm that a paragraph takes, over the full width where no other is given."""
        self.ink(size, bold=bold)
        found = self.multi_cell(
            width, size * LINE_HEIGHT, self.drawable(text), align="L", dry_run=True, output=MethodReturnValue.HEIGHT
        )
        return float(found)  # type: ignore[arg-type]

    def heading(self, text: str, *, keep: float = 30.0) -> None:
        """A heading, with room for ``keep`` mm under it on the same page."""
        self.ln(4.0)
        if self.will_page_break(keep):
            self.add_page()
        self.write_line(text, HEAD, bold=True)
        self.ln(1.0)

    def put(self, x: float, y: float, width: float, text: str, *, right: bool = False) -> None:
        """A word or number in a cell whose middle lies at ``y``; what is too long is cut off."""
        text = self.drawable(text)
        while text and self.get_string_width(text) > width:
            text = text[:-2] + "…" if len(text) > 2 else ""
        self.set_xy(x, y - 2.0)
        self.cell(width, 4.0, text, align="R" if right else "L")


def begun(lab: str, case: str, made_on: str, title: str) -> Paper:
    """A document of a case with its first page."""
    paper = Paper(joined([one for one in (lab, case, day(made_on)) if one], "  "), FOOT)
    paper.set_title(shown(title))
    paper.set_creator("stainbook")
    paper.add_page()
    return paper
