"""The report of a case as a PDF: what it is, the arch, every zone, how it was fired, what to mind."""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stainbook.language import joined, say, say_n, shown
from stainbook.records import LabValues
from stainbook.report.content import CaseReport, FiringReport, PhotoReport, ZoneReport
from stainbook.report.drawings import bar, draw_arch, jaws, planes, swatches
from stainbook.report.paper import INK, LINE, PALE, SMALL, SOFT, TITLE, Paper
from stainbook.stage_words import ACCEPTED, RETURNED
from stainbook.words import light_names as light_words
from stainbook.words.figures import tenths
from stainbook.words.places import place, zone_name
from stainbook.words.states import STATES, TOLERANCE
from stainbook.words.times import day, moment

ROW = 5.6  # mm
SWATCH = 5.0
LABEL = 30.0
PHOTO_WIDTH, PHOTO_HEIGHT = 130.0, 90.0  # at most
FOOT = say("A bench aid, not a medical device: it judges no fitness for use.")


@dataclass(frozen=True, slots=True)
class _Column:
    title: str
    width: float
    right: bool = False


def pdf_of(report: CaseReport) -> bytes:
    """The report as a PDF, A4, with its fonts inside.

    >>> from stainbook.report.content import CaseReport, ZoneReport
    >>> from stainbook.report.pdf import pdf_of
    >>> zone = ZoneReport(11, "middle", "tooth", target=(72.0, 2.0, 18.0))
    >>> pdf_of(CaseReport("Harbour Lane Ceramics", "W-1042", "2026-03-02", (), (), (zone,)))[:4]
    b'%PDF'
    """
    paper = Paper(joined(filter(None, [report.lab, report.case, day(report.made_on)]), "  "), FOOT)
    paper.set_title(shown(_name(report)))
    paper.set_creator("stainbook")
    paper.add_page()
    _title(paper, report)
    _arch(paper, report)
    if report.photo is not None:
        _photo(paper, report.photo)
    _zones(paper, report)
    _around(paper, report)
    _work(paper, report)
    _lines(paper, say("Notes"), report.notes)
    _lines(paper, say("Cautions"), report.cautions)
    return bytes(paper.output())


# ---------------------------------------------------------------- head


def _title(paper: Paper, report: CaseReport) -> None:
    if report.lab:
        paper.write_line(report.lab, 11.0, grey=SOFT)
    paper.write_line(_name(report), TITLE, bold=True)
    paper.ln(2.0)
    _facts(paper, report.facts)
    paper.ln(1.0)
    paper.write_line(_summary(report), bold=True)
    paper.ln(2.0)


def _name(report: CaseReport) -> str:
    return say("Colour report {case}", case=report.case)


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


def _summary(report: CaseReport) -> str:
    found = Counter(zone.state.known for zone in report.zones)
    told = joined([joined([str(found[state]), state.word], " ") for state in STATES if found[state]])
    expected = sum(zone.state.expected for zone in report.zones)
    if not expected:
        return say_n(
            "{n} zone against their thresholds: {states}.",
            "{n} zones against their thresholds: {states}.",
            len(report.zones),
            states=told,
        )
    return say_n(
        "{n} zone against their thresholds: {states}; {expected} of them expected, not read.",
        "{n} zones against their thresholds: {states}; {expected} of them expected, not read.",
        len(report.zones),
        states=told,
        expected=expected,
    )


def _arch(paper: Paper, report: CaseReport) -> None:
    for drawing in jaws(report.zones):
        draw_arch(paper, drawing, {zone.key: zone for zone in report.zones})
    used = {zone.state.known for zone in report.zones}
    signs = joined([joined([state.shape, state.word], " ") for state in STATES if state in used], "   ")
    said = say("Filled with the newest reading.   {signs}.   Printed colours are indicative.", signs=signs)
    paper.write_line(said, SMALL, grey=SOFT)


def _photo(paper: Paper, photo: PhotoReport) -> None:
    scale = min(PHOTO_WIDTH / photo.width, PHOTO_HEIGHT / photo.height)
    width, height = scale * photo.width, scale * photo.height
    paper.heading(say("Photo"), keep=height + 14.0)
    left, top = paper.l_margin + 0.5 * (paper.epw - width), paper.get_y()
    paper.image(io.BytesIO(photo.jpeg), left, top, width, height, alt_text=shown(photo.said))
    paper.set_y(top + height + 1.5)
    paper.write_line(photo.said, SMALL, grey=SOFT)


# ---------------------------------------------------------------- zones


