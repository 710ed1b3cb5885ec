"""The drawings of the help, in lines of the page's colour."""

from __future__ import annotations

from collections.abc import Mapping

from stainbook.language import say, say_as
from stainbook.words.escaping import escape

_LINE = 'fill="none" stroke="currentColor" stroke-width="2" stroke-linejoin="round" stroke-linecap="round"'
_DASHED = f'{_LINE} stroke-dasharray="5 4"'
_FULL = 'fill="currentColor" stroke="none"'
_PALE = 'fill="currentColor" fill-opacity="0.3" stroke="currentColor" stroke-width="1.5"'
_WORD = 'fill="currentColor" font-size="13" text-anchor="middle"'


def help_markup(topics: Mapping[str, tuple[str, str]]) -> str:
    """A drawing, a heading and a text a topic; ``topics`` are heading and text by the drawing's name."""
    parts = "".join(_topic(_DRAWN[name](), *said) for name, said in topics.items())
    return f'<div class="help-topics">{parts}</div>'


def _topic(drawing: str, heading: str, text: str) -> str:
    said = escape(heading)
    return (
        f'<section><svg viewBox="0 0 240 120" width="240" role="img" aria-label="{said}">{drawing}</svg>'
        f"<h3>{said}</h3><p>{escape(text)}</p></section>"
    )


def _word(x: float, y: float, word: str) -> str:
    return f'<text x="{x}" y="{y}" {_WORD}>{escape(word)}</text>'


def _tooth(x: float, y: float) -> str:
    return f'<path d="M{x} {y}c-26 0-34 16-30 40c4 22 10 34 30 34s26-12 30-34c4-24-4-40-30-40Z" {_LINE}/>'


def _reading() -> str:
    """A tooth with a flat tip seated on it, and one held at a slant that lets light in."""
    right = f'<path d="M48 42h24v-34h-24Z" {_LINE}/><path d="M44 42h32" {_LINE}/>'
    wrong = f'<g transform="rotate(24 180 44)"><path d="M168 36h24v-34h-24Z" {_LINE}/></g>'
    light = f'<path d="M214 20L192 40M222 34L196 44" {_DASHED}/>'
    signs = f'<path d="M50 108l7 8l13-18" {_LINE}/><path d="M172 100l16 16m0-16l-16 16" {_LINE}/>'
    return _tooth(60, 42) + _tooth(180, 42) + right + wrong + light + signs


def _parts() -> str:
    """Eight heaps, one of them of stain."""
    heaps = "".join(f'<circle cx="{22 + 28 * i}" cy="50" r="12" {_FULL if i == 0 else _LINE}/>' for i in range(8))
    return (
        heaps + _word(36, 86, say("1 part")) + _word(134, 86, say("7 parts clear")) + _word(120, 112, say("share 1/8"))
    )


def _coats() -> str:
    """One thin coat, two thin coats, and a thick one that is wrong."""
    bodies = "".join(f'<rect x="{x}" y="70" width="56" height="24" {_LINE}/>' for x in (10, 92, 174))
    thin = f'<rect x="10" y="62" width="56" height="8" {_PALE}/>'
    two = f'<rect x="92" y="62" width="56" height="8" {_PALE}/><rect x="92" y="54" width="56" height="8" {_PALE}/>'
    thick = f'<path d="M174 70q6-30 28-26q22-4 28 26Z" {_PALE}/><path d="M194 14l16 16m0-16l-16 16" {_LINE}/>'
    return bodies + thin + two + thick + _word(38, 114, say("1 coat")) + _word(120, 114, say("2 coats"))


def _drying() -> str:
    """A layer, a clock, the next layer on it."""
    body = '<rect x="{0}" y="74" width="60" height="22" ' + _LINE + "/>"
    first = '<rect x="{0}" y="64" width="60" height="10" ' + _PALE + "/>"
    clock = f'<circle cx="120" cy="70" r="24" {_LINE}/><path d="M120 54V70L132 76" {_LINE}/>'
    second = f'<rect x="168" y="54" width="60" height="10" {_PALE}/>'
    arrows = f'<path d="M78 76h10M152 76h10" {_LINE}/>'
    return "".join((body + first).format(x) for x in (12, 168)) + clock + second + arrows + _word(120, 114, say("dry"))


