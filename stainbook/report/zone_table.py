"""The zones of a report as a table on paper: what is empty for all of them has no column."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from stainbook.language import joined, say
from stainbook.records import LabValues
from stainbook.report.content import CaseReport, ZoneReport
from stainbook.report.drawings import bar, swatches
from stainbook.report.notes import notes_of
from stainbook.report.paper import LINE, PALE, SMALL, SOFT, Paper
from stainbook.words import light_names as light_words
from stainbook.words.figures import tenths
from stainbook.words.places import zone_name
from stainbook.words.states import BY_EYE, TOLERANCE

ROW = 4.6  # mm
SWATCH = 4.0

Cell = Callable[[ZoneReport], str]


@dataclass(frozen=True, slots=True)
class _Column:
    """``cell`` writes a zone's text; ``draw`` draws into the cell from its left and middle, over its width."""

    title: str
    width: float
    cell: Cell
    right: bool = False
    draw: Callable[[Paper, ZoneReport, float, float, float], None] | None = None


def draw_zones(paper: Paper, report: CaseReport) -> None:
    """The table of all zones with its legend."""
    columns = _with_room(paper, _columns(report), report.zones)
    _head(paper, columns)
    for zone in report.zones:
        if paper.will_page_break(ROW):
            paper.add_page()
            _head(paper, columns)
        _zone(paper, columns, zone)
    paper.ln(1.0)
    for line in _legend(report):
        paper.write_line(line, SMALL, grey=SOFT)


def height_of(paper: Paper, report: CaseReport) -> float:
    """The mm that the table and its legend take on one page."""
    return ROW * (len(report.zones) + 1) + 1.0 + sum(paper.high(line, SMALL) for line in _legend(report))


def _columns(report: CaseReport) -> list[_Column]:
    """The columns that say something of any zone."""
    every = (
        _Column(say("tooth"), 12.0, lambda one: str(one.tooth), right=True),
        _Column(say("zone"), 25.0, lambda one: joined([zone_name(one.zone), "*" if one.note else ""], "")),
        _Column(say("target L* a* b*"), 26.0, lambda one: _lab(one.target), right=True),
        _Column(say("reading L* a* b*"), 27.0, lambda one: _lab(one.result), right=True),
        _Column("", 2.0 * SWATCH + 4.0, lambda one: " " if one.result or one.target else "", draw=_squares),
        _Column("ΔE00", 16.0, _apart, right=True),
        _Column("", 16.0, lambda one: " " if one.dE00 is not None and one.u is not None else "", draw=_bar),
        _Column(say("tolerance"), 18.0, _tolerance),
        *(_Column(light_words.short(light), 13.0, _under(light), right=True) for light in report.lights),
    )
    return [one for one in every if any(one.cell(zone) for zone in report.zones)]


def _with_room(paper: Paper, columns: list[_Column], zones: Sequence[ZoneReport]) -> list[_Column]:
    """The columns with the zones' names as wide as the longest one asks, as far as the page has room."""
    paper.ink(SMALL)
    _, named, *_ = columns
    asked = max((paper.get_string_width(paper.drawable(named.cell(zone))) for zone in zones), default=0.0) + 1.5
    room = paper.epw - sum(column.width for column in columns)
    wider = min(max(asked - named.width, 0.0), max(room, 0.0))
    return [replace(one, width=one.width + wider) if one is named else one for one in columns]


def _under(light: str) -> Cell:
    def cell(zone: ZoneReport) -> str:
        return _tenths(zone.lights.get(light))

    return cell


def _apart(zone: ZoneReport) -> str:
    return joined([tenths(zone.dE00), tenths(zone.u)], " ± ") if zone.dE00 is not None and zone.u is not None else ""


def _tolerance(zone: ZoneReport) -> str:
    if not zone.grade or zone.u is None:
        return ""
    return BY_EYE.word if zone.by_eye else TOLERANCE[zone.grade]


def _squares(paper: Paper, zone: ZoneReport, x: float, y: float, width: float) -> None:
    swatches(paper, x + 2.0, y, SWATCH, (zone.result, zone.target))


def _bar(paper: Paper, zone: ZoneReport, x: float, y: float, width: float) -> None:
    bar(paper, zone, x + 2.0, y, width - 4.0)


def _head(paper: Paper, columns: Sequence[_Column]) -> None:
    paper.ink(SMALL, bold=True)
    _cells(paper, columns, [column.title for column in columns])
    paper.set_draw_color(LINE)
    paper.line(paper.l_margin, paper.get_y(), paper.l_margin + paper.epw, paper.get_y())


def _zone(paper: Paper, columns: Sequence[_Column], zone: ZoneReport) -> None:
    x, y = paper.l_margin, paper.get_y() + 0.5 * ROW
    for column in columns:
        if column.draw is not None:
            column.draw(paper, zone, x, y, column.width)
        x += column.width
    paper.ink(SMALL)
    _cells(paper, columns, [column.cell(zone) for column in columns])
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
    if any(zone.result for zone in report.zones):
        yield say(
            "Swatches: reading, target; a cut corner marks a colour that a screen cannot show. ± holds the true "
            "difference in 95 of 100 cases, and the tolerance takes it into account. Line: 0 to twice the acceptable "
            "ΔE00, ticks at the perceptible and the acceptable one, the bar is the doubt."
        )
    known = [light for light in report.lights if any(zone.lights.get(light) is not None for zone in report.zones)]
    if known:
        lights = joined(map(light_words.light, known))
        yield say("ΔE00 under {lights}, 10°: known where target and reading are spectra.", lights=lights)
    noted = notes_of(report)
    if noted:
        yield joined(["* ", joined(noted, " ")], "")


def _lab(lab: LabValues | None) -> str:
    return "" if lab is None else joined((_tenths(value) for value in lab), "  ")


def _tenths(value: float | None) -> str:
    return "" if value is None else tenths(value)