def _zones(paper: Paper, report: CaseReport) -> None:
    columns = (
        _Column(say("tooth"), 12.0, right=True), _Column(say("zone"), 19.0),
        _Column(say("target L* a* b*"), 26.0, right=True), _Column(say("reading L* a* b*"), 27.0, right=True),
        _Column("", 2.0 * SWATCH + 3.0), _Column("ΔE00", 16.0, right=True), _Column("", 20.0),
        _Column(say("tolerance"), 18.0),
        *(_Column(light_words.short(light), 13.5, right=True) for light in report.lights),
    )  # fmt: skip
    paper.heading(say("Zones"))
    _head(paper, columns)
    for zone in report.zones:
        if paper.will_page_break(ROW):
            paper.add_page()
            _head(paper, columns)
        _zone(paper, columns, zone, report.lights)
    paper.ln(1.0)
    for line in _legend(report):
        paper.write_line(line, SMALL, grey=SOFT)


def _head(paper: Paper, columns: Sequence[_Column]) -> None:
    paper.ink(SMALL, bold=True)
    _cells(paper, columns, [column.title for column in columns])
    paper.set_draw_color(LINE)
    paper.line(paper.l_margin, paper.get_y(), paper.l_margin + paper.epw, paper.get_y())


def _zone(paper: Paper, columns: Sequence[_Column], zone: ZoneReport, lights: Sequence[str]) -> None:
    y = paper.get_y() + 0.5 * ROW
    lefts = [paper.l_margin + sum(column.width for column in columns[:n]) for n in range(len(columns))]
    swatches(paper, lefts[4] + 2.0, y, SWATCH, (zone.result, zone.target))
    bar(paper, zone, lefts[6] + 2.0, y, columns[6].width - 4.0)
    further = [_tenths(zone.lights.get(light)) for light in lights]
    said = (
        (joined([tenths(zone.dE00), tenths(zone.u)], " ± "), TOLERANCE[zone.grade])
        if zone.dE00 is not None and zone.u is not None
        else ("", "")
    )
    where = (str(zone.tooth), joined([zone_name(zone.zone), "*" if zone.note else ""], ""))
    paper.ink(SMALL)
    _cells(paper, columns, [*where, _lab(zone.target), _lab(zone.result), "", said[0], "", said[1], *further])
    paper.set_draw_color(PALE)
    paper.line(paper.l_margin, paper.get_y(), paper.l_margin + paper.epw, paper.get_y())


def _cells(paper: Paper, columns: Sequence[_Column], texts: Sequence[str]) -> None:
    x, y = paper.l_margin, paper.get_y()
    for column, text in zip(columns, texts, strict=True):
        if text:
            paper.put(x + 0.5, y + 0.5 * ROW, column.width - (1.5 if column.right else 1.0), text, right=column.right)
        x += column.width
    paper.set_y(y + ROW)


def _legend(report: CaseReport) -> Iterator[str]:
    yield say(
        "Swatches: reading, target; a cut corner marks a colour that a screen cannot show. ± holds the true difference "
        "in 95 of 100 cases, and the tolerance takes it into account. Line: 0 to twice the acceptable ΔE00, ticks at "
        "the perceptible and the acceptable one, the bar is the doubt."
    )
    if report.lights:
        lights = joined(map(light_words.light, report.lights))
        yield say("ΔE00 under {lights}, 10°: known where target and reading are spectra.", lights=lights)
    noted = [joined([place(zone.tooth, zone.zone), zone.note], ": ") for zone in report.zones if zone.note]
    if noted:
        yield joined(["* ", joined(noted, "; "), "."], "")


def _lab(lab: LabValues | None) -> str:
    return "" if lab is None else joined((_tenths(value) for value in lab), "  ")


def _tenths(value: float | None) -> str:
    return "" if value is None else tenths(value)


# ---------------------------------------------------------------- the rest


def _around(paper: Paper, report: CaseReport) -> None:
    if any(zone.dE00 is not None for zone in report.zones):
        paper.heading(say("Readings around their targets"), keep=95.0)
        planes(paper, report.zones)
        paper.write_line(say("The target is in the middle; filled: tooth, open: gum."), SMALL, grey=SOFT)


def _work(paper: Paper, report: CaseReport) -> None:
    _lines(paper, say("Firings"), [_firing(one) for one in report.firings])
    painted: dict[str, list[str]] = {}
    for zone in report.zones:
        for one in zone.put_on:
            painted.setdefault(one, []).append(place(zone.tooth, zone.zone))
    _lines(paper, say("Painted"), [joined([joined(zones), one], ": ") for one, zones in painted.items()])
    _lines(paper, say("Effects, drawn by eye"), report.effects)
    _lines(paper, say("Received"), report.received)


def _firing(firing: FiringReport) -> str:
    told = [moment(firing.fired_at)]
    if firing.programme:
        told.append(say("programme {programme}", programme=firing.programme))
    told += [one for one in (firing.furnace, firing.operator) if one]
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
    paper.heading(title)
    paper.ink(grey=INK)
    for line in lines:
        paper.write_line(line, 8.0)
        paper.ln(0.6)
