"""The job file of a case as a PDF: what it is made of, the arch, every zone, how it was fired, what to mind."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.language import joined, say
from stainbook.report.content import CaseReport, FiringReport
from stainbook.report.drawings import draw_arch, jaws, planes
from stainbook.report.paper import INK, SMALL, SOFT, TITLE, Paper, begun
from stainbook.report.photo_on_paper import draw_photo
from stainbook.report.zone_table import draw_zones
from stainbook.stage_words import ACCEPTED, RETURNED, firing_name
from stainbook.words import handed_over
from stainbook.words.places import by_zone
from stainbook.words.states import STATES
from stainbook.words.times import moment

LABEL = 30.0  # mm
ARCH_HEIGHT, PHOTO_WIDTH, PHOTO_HEIGHT = 90.0, 110.0, 70.0  # mm, at most
PLANE = 52.0  # mm
_TIGHTER = (1.0, 0.8, 0.6)  # sizes of the drawings, tried until no last page is nearly blank
_BARE = 0.3  # of a page's height, below which it is


def pdf_of(report: CaseReport) -> bytes:
    """The job file as a PDF, A4, with its fonts inside.

    >>> from stainbook.report.content import CaseReport, ZoneReport
    >>> from stainbook.report.pdf import pdf_of
    >>> zone = ZoneReport(11, "middle", "tooth", target=(72.0, 2.0, 18.0))
    >>> pdf_of(CaseReport("Harbour Lane Ceramics", "W-1042", "2026-03-02", (), (), (zone,)))[:4]
    b'%PDF'
    """
    first, bare = _made(report, _TIGHTER[0])
    for tight in _TIGHTER[1:]:
        if not bare:
            break
        tighter, bare = _made(report, tight)
        first = first if bare else tighter
    return first


def _made(report: CaseReport, tight: float) -> tuple[bytes, bool]:
    """The document, its drawings so many times their size; and whether its last page holds next to nothing."""
    paper = begun(report.lab, report.case, report.made_on, say("Job file {case}", case=report.case))
    _title(paper, report)
    draw_states(paper, report, tight * ARCH_HEIGHT)
    _work(paper, report)
    if report.photo is not None:
        paper.heading(say("Photo"), keep=tight * PHOTO_HEIGHT + 10.0)
        draw_photo(paper, report.photo, PHOTO_WIDTH, tight * PHOTO_HEIGHT)
    if report.zones:
        paper.heading(say("Zones"))
        draw_zones(paper, report)
    if any(zone.dE00 is not None for zone in report.zones):
        paper.heading(say("Readings around their targets"), keep=tight * PLANE + 8.0)
        planes(paper, report.zones, tight * PLANE)
        paper.write_line(say("The target is in the middle; filled: tooth, open: gum."), SMALL, grey=SOFT)
    _lines(paper, say("Notes"), report.notes)
    _lines(paper, say("Cautions"), report.cautions)
    bare = paper.page_no() > 1 and paper.get_y() < _BARE * paper.h
    return bytes(paper.output()), bare


# ---------------------------------------------------------------- head


def _title(paper: Paper, report: CaseReport) -> None:
    if report.lab:
        paper.write_line(report.lab, 11.0, grey=SOFT)
    paper.write_line(say("Job file {case}", case=report.case), TITLE, bold=True)
    paper.ln(2.0)
    _facts(paper, report.facts)
    aims = [handed_over.prescribed(aim.said, aim.zones, len(report.zones)) for aim in report.aims]
    if aims:
        _fact(paper, (say("prescribed"), joined(aims, "; ")), paper.l_margin, paper.get_y(), wraps=True)
    paper.ln(1.0)
    paper.write_line(handed_over.reached(report.zones), bold=True)
    paper.ln(2.0)


def _facts(paper: Paper, facts: Sequence[tuple[str, str]]) -> None:
    """Short ones two in a row, long ones in rows of their own below them."""
    paper.ink()
    half = 0.5 * paper.epw - LABEL
    short = [fact for fact in facts if paper.get_string_width(paper.drawable(fact[1])) < half - 2.0]
    for nth, fact in enumerate(short):
        x, y = paper.l_margin + (half + LABEL) * (nth % 2), paper.get_y()
        _fact(paper, fact, x, y)
        paper.set_y(y if nth % 2 == 0 and nth + 1 < len(short) else y + 4.6)
    for fact in facts:
        if fact not in short:
            _fact(paper, fact, paper.l_margin, paper.get_y(), wraps=True)


def _fact(paper: Paper, fact: tuple[str, str], x: float, y: float, *, wraps: bool = False) -> None:
    paper.ink(SMALL, grey=SOFT)
    paper.put(x, y + 2.0, LABEL, fact[0])
    paper.ink()
    paper.set_xy(x + LABEL, y)
    if wraps:
        paper.multi_cell(paper.epw - LABEL, 4.3, paper.drawable(fact[1]), align="L", new_x="LMARGIN", new_y="NEXT")
    else:
        paper.put(x + LABEL, y + 2.0, 0.5 * paper.epw - LABEL, fact[1])


def draw_states(paper: Paper, report: CaseReport, highest: float) -> None:
    """The arch with each zone's reading and state, no higher than so many mm a jaw, and what its signs say."""
    for drawing in jaws(report.zones):
        draw_arch(paper, drawing, {zone.key: zone for zone in report.zones}, highest)
    if report.zones:
        used = {zone.state.known for zone in report.zones}
        signs = joined([joined([state.shape, state.word], " ") for state in STATES if state in used], "   ")
        said = say("Filled with the newest reading.   {signs}.   Printed colours are indicative.", signs=signs)
        paper.write_line(said, SMALL, grey=SOFT)


# ---------------------------------------------------------------- the work


def _work(paper: Paper, report: CaseReport) -> None:
    made = [handed_over.material(one.kind, one.name, one.lot) for one in report.materials]
    _lines(paper, say("Materials"), [joined(made, "; ")] if made else [])
    _lines(paper, say("Firings"), [_firing(one) for one in report.firings])
    painted: dict[str, list[tuple[int, str]]] = {}
    for zone in report.zones:
        for one in zone.put_on:
            painted.setdefault(one, []).append(zone.key)
    _lines(paper, say("Painted"), [joined([by_zone(zones), one], ": ") for one, zones in painted.items()])
    _lines(paper, say("Effects, drawn by eye"), report.effects)
    _lines(paper, say("Received"), report.received)


def _firing(firing: FiringReport) -> str:
    told = [moment(firing.fired_at)]
    if firing.kind:
        told.append(firing_name(firing.kind))
    if firing.programme:
        told.append(say("programme {programme}", programme=firing.programme))
    told += [one for one in (firing.furnace, firing.operator) if one]
    if firing.checked_by:
        told.append(say("checked by {who}", who=firing.checked_by))
    if firing.minutes:
        told.append(say("{minutes:.0f} minutes", minutes=firing.minutes))
    if firing.lots:
        told.append(say("lots {lots}", lots=firing.lots))
    if firing.accepted_by:
        told.append(say("accepted by {who}", who=ACCEPTED.get(firing.accepted_by, firing.accepted_by)))
    if firing.returned:
        told.append(say("returned for {reason}", reason=RETURNED.get(firing.returned, firing.returned)))
    return joined(told)


def _lines(paper: Paper, title: str, lines: Sequence[str]) -> None:
    if not lines:
        return
    paper.heading(title, keep=18.0)
    paper.ink(grey=INK)
    for line in lines:
        paper.write_line(line, 8.0)
        paper.ln(0.6)
