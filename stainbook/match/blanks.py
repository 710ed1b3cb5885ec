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

    First by the case's chance within the firings left, then by the mean chance of its zones, then
    by the mean expected ΔE00. Each zone's ``now`` is replaced by the blank's sintered colour.
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
