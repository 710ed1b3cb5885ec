"""Layers that somebody has thought of, on zones made ready: the same forecast and odds as those of proposed steps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from stainbook.match.advice import Kind, NextStep
from stainbook.match.case_advice import move_of
from stainbook.match.moves import Listed, Ready, Tried, all_accepted, forecast_lists
from stainbook.match.problem import Bench
from stainbook.records import Layers


def tried_by_hand(
    bench: Bench, ready: Ready, wanted: Mapping[int, Layers], *, kinds: Mapping[int, Kind] | None = None
) -> dict[int, tuple[NextStep, Tried]]:
    """What layers make of zones: as moves, with the luck that zones share behind them.

    Parameters
    ----------
    wanted : layers by the zone's place in ``ready``; none for leaving it as it is but for its finish
    kinds : by place, what is not simply added or left; a stripped zone without a bare reading is taken as it is

    Cost: a forecast of two stacks a zone, 10 ms for one zone.
    """
    kinds = kinds or {}
    found: dict[int, tuple[NextStep, Tried]] = {}
    stripped = [i for i in wanted if kinds.get(i) == "strip and restain"]
    there = _stripped(ready, stripped)
    for on, places in ((ready, [i for i in wanted if i not in stripped]), (there, stripped)):
        lists = [Listed(i, [(), wanted[i]] if wanted[i] else [()], [-1, 0]) for i in places]
        for one, field in zip(lists, forecast_lists(bench, on, lists) if lists else (), strict=True):
            tried = field.adds[0] if field.adds else field.leave
            if one.place in stripped:
                tried = replace(tried, kind="strip and restain")
            found[one.place] = move_of(bench, field, tried, 1), tried
    return found


def together(tried: Sequence[Tried]) -> tuple[float, float]:
    """Chance that all are accepted, after this firing and within those left: zones share hands, jars and readings."""
    at_once = all_accepted([one.hits for one in tried])
    return at_once, all_accepted([one.within for one in tried])


def _stripped(ready: Ready, places: Sequence[int]) -> Ready:
    """The same zones on their bare pieces; no search is made ready there, so no further firing is counted on."""
    problems = list(ready.problems)
    for i in places:
        bare = problems[i].bare
        if bare is not None:
            problems[i] = replace(problems[i], now=bare, firings_of={})
    searches = {i: one for i, one in ready.searches.items() if i not in places}
    corrections = {i: one for i, one in ready.corrections.items() if i not in places}
    return replace(ready, problems=tuple(problems), searches=searches, corrections=corrections)
