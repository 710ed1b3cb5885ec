"""Layers as somebody types them in the language that is spoken: the wordings of `mixes` read back.

In English nothing is found here: what is typed in English is read more freely by whoever asks.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from stainbook.language import wordings
from stainbook.words import mixes

_PLACE = re.compile(r"\{(\w+)[^{}]*\}")
_NUMBERS = frozenset({"n", "share"})  # placeholders that a number stands in
_NUMBER = r"\d+(?:[.,]\d+)?"


def one_by_one(text: str) -> list[str]:
    """The layers of one firing, bottom first: what "dried, then" stands between, in English too.

    >>> one_by_one("2 coats of peat undiluted, dried, then rook")
    ['2 coats of peat undiluted', 'rook']
    """
    for pattern in (*_patterns(mixes.one_on_another("", "")), _ENGLISH_ORDER):
        found = pattern.fullmatch(text)
        if found is not None:
            return [*one_by_one(found["below"].strip()), *one_by_one(found["above"].strip())]
    return [text]


def coats_and_mix(text: str) -> tuple[int, str] | None:
    """Coats and what is mixed, as of "2 coats of (…)" or "…, 2 coats"; None for another wording, so in English.

    >>> coats_and_mix("2 coats of peat undiluted")
    """
    after = [rf"(?P<mix>.+?),?\s*{pattern.pattern}" for pattern in _patterns(mixes.coats(1))]
    for pattern in (*_patterns(mixes.layer_of("", 1)), *(re.compile(one, re.IGNORECASE) for one in after)):
        found = pattern.fullmatch(text)
        if found is not None:
            return int(float(found["n"].replace(",", "."))), found["mix"].strip()
    return None


def part(text: str) -> str | None:
    """A part of a mix in English, as of "2 parts peat" or "peat undiluted"; None for another wording, so in English.

    >>> part("2 parts peat")
    """
    said = ((mixes.parts_of("", 1), "{} parts "), (mixes.share_of("", 1.0), "{} of "), (mixes.undiluted(""), ""))
    for words, amount in said:
        for pattern in _patterns(words):
            found = pattern.fullmatch(text)
            if found is not None:
                numbers = [value for name, value in found.groupdict().items() if name in _NUMBERS]
                return amount.format(*numbers) + found["stain"].strip()
    return None


def rests() -> frozenset[str]:
    """What stands for clear glaze and for the thinner of a liquid, beside the English words.

    >>> rests()
    frozenset()
    """
    return frozenset([*wordings(mixes.CLEAR_GLAZE), *wordings(mixes.THINNER)])


def _patterns(text: str) -> Iterator[re.Pattern[str]]:
    """What the spoken language's wordings of a text match."""
    return (_pattern(template) for template in wordings(text))


def _pattern(template: str) -> re.Pattern[str]:
    literals, names = _PLACE.split(template)[::2], _PLACE.split(template)[1::2]
    made = _literal(literals[0])
    for name, literal in zip(names, literals[1:], strict=True):
        made += f"(?P<{name}>{_NUMBER if name in _NUMBERS else '.+'})" + _literal(literal)
    return re.compile(made, re.IGNORECASE)


def _literal(text: str) -> str:
    return r"\s+".join(map(re.escape, re.split(r"\s+", text)))


_ENGLISH_ORDER = re.compile(r"(?P<below>.+),\s*dried,\s*then\s+(?P<above>.+)", re.IGNORECASE)
