"""Readings that may stand under each other's names: each of two zones read as the other one was expected.

What is compared is the way from one zone to the other: a firing that came out strong in all zones, or an instrument
that has moved, leaves it as it is. Zones that were expected alike can be swapped unseen, and nothing is lost by it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import delta_e_2000
from stainbook.records import Viewing
from stainbook.words import swaps as words
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER

Floats = NDArray[np.float64]

SEATING = (0.4, 0.2, 0.3)  # L*, a*, b* of one reading, one standard deviation: the instrument set down anew; common use
AMOUNT_SD = 0.25  # of a change by stain: what a hand, its jars and the furnace put on more or less than meant
SURER = 30.0  # by how much likelier crossed than as given, in squares of the doubt
AS_EXPECTED = 12.0  # squares of the doubt, three axes, within which a reading is as expected: all but 1 in 140
FAR = 30.0  # squares of the doubt beyond which a reading is not its zone's
SEEN = 1.5  # ΔE00 that both zones are off as given


@dataclass(frozen=True, slots=True, eq=False)
class ReadAgain:
    """A zone with what was expected of its reading and what was read: L*, a*, b* (3,) of one light.

    ``covariance`` (3, 3) is the doubt of what was expected, without that of setting the instrument down.
    """

    name: str
    expected: Floats
    covariance: Floats
    read: Floats
    viewing: Viewing = SPECTRA_SEEN_UNDER

    @property
    def doubt(self) -> Floats:
        """(3, 3) of the reading about what was expected."""
        return self.covariance + 2.0 * np.diag(np.square(SEATING))


def stained_doubt(before: Floats, expected: Floats) -> Floats:
    """(3, 3) of what stain was expected to make of a colour."""
    change = AMOUNT_SD * (expected - before)
    return np.outer(change, change)


def swapped(zones: Sequence[ReadAgain]) -> list[str]:
    """A line for each two zones whose readings look swapped, the surest first; a zone is asked about once."""
    return [question(*pair) for pair in swapped_pairs(zones)]


def question(one: ReadAgain, other: ReadAgain) -> str:
    """The line that asks whether two readings were swapped."""
    return words.swapped(one.name, other.name, _far(one, one, other, other), _far(one, other, other, one))


def swapped_pairs(zones: Sequence[ReadAgain]) -> list[tuple[ReadAgain, ReadAgain]]:
    """Each two zones whose readings look swapped, the surest first; a zone is in one pair at most."""
    found = []
    for one, other in combinations(zones, 2):
        gain = _gain(one, other)
        if gain > SURER:
            found.append((gain, one, other))
    pairs: list[tuple[ReadAgain, ReadAgain]] = []
    named: set[str] = set()
    for _, one, other in sorted(found, key=lambda pair: -pair[0]):
        if not {one.name, other.name} & named:
            named |= {one.name, other.name}
            pairs.append((one, other))
    return pairs if pairs and _mostly_as_expected(_crossed(zones, pairs)) else []


def _crossed(zones: Sequence[ReadAgain], pairs: Sequence[tuple[ReadAgain, ReadAgain]]) -> list[ReadAgain]:
    """The zones with the readings of some pairs the other way round."""
    reads = {one.name: other.read for pair in pairs for one, other in (pair, pair[::-1])}
    return [replace(one, read=reads.get(one.name, one.read)) for one in zones]


def _mostly_as_expected(zones: Sequence[ReadAgain]) -> bool:
    """Whether half of the zones or more are as expected; else what was expected is of before a firing, or wrong."""
    common = _common(zones)
    fit = [_square(one.read - common - one.expected, one.doubt) <= AS_EXPECTED for one in zones]
    return 2 * sum(fit) >= len(fit)


def _common(zones: Sequence[ReadAgain]) -> Floats:
    """(3,) by what all zones are off alike; nothing of three zones or fewer."""
    if len(zones) <= 3:
        return np.zeros(3)
    return np.asarray(np.median([one.read - one.expected for one in zones], axis=0))


def _gain(one: ReadAgain, other: ReadAgain) -> float:
    """How much likelier the readings are crossed, in squares of the doubt; 0 where neither way would be as expected."""
    was, came = one.expected - other.expected, one.read - other.read
    precision = np.linalg.inv(one.doubt + other.doubt)
    given, crossed = ((gap @ precision @ gap) for gap in (came - was, came + was))
    if given - crossed <= SURER:
        return 0.0
    given_far, crossed_far = _far(one, one, other, other), _far(one, other, other, one)
    if crossed > AS_EXPECTED or min(given_far) < SEEN or max(crossed_far) > max(given_far):
        return 0.0
    return float(given - crossed)


def _far(a: ReadAgain, as_a: ReadAgain, b: ReadAgain, as_b: ReadAgain) -> tuple[float, float]:
    """ΔE00 of each of two readings to what was expected of the zone that it is taken for."""
    return float(delta_e_2000(a.read, as_a.expected)), float(delta_e_2000(b.read, as_b.expected))


def strays(zones: Iterable[ReadAgain]) -> list[ReadAgain]:
    """The zones whose reading is not what was expected of them, where that of most zones is."""
    known = list(zones)
    if not _mostly_as_expected(known):
        return []
    common = _common(known)
    return [
        one
        for one in known
        if _square(one.read - common - one.expected, one.doubt) > FAR
        and float(delta_e_2000(one.read, one.expected)) > 2.0 * SEEN
    ]


def as_of_another(stray: ReadAgain, others: Iterable[ReadAgain]) -> str | None:
    """A line where a stray reading is what another piece's zone was last read as; None where it is nobody's.

    others : zones of other cases; their ``expected`` is how they were read last
    """
    near = [(_square(stray.read - one.expected, one.doubt), one) for one in others]
    square, best = min(near, key=lambda pair: pair[0], default=(np.inf, None))
    if best is None or square > AS_EXPECTED:
        return None
    far = float(delta_e_2000(stray.read, stray.expected)), float(delta_e_2000(stray.read, best.expected))
    return words.of_another(stray.name, best.name, far)


def _square(off: Floats, doubt: Floats) -> float:
    return float(off @ np.linalg.solve(doubt, off))
