"""Which blank to start from: the largest colour decision of all, before anything is milled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from stainbook.match.advice import BlankAdvice
from stainbook.match.case_advice import advise_case
from stainbook.match.problem import Bench, Start, ZoneProblem


def rank_blanks(
    bench: Bench, problems: Sequence[ZoneProblem], blanks: Mapping[str, Start], *, stage: str | None = None
) -> list[BlankAdvice]:
    """The blanks in order of the chance that the whole case is accepted on them.

    First by the case's chance within the firings that remain, then by the mean chance of its zones, then
    by the mean expected ΔE00. The blank's sintered colour takes the place of each zone's ``now``.

    Parameters
    ----------
    bench, problems, stage : as for `advise_case`
    blanks : the sintered colour of each by name

    Raises
    ------
    UnknownNameError : for a target under an unknown light or observer

    >>> import numpy as np
    >>> from stainbook.colour import thresholds
    >>> from stainbook.match import Bench, Start, ZoneProblem, rank_blanks
    >>> from stainbook.optics.curves import Optics
    >>> from stainbook.optics.film import Piece
    >>> from stainbook.records import Viewing
    >>> bench = Bench(Optics({}), ("husk",), {"husk": ("surface", "brown")})
    >>> grey = [Piece(np.full(31, level), "glazed", 0.0, bench.optics.ceramic("zirconia")) for level in (0.3, 0.5)]
    >>> blanks = {"weir": Start(grey[0], "weir"), "stile": Start(grey[1], "stile")}  # L* 62 and 76
    >>> zone = ZoneProblem((11, "middle"), "tooth", blanks["weir"], (73.0, 1.0, 5.0), Viewing(), thresholds("tooth"))
    >>> [one.blank for one in rank_blanks(bench, [zone], blanks)]
    ['stile', 'weir']
    """
    found = []
    for name, start in blanks.items():
        there = [replace(problem, now=start, bare=None) for problem in problems]
        found.append(BlankAdvice(name, advise_case(bench, there, stage=stage)))
    return sorted(found, key=_order)


def _order(advice: BlankAdvice) -> tuple[float, float, float, str]:
    firsts = [zone.moves[0] for zone in advice.case.zones if zone.moves]
    count = max(len(firsts), 1)
    chance = sum(move.accept_within for move in firsts) / count
    return -advice.case.accept_within, -chance, sum(move.dE00 for move in firsts) / count, advice.blank
