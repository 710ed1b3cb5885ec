"""How a shot is set up, drawn in lines of the page's colour: lights, polarisers, the plane of the card, distance."""

from __future__ import annotations

from collections.abc import Mapping

from stainbook.language import say
from stainbook.words.escaping import escape

_LINE = 'fill="none" stroke="currentColor" stroke-width="2" stroke-linejoin="round"'
_DASHED = f'{_LINE} stroke-dasharray="5 4"'
_WORD = 'fill="currentColor" font-size="14"'


def drawings_markup(words: Mapping[str, str]) -> str:
    """Drawings, each with its sentence; ``words`` by drawing: lights, polarisers, plane, distance, sheet, twice."""
    drawn = {
        "lights": _lights, "polarisers": _polarisers, "plane": _plane, "distance": _distance, "sheet": _sheet,
        "twice": _twice,
    }  # fmt: skip
    return "".join(_figure(drawn[name](), sentence) for name, sentence in words.items())


def _figure(drawing: str, sentence: str) -> str:
    said = escape(sentence)
    return f'<svg viewBox="0 0 240 150" width="100%" role="img" aria-label="{said}">{drawing}</svg><p>{said}</p>'


def _lights() -> str:
    """From above: the piece at the top, the camera below it, a lamp at 45° to either side."""
    rays = "".join(f'<path d="M{x} 103L120 24" {_DASHED}/>' for x in (41, 199))
    lamps = "".join(_lamp(x, 112, turn) for x, turn in ((32, 45), (208, -45)))
    angles = f'<path d="M120 66A42 42 0 0 1 90 54M120 66A42 42 0 0 0 150 54" {_LINE}/>'
    named = _word(78, 84, "45°") + _word(138, 84, "45°")
    return f'<path d="M70 20H170" {_LINE}/><path d="M120 24V104" {_DASHED}/>{rays}{lamps}{angles}{named}{_camera(120)}'


def _polarisers() -> str:
    """A filter before the lamp with its lines across, one before the lens with its lines upright."""
    across = "".join(f"M{72 - half} {y}H{72 + half}" for y, half in ((48, 24), (60, 29), (72, 30), (84, 26)))
    upright = "".join(f"M{x} {66 - half}V{66 + half}" for x, half in ((148, 24), (160, 29), (172, 30), (184, 26)))
    rings = "".join(f'<circle cx="{x}" cy="66" r="32" {_LINE}/>' for x in (72, 168))
    named = _word(52, 124, say("lamp")) + _word(152, 124, say("lens"))
    return f'{rings}<path d="{across}{upright}" {_LINE}/>{named}'


def _plane() -> str:
    """From the side: tooth and card touch one plane on the left; on the right the card lies behind it and is no use."""
    tooth = "M{0} 50C{0} 34 {1} 30 {1} 20H{2}C{2} 34 {2} 60 {0} 66Z"
    teeth = "".join(f'<path d="{tooth.format(x, x - 8, x - 24)}" {_LINE}/>' for x in (60, 180))
    cards = f'<rect x="52" y="80" width="8" height="44" {_LINE}/><rect x="140" y="80" width="8" height="44" {_LINE}/>'
    planes = "".join(f'<path d="M{x} 10V134" {_DASHED}/>' for x in (60, 180))
    wrong = f'<path d="M196 94l16 16m0 -16l-16 16" {_LINE}/>'
    right = f'<path d="M78 102l7 8l13 -18" {_LINE}/>'
    return teeth + cards + planes + right + wrong


def _distance() -> str:
    """From the side: the lens half a metre away, the piece and target filling its frame."""
    cone = f'<path d="M44 24L196 72L44 120" {_DASHED}/><path d="M44 20V124" {_LINE}/>'
    measure = f'<path d="M44 138H196M50 133L44 138L50 143M190 133L196 138L190 143" {_LINE}/>'
    lens = f'<rect x="196" y="60" width="30" height="24" {_LINE}/>'
    return cone + lens + measure + _word(92, 132, "50 cm")


def _sheet() -> str:
    """From above: teeth and chart at the top, the camera below them, the sheet close before its lens."""
    scene = f'<path d="M66 22Q120 4 174 22" {_LINE}/><rect x="178" y="14" width="40" height="10" {_LINE}/>'
    sheet = '<rect x="84" y="92" width="72" height="7" fill="currentColor" fill-opacity="0.45" stroke="currentColor"/>'
    named = _word(164, 100, say("filter"))
    return f'{scene}<path d="M74 26L112 104M166 26L128 104" {_DASHED}/>{sheet}{named}{_camera(120)}'


def _twice() -> str:
    """Two frames of one scene, teeth and chart in both, the second darker by the sheet."""
    return _frame(8, 0.0) + _frame(128, 0.3) + _word(54, 128, "1") + _word(174, 128, "2")


def _frame(x: int, dark: float) -> str:
    teeth = "".join(f'<rect x="{x + 14 + 18 * n}" y="34" width="16" height="24" rx="6" {_LINE}/>' for n in range(4))
    cells = "".join(
        f'<rect x="{x + 26 + 10 * column}" y="{72 + 10 * row}" width="8" height="8" {_LINE}/>'
        for row in range(2)
        for column in range(6)
    )
    shade = f'fill="currentColor" fill-opacity="{dark}" stroke="currentColor" stroke-width="2"'
    return f'<rect x="{x}" y="16" width="104" height="92" {shade}/>{teeth}{cells}'


def _lamp(x: int, y: int, turn: int) -> str:
    return f'<path d="M{x - 14} {y}h28l-6 14h-16Z" transform="rotate({turn} {x} {y})" {_LINE}/>'


def _camera(x: int) -> str:
    lens = f'<rect x="{x - 8}" y="106" width="16" height="10" {_LINE}/>'
    return f'{lens}<rect x="{x - 22}" y="116" width="44" height="26" {_LINE}/>'


def _word(x: int, y: int, word: str) -> str:
    return f'<text x="{x}" y="{y}" {_WORD}>{escape(word)}</text>'
