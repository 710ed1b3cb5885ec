"""The clinic's page: prescribed, reached, photo beside the tab, what to check, materials; zone numbers as an annex.

All of it stands on one page: drawings take the room that the text leaves, and the text shrinks where it is long.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stainbook.language import joined, say, say_n
from stainbook.report.content import AimReport, CaseReport, PhotoReport
from stainbook.report.drawings import jaws, swatches
from stainbook.report.paper import INK, LINE_HEIGHT, SMALL, SOFT, TEXT, TITLE, Paper, begun
from stainbook.report.pdf import draw_states
from stainbook.report.photo_on_paper import put_photo, size_of
from stainbook.report.zone_table import draw_zones, height_of
from stainbook.words import handed_over
from stainbook.words.times import day

LABEL = 30.0  # mm
ARCH_HEIGHT, ARCH_LEAST = 105.0, 34.0  # mm that the arch may take, and those that it needs to be read
PHOTO_WIDTH, PHOTO_HEIGHT, PHOTO_LEAST = 110.0, 75.0, 36.0  # mm
TAB = 9.0  # mm, a swatch
MOST_AIMS = 6  # swatches beside the photo
SMALLEST = 0.6  # of the size of the text
_STEP = 0.95


@dataclass(frozen=True, slots=True)
class _Paragraphs:
    """A label and what stands beside it."""

    label: str
    lines: Sequence[str]
    bold: bool = False


def clinic_pdf(report: CaseReport, *, annex: bool = True) -> bytes:
    """The clinic's page as a PDF, A4, with its fonts inside.

    annex : the zones' numbers follow, on pages of their own where the first has no room for them

    >>> from stainbook.report.clinic_pdf import clinic_pdf
    >>> from stainbook.report.content import CaseReport, ZoneReport
    >>> zone = ZoneReport(11, "middle", "tooth", target=(72.0, 2.0, 18.0))
    >>> clinic_pdf(CaseReport("Harbour Lane Ceramics", "W-1042", "2026-03-02", (), (), (zone,)))[:4]
    b'%PDF'
    """
    paper = begun(report.lab, report.case, report.made_on, _name(report))
    _title(paper, report)
    before, after = _before(report), _after(report)
    size = _size(paper, (*before, *after), _least(report))
    for part in before:
        _write(paper, part, size)
    room = paper.page_break_trigger - paper.get_y() - sum(_height(paper, part, size) for part in after) - 2.0
    _pictures(paper, report, room)
    paper.ln(1.5)
    for part in after:
        _write(paper, part, size)
    if annex and report.zones:
        if paper.will_page_break(height_of(paper, report) + 12.0):
            paper.add_page()
        paper.heading(say("Annex: the zones"))
        draw_zones(paper, report)
    return bytes(paper.output())


def _name(report: CaseReport) -> str:
    return say("Colour report {case}", case=report.case)


def _title(paper: Paper, report: CaseReport) -> None:
    paper.write_line(joined([one for one in (report.lab, day(report.made_on)) if one], "   "), 10.0, grey=SOFT)
    paper.write_line(_name(report), TITLE, bold=True)
    paper.ln(2.0)


def _before(report: CaseReport) -> list[_Paragraphs]:
    every = len(report.zones)
    aims = [handed_over.prescribed(one.said, one.zones, every) for one in report.aims]
    return [
        _Paragraphs(say("prescribed"), aims or [say("nothing yet")]),
        _Paragraphs(say("reached"), [handed_over.reached(report.zones)], bold=True),
    ]


def _after(report: CaseReport) -> list[_Paragraphs]:
    made = [joined([one for one in (report.material, say("finish {finish}", finish=report.finish)) if one])]
    lots = joined([handed_over.material(one.kind, one.name, one.lot) for one in report.materials], "; ")
    parts = (
        _Paragraphs(say("check wet, in daylight"), handed_over.look_at(report.zones, report.effects)),
        _Paragraphs(say("materials"), [*made, *([lots] if lots else [])]),
        _Paragraphs(say("mind"), report.cautions),
    )
    return [one for one in parts if one.lines]


# ---------------------------------------------------------------- text that fits


def _size(paper: Paper, parts: Sequence[_Paragraphs], least: float) -> float:
    """The largest size of the text that leaves the drawings their least room on the page."""
    size = TEXT
    while size > SMALLEST * TEXT:
        if paper.get_y() + sum(_height(paper, one, size) for one in parts) + least < paper.page_break_trigger - 4.0:
            break
        size *= _STEP
    return size


def _height(paper: Paper, part: _Paragraphs, size: float) -> float:
    return sum(paper.high(line, size, bold=part.bold, width=paper.epw - LABEL) + 0.4 for line in part.lines) + 1.6


def _write(paper: Paper, part: _Paragraphs, size: float) -> None:
    top = paper.get_y()
    paper.ink(min(SMALL, size), grey=SOFT)
    paper.set_xy(paper.l_margin, top)
    paper.multi_cell(LABEL - 3.0, size * LINE_HEIGHT, paper.drawable(part.label), align="L")
    paper.set_y(top)
    paper.ink(size, bold=part.bold, grey=INK)
    for line in part.lines:
        paper.set_x(paper.l_margin + LABEL)
        paper.multi_cell(
            paper.epw - LABEL, size * LINE_HEIGHT, paper.drawable(line), align="L", new_x="LMARGIN", new_y="NEXT"
        )
        paper.ln(0.4)
    paper.ln(1.6)


# ---------------------------------------------------------------- pictures


def _least(report: CaseReport) -> float:
    return ARCH_LEAST * len(jaws(report.zones)) + (PHOTO_LEAST if report.photo or report.aims else 0.0) + 10.0


def _pictures(paper: Paper, report: CaseReport, room: float) -> None:
    """Photo beside the tabs, then the arch, within so many mm."""
    count = len(jaws(report.zones))
    beside = room - count * ARCH_LEAST - 6.0
    if report.photo is not None:
        room -= _photo_and_tabs(paper, report.photo, report.aims, min(PHOTO_HEIGHT, max(PHOTO_LEAST, beside)))
    elif report.aims:
        room -= _tabs_in_a_row(paper, report.aims)
    if count:
        draw_states(paper, report, min(ARCH_HEIGHT, (room - 6.0) / count))


def _photo_and_tabs(paper: Paper, photo: PhotoReport, aims: Sequence[AimReport], height: float) -> float:
    """The photo at the left, what was prescribed and read at its right; gives the mm that it took."""
    top = paper.get_y()
    wide, high = size_of(photo, PHOTO_WIDTH, height - 8.0)
    put_photo(paper, photo, paper.l_margin, top, wide, high)
    left = paper.l_margin + wide + 5.0
    most = max(1, min(MOST_AIMS, int((high - 4.0) // (TAB + 2.0))))
    _heads(paper, left, top)
    for nth, aim in enumerate(aims[:most]):
        _tab(paper, aim, left, top + 4.0 + nth * (TAB + 2.0), paper.l_margin + paper.epw - left)
    paper.set_xy(paper.l_margin, top + high + 1.0)
    paper.write_line(photo.said, SMALL, grey=SOFT)
    paper.ln(1.0)
    return paper.get_y() - top


def _tabs_in_a_row(paper: Paper, aims: Sequence[AimReport]) -> float:
    """What was prescribed and read, two beside one another; gives the mm that it took."""
    top, half = paper.get_y(), 0.5 * paper.epw
    shown = aims[:MOST_AIMS]
    for nth in range(min(2, len(shown))):
        _heads(paper, paper.l_margin + half * nth, top)
    for nth, aim in enumerate(shown):
        _tab(paper, aim, paper.l_margin + half * (nth % 2), top + 4.0 + (nth // 2) * (TAB + 2.0), half)
    paper.set_y(top + 5.0 + (len(shown) + 1) // 2 * (TAB + 2.0))
    if len(aims) > len(shown):
        more = len(aims) - len(shown)
        paper.write_line(say_n("{n} more in the annex", "{n} more in the annex", more), SMALL, grey=SOFT)
    return paper.get_y() - top


def _heads(paper: Paper, left: float, top: float) -> None:
    paper.ink(SMALL, grey=SOFT)
    paper.put(left, top + 1.5, 60.0, say("prescribed, reached"))


def _tab(paper: Paper, aim: AimReport, left: float, top: float, width: float) -> None:
    middle = top + 0.5 * TAB
    swatches(paper, left, middle, TAB, (aim.target, aim.reached))
    paper.ink(SMALL)
    paper.put(left + 2.0 * TAB + 2.0, middle, width - 2.0 * TAB - 3.0, aim.said)