def _chance() -> str:
    """Ten dots, eight full; below them the line with its dot and bar."""
    dots = "".join(f'<circle cx="{21 + 22 * i}" cy="24" r="8" {_FULL if i < 8 else _LINE}/>' for i in range(10))
    line = f'<path d="M16 86H224" {_LINE}/><path d="M88 66V104M150 66V104" {_DASHED}/>'
    reach = '<path d="M40 86H124" stroke="currentColor" stroke-width="9" opacity="0.4"/>'
    bar = f'{reach}<circle cx="72" cy="86" r="7" {_FULL}/>'
    return dots + line + bar + _word(88, 118, say("seen")) + _word(150, 118, say("accepted"))


def _near() -> str:
    """A colour with a circle about it, others inside and outside."""
    inside = "".join(
        f'<rect x="{x}" y="{y}" width="14" height="14" {_FULL}/>' for x, y in ((92, 34), (128, 66), (100, 78))
    )
    outside = "".join(
        f'<rect x="{x}" y="{y}" width="14" height="14" {_LINE}/>' for x, y in ((30, 20), (196, 44), (176, 94))
    )
    centre = f'<path d="M120 52v16m-8-8h16" {_LINE}/>'
    return f'<circle cx="120" cy="60" r="52" {_DASHED}/>{centre}{inside}{outside}'


def _interval() -> str:
    """Two shares: of few cases with a long line, of many with a short one."""
    rows = ((34, 60, 200, 148), (84, 124, 172, 148))
    lines = "".join(
        f'<path d="M{low} {y}H{high}" {_LINE}/><circle cx="{at}" cy="{y}" r="7" {_FULL}/>' for y, low, high, at in rows
    )
    return lines + _word(34, 39, say_as("few cases", "few")) + _word(34, 89, say_as("many cases", "many"))


def _plate() -> str:
    """A plate with stripes of growing strength, a clear one first."""
    shades = (0.0, 0.1, 0.25, 0.45, 0.7)
    stripes = "".join(
        f'<rect x="{26 + 40 * i}" y="24" width="28" height="64" fill="currentColor" fill-opacity="{shade}" '
        'stroke="currentColor" stroke-width="1.5"/>'
        for i, shade in enumerate(shades)
    )
    named = _word(40, 116, say("clear"))
    return f'<rect x="12" y="12" width="216" height="88" rx="6" {_LINE}/>{stripes}{named}'


def _bundle() -> str:
    """A book, a sealed box, another book."""
    book = '<path d="M{0} 30h44v60h-44Zm8 0v60" ' + _LINE + "/>"
    box = f'<path d="M98 48h44v34h-44ZM98 48l22 14l22-14" {_LINE}/>'
    return (
        book.format(14)
        + box
        + book.format(182)
        + f'<path d="M66 66h22m-6-5l6 5l-6 5M152 66h22m-6-5l6 5l-6 5" {_LINE}/>'
    )


def _thresholds() -> str:
    """A line of growing difference with two marks: pairs of squares that match less and less."""
    line = f'<path d="M12 92H228" {_LINE}/><path d="M84 20V100M156 20V100" {_DASHED}/>'
    pairs = "".join(
        f'<rect x="{x}" y="42" width="22" height="28" fill="currentColor" fill-opacity="0.3"/>'
        f'<rect x="{x + 22}" y="42" width="22" height="28" fill="currentColor" fill-opacity="{other}"/>'
        for x, other in ((26, 0.3), (98, 0.4), (172, 0.7))
    )
    return line + pairs + _word(84, 116, say("seen")) + _word(156, 116, say("accepted"))


def _way() -> str:
    """Read, step, fire, read again, deliver."""
    marks = "".join(f'<circle cx="{24 + 48 * i}" cy="44" r="13" {_LINE if i < 4 else _FULL}/>' for i in range(5))
    links = "".join(f'<path d="M{39 + 48 * i} 44h18" {_LINE}/>' for i in range(4))
    said = (say_as("to do", "read"), say("step"), say_as("to do", "fire"), say_as("to do", "read"), say("proof"))
    names = "".join(_word(24 + 48 * i, 80, name) for i, name in enumerate(said))
    return marks + links + names


_DRAWN = {
    "reading": _reading, "parts": _parts, "coats": _coats, "drying": _drying, "chance": _chance, "near": _near,
    "interval": _interval, "plate": _plate, "bundle": _bundle, "thresholds": _thresholds, "way": _way,
}  # fmt: skip
