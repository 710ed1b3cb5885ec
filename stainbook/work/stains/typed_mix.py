"""One mix as it is typed: parts, ``1 part husk + 7 parts clear``, or shares, ``1/8 husk``, ``12.5 % husk``.

Fractions and percentages are shares, as in the files; so are decimals alone that add up to 1 at most. What shares leave
is clear glaze. Parts are divided by their sum.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from typing import NamedTuple

from stainbook.errors import InputError
from stainbook.language import say
from stainbook.records import CLEAR, Pot
from stainbook.words import mixes, typed_layers

EXPECTED = say("coats and parts, such as 2 coats of (1 part husk + 7 parts clear); a second layer after a semicolon")
_EITHER = say("one of them, such as 1/8 husk, or 1 part husk + 7 parts clear")
_PART = re.compile(
    r"(?:(?P<amount>(?:\d+\s+)?\d+\s*/\s*\d+|\d+(?:[.,]\d+)?)\s*(?P<percent>%)?\s*"
    r"(?P<part>parts?\b\s*)?(?:of\b\s*)?)?(?P<name>[^\s\d/%.,].*?)(?:\s+undiluted)?",
    re.IGNORECASE,
)
_GLYPH = re.compile("[\u00bc-\u00be\u2150-\u215e]")  # fractions of one character
_ROUNDED = 0.005  # by which shares of three digits may miss their sum


class _Part(NamedTuple):
    amount: float | None
    is_share: bool  # written as a fraction or a percentage
    is_decimal: bool
    name: str
    is_rest: bool


def typed_mix(text: str, whole: str) -> Pot:
    """The mix that somebody typed; ``whole`` is what messages show.

    Raises InputError for what says no mix.

    >>> typed_mix("1/4 husk", "1/4 husk") == typed_mix("1 part husk + 3 parts clear", "") == Pot.of({"husk": 0.25})
    True
    """
    rests = {one.casefold() for one in (CLEAR, mixes.THINNER, *typed_layers.rests())}
    parts = [_part(piece, whole, rests) for piece in re.split(r"\s*\+\s*", _plain(text))]
    if any(one.is_share for one in parts):
        odd = next((one for one in parts if not (one.is_share or one.is_decimal or _is_bare_rest(one))), None)
        if odd is not None:
            raise InputError(
                say("found shares and parts in {written!r}, expected {either}", written=whole, either=_EITHER)
            )
        return _of_shares(parts, whole)
    told = [one for one in parts if not _is_bare_rest(one)]
    decimals = all(one.is_decimal and not one.is_rest for one in told)
    if told and decimals and sum(one.amount or 0.0 for one in told) <= 1.0 + _ROUNDED:
        return _of_shares(parts, whole)
    return _of_parts(parts, whole)


def _plain(text: str) -> str:
    """Fractions of one character as two numbers."""
    said = _GLYPH.sub(lambda found: f" {unicodedata.normalize('NFKC', found[0])} ", text)
    return said.replace("\u2044", "/").strip()


def _part(piece: str, whole: str, rests: set[str]) -> _Part:
    found = _PART.fullmatch(typed_layers.part(piece) or piece)
    if found is None:
        raise InputError(say("found {written!r}, expected {expected}", written=whole, expected=EXPECTED))
    written, name = found["amount"], found["name"].strip()
    is_rest = name.casefold() in rests
    if written is None:
        return _Part(None, False, False, name, is_rest)
    amount = _amount(written, whole) / (100.0 if found["percent"] else 1.0)
    is_share = bool(found["percent"] or "/" in written) and not found["part"]
    return _Part(amount, is_share, bool(re.search("[.,]", written)) and not found["part"], name, is_rest)


def _amount(written: str, whole: str) -> float:
    """``1 1/2``, ``1/4``, ``0,25`` or ``2`` as a number."""
    *ones, last = written.replace(" /", "/").replace("/ ", "/").replace(",", ".").split()
    top, _, bottom = last.partition("/")
    if bottom and not int(bottom):
        raise InputError(say("found {written!r}, expected {expected}", written=whole, expected=EXPECTED))
    return sum(map(float, ones)) + float(top) / float(bottom or 1)


def _is_bare_rest(one: _Part) -> bool:
    return one.is_rest and one.amount is None


def _of_shares(parts: Sequence[_Part], whole: str) -> Pot:
    total = sum(one.amount or 0.0 for one in parts)
    to_one = any(one.is_rest and one.amount is not None for one in parts)
    if total > 1.0 + _ROUNDED or (to_one and total < 1.0 - _ROUNDED):
        expected = say("1") if to_one else say("at most 1")
        raise InputError(
            say(
                "found shares in {written!r} that add up to {total:.3g}, expected {expected}",
                written=whole,
                total=total,
                expected=expected,
            )
        )
    return _pot(parts, total if to_one else max(total, 1.0), whole)


def _of_parts(parts: Sequence[_Part], whole: str) -> Pot:
    amounts = [1.0 if one.amount is None else one.amount for one in parts]
    if len(parts) == 1 and 0.0 < amounts[0] < 1.0 and not parts[0].is_rest:
        raise InputError(
            say("found less than one part in {written!r} and nothing beside it, expected {either}", written=whole,
                either=_EITHER)
        )  # fmt: skip
    told = [one._replace(amount=amount) for one, amount in zip(parts, amounts, strict=True)]
    return _pot(told, sum(amounts), whole)


def _pot(parts: Sequence[_Part], total: float, whole: str) -> Pot:
    amounts: dict[str, float] = {}
    for one in parts:
        if not one.is_rest and one.amount:
            amounts[one.name] = amounts.get(one.name, 0.0) + one.amount
    if total <= 0.0 or not (amounts or any(one.is_rest for one in parts)):
        raise InputError(say("found no part in {written!r}, expected {expected}", written=whole, expected=EXPECTED))
    return Pot.of({name: amount / total for name, amount in amounts.items()})
