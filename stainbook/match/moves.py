"""From zones to their short lists with odds: the pipeline that a case runs through once, all zones together."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Annotated, TypeAlias

import numpy as np
from numpy.typing import NDArray

from stainbook.match.candidates import Candidates, Search, evaluate, shortlist, stain_sets
from stainbook.match.frame import TargetFrame, frame_of
from stainbook.match.guess import OptionDoubt
from stainbook.match.handed import AsKey, AsNumbers
from stainbook.match.later import Corrections, Within, corrections_of, follow_up
from stainbook.match.layer_options import Options
from stainbook.match.lights import InLight, Lights
from stainbook.match.odds import DRAWS, Odds, odds_of
from stainbook.match.problem import Bench, ZoneProblem
from stainbook.match.reasons import Kind
from stainbook.match.sequence import Stages, aims_short, sintered
from stainbook.match.watch import UNWATCHED, Watch
from stainbook.match.wetting import halved_by_film
from stainbook.match.zone_search import searches_for, wanted_of
from stainbook.optics.two_by_two import Array
from stainbook.records import Layers

SHORT = 24  # stacks of a zone that get a full forecast
LATER = 0.5  # what a zone counts that is accepted only after a further firing
Numbers: TypeAlias = Annotated[Array, AsNumbers()]
TOGETHER = 8  # zones that are forecast at a time, so that what is done can be told


@dataclass(frozen=True, slots=True, eq=False)
class Tried:
    """One stack of layers on one zone with its odds; no layers: left as it is but for the finish.

    ``hits`` and ``within`` (draws,) are, draw by draw, whether it is accepted after this firing and
    the chance that it is within the firings left. ``plain`` (3,) is the colour without the layers.
    ``kind`` and ``on`` say what the layers go on, ``radius`` the ΔE00 about ``lab`` that holds 9 in 10, ``film`` that a
    film over the matt face would halve the doubt.
    """

    problem: Annotated[ZoneProblem, AsKey()]
    layers: Layers
    stains: int
    plain: Numbers
    lab: Numbers
    point: float
    dE00: float
    low: float
    high: float
    accept: float
    accept_within: float
    firings: float
    hits: Numbers
    within: Numbers
    kind: Kind = "add"
    on: str | None = None
    later: float = LATER
    lights: tuple[InLight, ...] = ()
    radius: float | None = None
    film: bool = False

    @property
    def in_the_end(self) -> float:
        """Its chance: after this firing, of liquids with the surface stain that follows on them."""
        return self.accept_within if self.later == 1.0 else self.accept

    @property
    def counts(self) -> float:
        """What it is worth to the case, see `later_counts`."""
        return self.later * self.accept_within + (1.0 - self.later) * self.accept


def later_counts(bench: Bench) -> float:
    """The worth of acceptance only after a further firing: half, of an unsintered piece all, for liquids aim short."""
    return 1.0 if bench.soaks and bench.later is not None and bench.limits.firings_left else LATER


def all_accepted(draws: Sequence[Array]) -> float:
    """Chance that all zones are accepted, counted draw by draw, since one hand and one jar err alike everywhere.

    Parameters
    ----------
    draws : the ``hits`` or ``within`` (draws,) of each zone; without any zone the chance is 1

    >>> import numpy as np
    >>> from stainbook.match.moves import all_accepted
    >>> all_accepted([np.array([1.0, 1.0, 0.0, 0.0]), np.array([1.0, 0.5, 0.0, 0.0])])
    0.375
    """
    return float(np.prod(draws, axis=0).mean()) if draws else 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """All that was tried on one zone: leaving it, and the short list."""

    problem: ZoneProblem
    frame: TargetFrame
    leave: Tried
    adds: tuple[Tried, ...]

    @property
    def all(self) -> list[Tried]:
        """Leaving it, then the short list."""
        return [self.leave, *self.adds]


@dataclass(frozen=True, slots=True, eq=False)
class Ready:
    """Zones made ready for stacks of layers: the frame of each, and by its place its search, if it may take any.

    ``steps`` (z, 3) are those from the target at which leaving a zone ends, in the target's space; ``corrections``
    are what a further firing may lay on, of an unsintered piece the first surface stain.
    """

    problems: tuple[ZoneProblem, ...]
    frames: tuple[TargetFrame, ...]
    searches: Mapping[int, tuple[Search, OptionDoubt]]
    steps: Array
    corrections: Mapping[int, Corrections] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Listed:
    """The stacks of one zone that get a forecast, leaving it first, and with each the number of its stains."""

    place: int
    stacks: Sequence[Layers]
    kinds: Sequence[int]


def ready_for(
    bench: Bench, problems: Sequence[ZoneProblem], options: Options | None, *, watch: Watch = UNWATCHED
) -> Ready:
    """Zones made ready for stacks of ``options``; None means that nothing may be put on."""
    frames = [frame_of(p.target, p.viewing, offset=p.lab_offset) for p in problems]
    left = bench.forecasts([wanted_of(bench, p, f, ()) for p, f in zip(problems, frames, strict=True)])
    steps = [frame.steps(frame.lab(ln_xyz)) for frame, ln_xyz in zip(frames, left.ln_xyz, strict=True)]
    found: dict[int, tuple[Search, OptionDoubt]] = {}
    for i, search, doubt in searches_for(bench, problems, frames, left, options) if options is not None else ():
        watch.step("prepare", len(found), len(problems))
        found[i] = search, doubt
    later = _first_stain(bench, problems, frames, found) if bench.soaks else _corrections(found)
    return Ready(tuple(problems), tuple(frames), found, np.array(steps).reshape(-1, 3), later)


def _corrections(
    searches: Mapping[int, tuple[Search, OptionDoubt]], *, first: bool = False, layers: int = 1
) -> dict[int, Corrections]:
    known: dict[tuple[int, int], Corrections | None] = {}
    for search, doubt in searches.values():
        if (id(search), id(doubt)) not in known:
            known[id(search), id(doubt)] = corrections_of(search, doubt, first=first, layers=layers)
    every = {i: known[id(search), id(doubt)] for i, (search, doubt) in searches.items()}
    return {i: one for i, one in every.items() if one is not None}


def _first_stain(
    bench: Bench,
    problems: Sequence[ZoneProblem],
    frames: Sequence[TargetFrame],
    searches: Mapping[int, tuple[Search, OptionDoubt]],
) -> dict[int, Corrections]:
    """What surface stain may follow on the sintered piece, as the likeliest liquid leaves it; none without a firing."""
    later = bench.later
    options = later.options if later is not None else None
    if later is None or options is None or bench.limits.firings_left < 1 or not searches:
        return {}
    places = sorted(searches)
    bases = [_likeliest_row(searches[i][0]) for i in places]
    there = [sintered(problems[i], searches[i][0], row) for i, row in zip(places, bases, strict=True)]
    own = [frames[i] for i in places]
    left = later.forecasts([wanted_of(later, p, f, ()) for p, f in zip(there, own, strict=True)])
    found = {places[i]: (search, doubt) for i, search, doubt in searches_for(later, there, own, left, options)}
    return _corrections(found, first=True, layers=later.limits.passes)


def _likeliest_row(search: Search) -> NDArray[np.int_] | None:
    """The one liquid that ends nearest and aims short; None where all go past the target."""
    rows = search.near.places[:, None]
    if not len(rows):
        return None
    found = evaluate(search, rows)
    lab = search.frame.lab(search.frame.ln_xyz(search.response.after(search.piece, rows)))
    fit = np.flatnonzero(aims_short(search, lab))
    return rows[fit[np.argmin(np.linalg.norm(found.steps[fit], axis=1))]] if len(fit) else None


def try_all(
    bench: Bench,
    problems: Sequence[ZoneProblem],
    options: Options | None,
    *,
    short: int = SHORT,
    watch: Watch = UNWATCHED,
    ready: Ready | None = None,
    on_fields: Callable[[Sequence[Field]], None] | None = None,
) -> list[Field]:
    """Short lists of several zones with their chances; ``options`` None means that nothing may be put on.

    ``short`` is their most stacks; ``ready`` are the same zones made ready for the same options, where that was done
    before; ``on_fields`` is called with the next fields as they are done.
    """
    ready = ready or ready_for(bench, problems, options, watch=watch)
    fields: list[Field] = []
    known: dict[tuple[int, int], Listed] = {}
    for start in range(0, len(problems), TOGETHER):
        lists = []
        for i in range(start, min(start + TOGETHER, len(problems))):
            watch.step("search", i, len(problems))
            question = id(ready.searches.get(i, (None,))[0]), id(ready.corrections.get(i))
            if question not in known:
                known[question] = _short_list(bench, ready, i, short)
            lists.append(replace(known[question], place=i))
        fields += forecast_lists(bench, ready, lists)
        if on_fields is not None:
            on_fields(fields[start:])
    return fields


def forecast_lists(bench: Bench, ready: Ready, lists: Sequence[Listed]) -> list[Field]:
    """The chances of the listed stacks, zone by zone."""
    wide = _all_lights([ready.problems[one.place] for one in lists], [ready.frames[one.place] for one in lists])
    wanted = [
        replace(wanted_of(bench, ready.problems[one.place], ready.frames[one.place], layers), weights=weights)
        for one, weights in zip(lists, wide, strict=True)
        for layers in one.stacks
    ]
    view = bench.forecasts(wanted)
    draws = view.draw(DRAWS)
    ends = np.cumsum([len(one.stacks) for one in lists])
    film = halved_by_film(view, [ready.frames[one.place] for one in lists for _ in one.stacks])
    fields = []
    for one, end in zip(lists, ends, strict=True):
        at = slice(end - len(one.stacks), end)
        problem, frame = ready.problems[one.place], ready.frames[one.place]
        odds = odds_of(problem, frame, view.ln_xyz[at], draws[at])
        corrections = ready.corrections.get(one.place)
        left_after, first = _firings(bench, problem, one.stacks)
        within = follow_up(odds, problem.thresholds.acceptable, corrections, left_after, first)
        fields.append(_field(problem, frame, one.stacks, one.kinds, odds, within, later_counts(bench), film[at]))
    return fields


def _short_list(bench: Bench, ready: Ready, place: int, most: int) -> Listed:
    """Leaving the zone, then the likeliest stacks; with each a number that is the same for the same stains."""
    if place not in ready.searches:
        return Listed(place, [()], [-1])
    search, _ = ready.searches[place]
    stages = stages_of(bench, ready, place)
    rescored = (lambda found: _in_two(search, stages, found)) if stages is not None else None
    found = shortlist(search, bench.limits.passes, most, rescored=rescored)
    sets = [int(one) for one in stain_sets(search.options, found.rows)]
    return Listed(place, [(), *(search.options.stack(row) for row in found.rows)], [-1, *sets])


def stages_of(bench: Bench, ready: Ready, place: int) -> Stages | None:
    """The surface stain that may follow on a zone of an unsintered piece; None of any other."""
    return Stages(ready.corrections.get(place), bench.limits.firings_left) if bench.soaks else None


def _in_two(search: Search, stages: Stages, found: Candidates) -> Candidates:
    """Liquids by the chance that surface stain finishes what they leave; those that go past the target are out."""
    lab = search.frame.lab(search.frame.ln_xyz(search.response.after(search.piece, found.rows)))
    found = found.take(np.flatnonzero(aims_short(search, lab)))
    if stages.corrections is None or not len(found.rows):
        return found
    chance = stages.chance(found.steps, search.doubt.of(found.rows))
    return Candidates(found.rows, found.steps, chance - 0.05 * np.linalg.norm(found.steps, axis=1))


def searches_of(ready: Ready) -> list[tuple[Search, Array]]:
    """Each zone's search over all options, and its step (3,) from the target without stain, in the target's space."""
    return [(ready.searches[i][0], step) for i, step in enumerate(ready.steps)]


def _all_lights(problems: Sequence[ZoneProblem], frames: Sequence[TargetFrame]) -> list[Array]:
    """(31, 3 l) weights of each zone's lights, the target's first; as many for all, the first again where short."""
    each = [[frame, *Lights.of(one).frames] for one, frame in zip(problems, frames, strict=True)]
    most = max((len(own) for own in each), default=1)
    return [np.hstack([one.weights for one in own + own[:1] * (most - len(own))]) for own in each]


def _firings(bench: Bench, problem: ZoneProblem, stacks: Sequence[Layers]) -> tuple[NDArray[np.int_], Array]:
    """Firings still allowed after each stack, by case and maker, and those that it takes itself."""
    if bench.soaks:  # sintering takes none of the firings
        return np.full(len(stacks), bench.limits.firings_left), np.zeros(len(stacks))
    own = [_allowed(problem, layers, bench.limits.firings_left) for layers in stacks]
    fires = np.array([1 if layers or problem.finish_fires else 0 for layers in stacks])
    return np.where(fires > 0, np.array(own) - 1, 0), fires.astype(float)


def _allowed(problem: ZoneProblem, layers: Layers, left: int) -> int:
    limits = [problem.firings_of[name] for layer in layers for name in layer.pot.stains if name in problem.firings_of]
    return min([left, *limits])


def _field(
    problem: ZoneProblem,
    frame: TargetFrame,
    stacks: Sequence[Layers],
    kinds: Sequence[int],
    odds: Odds,
    within: Within,
    share: float,
    film: NDArray[np.bool_],
) -> Field:
    tried = [
        Tried(
            problem=problem,
            layers=layers,
            stains=kinds[i],
            plain=odds.lab[0],
            lab=odds.lab[i],
            point=float(odds.point[i]),
            dE00=float(odds.expected[i]),
            low=float(odds.low[i]),
            high=float(odds.high[i]),
            accept=float(odds.accept[i]),
            accept_within=float(within.chance[i].mean()),
            firings=float(within.firings[i].mean()),
            hits=odds.hits[i],
            within=within.chance[i],
            kind="add" if layers else "leave",
            later=share,
            lights=odds.lights[i],
            radius=float(odds.radius[i]),
            film=bool(film[i]),
        )
        for i, layers in enumerate(stacks)
    ]
    return Field(problem, frame, tried[0], tuple(tried[1:]))
