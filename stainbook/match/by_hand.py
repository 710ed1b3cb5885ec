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
    """The steps that given layers make on zones, with the same forecast as proposed ones.

    Parameters
    ----------
    bench : what may be put on
    ready : the zones as `ready_case` made them ready
    wanted : layers by the zone's place in ``ready``; none for the finish alone
    kinds : by place, where not ``add`` or ``leave``; without a bare reading a stripped zone starts as it is

    Returns
    -------
    By place the step, and behind it the luck that zones share

    Cost: a forecast of two stacks a zone, 10 ms for one zone.

    >>> import numpy as np
    >>> from stainbook.colour import thresholds
    >>> from stainbook.match import Bench, Start, ZoneProblem, ready_case, tried_by_hand
    >>> from stainbook.optics.curves import Optics
    >>> from stainbook.optics.film import Piece
    >>> from stainbook.records import Layer, Pot, Viewing
    >>> bench = Bench(Optics({}), ("husk",), {"husk": ("surface", "brown")})
    >>> now = Start(Piece(np.full(31, 0.5), "glazed", 0.0, bench.optics.ceramic("zirconia")), "11 middle")
    >>> zone = ZoneProblem((11, "middle"), "tooth", now, (73.0, 1.0, 5.0), Viewing(), thresholds("tooth"))
    >>> steps = tried_by_hand(bench, ready_case(bench, [zone]), {0: (Layer(Pot.of({"husk": 1 / 2}), 2),)})
    >>> steps[0][0].kind, round(steps[0][0].lab[0])  # the piece had L* 76
    ('add', 71)
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
    """Chance that all steps are accepted, after this firing and within those that remain.

    Zones share hands, jars and readings, so the chances are counted draw by draw; those that do not count are left out.

    >>> import numpy as np
    >>> from stainbook.colour import thresholds
    >>> from stainbook.match import Bench, Start, ZoneProblem, ready_case, together, tried_by_hand
    >>> from stainbook.optics.curves import Optics
    >>> from stainbook.optics.film import Piece
    >>> from stainbook.records import Layer, Pot, Viewing
    >>> bench, layers = Bench(Optics({}), ("husk",)), (Layer(Pot.of({"husk": 1 / 2})),)
    >>> now = Start(Piece(np.full(31, 0.5), "glazed", 0.0, bench.optics.ceramic("zirconia")), "piece")
    >>> seen = Viewing(), thresholds("tooth")
    >>> zones = [ZoneProblem((tooth, "middle"), "tooth", now, (70.0, 0.0, 0.0), *seen) for tooth in (11, 12)]
    >>> steps = tried_by_hand(bench, ready_case(bench, zones), {0: layers, 1: layers})
    >>> both, _ = together([behind for _, behind in steps.values()])
    >>> both > steps[0][0].accept ** 2  # the zones share one hand and one jar
    True
    """
    counted = [one for one in tried if one.problem.counts]
    return all_accepted([one.hits for one in counted]), all_accepted([one.within for one in counted])


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
