"""The gap, candidate moves, their odds and their order: from zones and learnt optics to advice."""

from stainbook.match.advice import BlankAdvice, CaseAdvice, Move, ZoneAdvice
from stainbook.match.blanks import rank_blanks
from stainbook.match.case import advise_case, advise_zone
from stainbook.match.gap import Gap
from stainbook.match.offer import firings_of, no_firing_reason, offered
from stainbook.match.problem import Bench, Start, ZoneProblem

__all__ = [
    "Bench",
    "BlankAdvice",
    "CaseAdvice",
    "Gap",
    "Move",
    "Start",
    "ZoneAdvice",
    "ZoneProblem",
    "advise_case",
    "advise_zone",
    "firings_of",
    "no_firing_reason",
    "offered",
    "rank_blanks",
]
