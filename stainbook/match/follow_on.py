"""The surface stain that is expected to follow on liquids, once the piece was sintered and read."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from stainbook.match.advice import FollowOn
from stainbook.match.moves import Ready, try_all
from stainbook.match.problem import Bench
from stainbook.match.rank import ranked
from stainbook.match.sequence import sintered
from stainbook.match.verdict import leaves
from stainbook.records import Layers

SHORT = 8  # stacks of a zone that get a forecast


def follow_on(bench: Bench, ready: Ready, liquids: Mapping[int, Layers]) -> dict[int, FollowOn]:
    """The surface stain that is expected to follow on the liquids of zones, by place; none where it may not follow.

    Cost: a search of all surface stain a zone.
    """
    later = bench.later
    options = later.options if later is not None else None
    if not bench.soaks or later is None or options is None or bench.limits.firings_left < 1 or not liquids:
        return {}
    places = sorted(place for place in liquids if place in ready.searches)
    there = [sintered(ready.problems[i], ready.searches[i][0], _row(ready, i, liquids[i])) for i in places]
    found = {}
    for place, field in zip(places, try_all(later, there, options, short=SHORT), strict=True):
        step = field.leave if leaves(field) else ranked(field.all)[0]
        found[place] = FollowOn(step.layers, step.dE00, step.accept)
    return found


def _row(ready: Ready, place: int, layers: Layers) -> np.ndarray | None:
    every = ready.searches[place][0].options.layers
    return np.array([every.index(layer) for layer in layers]) if layers else None
