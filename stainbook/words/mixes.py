"""Mixes and layers: ``1 part peat + 6 parts clear``, ``2 coats of (…)``, and the letters of a palette.

The letters begin no shade or powder code and stand on no dental chart, so that "mix Y" on a tooth is read as a mix.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import reduce
from itertools import count as counting
from math import gcd, lcm
from typing import Protocol

from stainbook.language import joined, say, say_n
from stainbook.records import Pot

TOOTH_LETTERS, GUM_LETTERS = "YJUK", "PZ"
CLEAR_GLAZE = say("clear")
THINNER = say("thinning liquid")  # what a liquid that soaks in is thinned with, never clear glaze
DOT = "•"
PLUS = " + "
CROSSED = "Ƶ"
_ROOM = 4  # letters of a mix's own name that a zone has room for
_FINEST = 64  # parts; finer shares are told as shares of the whole
_SHARE = 1e-6  # by which a share may miss its fraction


class Coated(Protocol):
    """A layer of any kind: its pot and number of coats."""

    @property
    def pot(self) -> Mapping[str, float] | Pot:
        """Each stain's share."""

    @property
    def coats(self) -> int:
        """Passes of the brush."""


def mix(shares: Mapping[str, float] | Pot, *, liquid: bool = False) -> str:
    """The parts that a mix is made of, by weight.

    Parameters
    ----------
    shares : each stain's share of the whole, above 0, their sum at most 1; the rest is clear glaze
    liquid : of stains that soak in; the rest is then the thinning liquid of their system

    >>> mix({"husk": 1 / 8})
    '1 part husk + 7 parts clear'
    >>> mix({"bracken": 0.5}, liquid=True)
    '1 part bracken + 1 part thinning liquid'
    """
    pot = shares if isinstance(shares, Pot) else Pot.of(dict(shares))
    rest = THINNER if liquid else CLEAR_GLAZE
    fractions = [(name, Fraction(share).limit_denominator(_FINEST)) for name, share in pot.shares]
    whole = lcm(*(share.denominator for _, share in fractions)) if fractions else 1
    exact = all(abs(float(told) - true) < _SHARE for (_, told), (_, true) in zip(fractions, pot.shares, strict=True))
    if not exact or whole > _FINEST:
        shares_ = ((name, share) for name, share in (*pot.shares, (rest, pot.clear)) if share > 1e-9)
        return joined([share_of(name, share) for name, share in shares_], PLUS)
    parts = [(name, int(share * whole)) for name, share in fractions]
    parts.append((rest, whole - sum(count for _, count in parts)))
    return _parts([(name, count) for name, count in parts if count > 0])


def _parts(used: Sequence[tuple[str, int]]) -> str:
    if len(used) == 1:
        return undiluted(used[0][0])
    common = gcd(*(count for _, count in used))
    return joined([parts_of(name, n // common) for name, n in used], PLUS)


def parts_of(stain: str, count: int) -> str:
    """Parts of one stain in a mix.

    >>> parts_of("peat", 1), parts_of("clear", 6)
    ('1 part peat', '6 parts clear')
    """
    return say_n("{n} part {stain}", "{n} parts {stain}", count, stain=stain)


def share_of(stain: str, share: float) -> str:
    """A share of one stain in a mix, where parts would be too fine.

    >>> share_of("peat", 0.1234)
    '0.123 of peat'
    """
    return say("{share:.3g} of {stain}", stain=stain, share=share)


def undiluted(stain: str) -> str:
    """A stain alone.

    >>> undiluted("peat")
    'peat undiluted'
    """
    return say("{stain} undiluted", stain=stain)


def coats(count: int) -> str:
    """A number of coats in words.

    >>> coats(1), coats(2)
    ('1 coat', '2 coats')
    """
    return say_n("{n} coat", "{n} coats", count)


def layer(pot: Mapping[str, float] | Pot, count: int, *, liquid: bool = False) -> str:
    """One layer in words; its mix stands in brackets, so that the number of coats counts no part.

    Parameters
    ----------
    pot : each stain's share of the whole
    count : coats
    liquid : of stains that soak in

    >>> layer({"peat": 1 / 7}, 2)
    '2 coats of (1 part peat + 6 parts clear)'
    """
    said = mix(pot, liquid=liquid)
    return layer_of(joined(["(", said, ")"], "") if PLUS in said else said, count)


def layer_of(mixed: str, count: int) -> str:
    """Coats of what is mixed.

    >>> layer_of("peat undiluted", 2)
    '2 coats of peat undiluted'
    """
    return say_n("{n} coat of {mix}", "{n} coats of {mix}", count, mix=mixed)


def layers(painted: Iterable[Coated], *, liquid: bool = False) -> str:
    """The layers of one firing in words, bottom first.

    >>> from stainbook.records import Layer, Pot
    >>> layers([Layer(Pot.of({"peat": 1 / 7}), 2), Layer(Pot.of({"husk": 1}))])
    '2 coats of (1 part peat + 6 parts clear), dried, then 1 coat of husk undiluted'
    """
    told = [layer(one.pot, one.coats, liquid=liquid) for one in painted]
    return reduce(one_on_another, told) if told else ""


def one_on_another(below: str, above: str) -> str:
    """Two layers of one firing.

    >>> one_on_another("peat undiluted", "rook undiluted")
    'peat undiluted, dried, then rook undiluted'
    """
    return say("{below}, dried, then {above}", below=below, above=above)


def coats_of(name: str, count: int) -> str:
    """Coats of a mix that has a name.

    >>> coats_of("Y", 2)
    'mix Y, 2 coats'
    """
    return say_n("mix {name}, {n} coat", "mix {name}, {n} coats", count, name=name)


def mark(name: str, count: int) -> str:
    """A layer as a drawing shows it on a zone: the mix's letter or the start of its name, and a dot for each coat.

    A palette's own Z is crossed, so that it is no 2.

    >>> mark("house-neck", 2), mark("Z", 1)
    ('hous••', 'Ƶ•')
    """
    crossed = set(name) == {"Z"}
    return f"{name.replace('Z', CROSSED) if crossed else name[:_ROOM]}{DOT * count}"


def names(tissues: Iterable[str], *, taken: Collection[str] = ()) -> list[str]:
    """A letter for each mix of a palette; doubled, tripled … where the letters run out.

    Parameters
    ----------
    tissues : of each mix, the tissue that it is for, ``tooth`` or ``gingiva``
    taken : names of mixes that stand ready, which no letter repeats

    >>> names(["tooth", "gingiva", "tooth"])
    ['Y', 'P', 'J']
    >>> names(["tooth"], taken=["Y"])
    ['J']
    """
    left = {
        letters: (name for name in _letters(letters) if name not in taken) for letters in (TOOTH_LETTERS, GUM_LETTERS)
    }
    return [next(left[GUM_LETTERS if tissue == "gingiva" else TOOTH_LETTERS]) for tissue in tissues]


def _letters(letters: str) -> Iterator[str]:
    return (letter * times for times in counting(1) for letter in letters)
