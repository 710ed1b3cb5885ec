"""The gap, candidate moves, their odds and their order: from zones and learnt optics to advice."""

from stainbook.match.advice import BlankAdvice, CaseAdvice, FollowOn, NextStep, ZoneAdvice
from stainbook.match.blanks import rank_blanks
from stainbook.match.by_hand import together, tried_by_hand
from stainbook.match.case_advice import advise_case, advise_zone, ready_case
from stainbook.match.gap import ZoneGap
from stainbook.match.lights import InLight
from stainbook.match.moves import Ready, Tried
from stainbook.match.offer import firings_of, kept_apart, no_firing_reason, offered
from stainbook.match.problem import Bench, Start, WishedLight, ZoneProblem
from stainbook.match.watch import UNWATCHED, Pace, Watch

__all__ = [
    "UNWATCHED",
    "Bench",
    "BlankAdvice",
    "CaseAdvice",
    "FollowOn",
    "InLight",
    "NextStep",
    "Pace",
    "Ready",
    "Start",
    "Tried",
    "Watch",
    "WishedLight",
    "ZoneAdvice",
    "ZoneGap",
    "ZoneProblem",
    "advise_case",
    "advise_zone",
    "firings_of",
    "kept_apart",
    "no_firing_reason",
    "offered",
    "rank_blanks",
    "ready_case",
    "together",
    "tried_by_hand",
]
