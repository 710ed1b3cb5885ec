"""Numbers and records as the bench says them; the fixed words come from ``texts``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from stainbook.language import Text, capitalised, joined, say, wordings
from stainbook.pages.shell import texts
from stainbook.pages.shell.plain import bare
from stainbook.stage_words import RETURNED
from stainbook.words import differences, figures, light_names, mixes, times
from stainbook.words.hues import hue_angle
from stainbook.work.documents.schemas import AdvisedZone, ColourResult, Gap, Move, PaintedLayer


def one_decimal(value: float) -> str:
    """``7.3``, with a real minus sign and the decimal sign of the language that is spoken."""
    return bare(figures.tenths(value))


def figure(value: float, form: str = "g") -> str:
    """A number in a format of Python's, in the language that is spoken."""
    return bare(figures.figure(value, form))


def mix(shares: Mapping[str, float], *, liquid: bool = False) -> str:
    """``1 part husk + 7 parts clear``; a number and what it counts do not part at a line's end."""
    return _together(mixes.mix(shares, liquid=liquid)) if shares else texts.CLEAR_ALONE


def layer(painted: PaintedLayer) -> str:
    """``2 coats of (1 part husk + 7 parts clear)``."""
    return _together(mixes.layer(painted.pot, painted.coats, liquid=painted.liquid))


def _together(said: str) -> str:
    coats, parts = (_counted(_templates(one)) for one in (mixes.coats(1), mixes.parts_of("", 1)))
    places = [*(rf"(?<=[0-9]) (?={one}\b)" for one in coats + parts), *(rf"(?<= {one}) " for one in parts)]
    return re.sub("|".join(places), "\u00a0", bare(said))


def _templates(text: str) -> list[str]:
    """How the language that is spoken says a text that counts."""
    own = [text.template, text.many] if isinstance(text, Text) else []
    return wordings(text) or [one for one in own if one is not None]


def _counted(templates: Sequence[str]) -> list[str]:
    """The words that follow a number in such wordings."""
    found = (re.match(r"\{n\} (\w+)", one) for one in templates)
    return [re.escape(one[1]) for one in found if one is not None]


def layers(painted: Sequence[PaintedLayer]) -> list[str]:
    """One line a layer, bottom first."""
    return [when_dry(layer(one)) if place else layer(one) for place, one in enumerate(painted)]


def when_dry(said: str) -> str:
    """A layer that goes on another one."""
    return say("when dry: {layer}", layer=said)


def step(move: Move) -> list[str]:
    """A next step in one line or more."""
    said = layers(move.layers)
    if move.kind == "add":
        return said or [texts.CLEAR_ALONE]
    head = joined([texts.KINDS[move.kind], *([move.body] if move.body else ())], ": ")
    return [head, *said]


def verdict(zone: AdvisedZone) -> str:
    """What is to be said of a zone before its steps: nothing where stain goes on."""
    head = texts.VERDICTS.get(zone.verdict) if zone.gap else None
    said = [part for part in (head, zone.why) if part]
    if not said:
        return "" if zone.moves else texts.NO_STEP
    return say("{sentence}.", sentence=capitalised(joined(said, ": ")))


def value(gap: Gap) -> str:
    """The value of the piece against its target."""
    return differences.value(gap.dL)


def chroma(gap: Gap) -> str:
    """The chroma of the piece against its target."""
    return differences.chroma(gap.dC)


def hue(gap: Gap, target: ColourResult | None) -> str:
    """The hue of the piece against its target: towards which colour it is off."""
    return differences.hue(gap.dH, hue_angle(target.a, target.b) if target is not None else 0.0)


def viewing(colour: ColourResult | None) -> str:
    """``daylight (CIE D65), 10°``."""
    return light_names.viewing(colour.illuminant, colour.observer) if colour is not None else texts.NOT_STATED


def three(values: Iterable[float]) -> str:
    """L*, a*, b* as they are typed."""
    return " ".join(map(one_decimal, values))


def lab(colour: ColourResult | None) -> str:
    """``L* 72.8, a* 0.9, b* 13.2``."""
    if colour is None:
        return texts.NOTHING_THERE
    parts = {"L": colour.L, "a": colour.a, "b": colour.b}
    return bare(say("L* {L}, a* {a}, b* {b}", **{name: one_decimal(part) for name, part in parts.items()}))


def moment(at: str) -> str:
    """``2026-03-02 10:40`` of a time as the book keeps it, by the clock of this machine."""
    return bare(times.moment(at))


def day(at: str) -> str:
    """``2026-03-02`` of a time or a date as the book keeps it."""
    return bare(times.day(at))


def date_form() -> str:
    """How a field for a date has it: ``YYYY/MM/DD``, or as the language that is spoken writes dates."""
    return bare(times.written("YYYY", "MM", "DD")).replace("-", "/")


def returned_for(returned: Mapping[str, int]) -> str:
    """Why pieces came back, and how many."""
    return joined(joined([RETURNED.get(reason, reason), str(n)], " ") for reason, n in returned.items())
