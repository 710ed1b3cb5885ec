"""Advice for a whole case: every zone's verdict and moves, and the chance that all of it is accepted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from stainbook.match.advice import CaseAdvice, FollowOn, Kind, NextStep, Verdict, ZoneAdvice
from stainbook.match.few_mixes import each_alone, palettes, served_of
from stainbook.match.follow_on import follow_on
from stainbook.match.gap import gap_of
from stainbook.match.guess import diverse
from stainbook.match.layer_options import Options, options_of, pots_used
from stainbook.match.moves import Field, Ready, Tried, all_accepted, ready_for, searches_of, stages_of, try_all
from stainbook.match.offer import no_firing_reason
from stainbook.match.problem import Bench, Start, ZoneProblem, equal_zones
from stainbook.match.rank import ranked
from stainbook.match.reasons import ZoneNote
from stainbook.match.verdict import brought_there, leaves, no_liquid, reached, what_would_help
from stainbook.match.watch import UNWATCHED, Watch
from stainbook.match.why import why
from stainbook.records import Pot

SHOWN = 5
ALIKE = 1  # most moves shown that use the same stains
ELSEWHERE = 2  # most moves shown on a stripped piece or on each other blank
SURE = 0.9  # stripping or another blank is not looked at for a zone that stain brings there so surely


def advise_case(
    bench: Bench,
    problems: Sequence[ZoneProblem],
    *,
    stage: str | None = None,
    blanks: Mapping[str, Start] | None = None,
    shown: int = SHOWN,
    watch: Watch = UNWATCHED,
    ready: Ready | None = None,
) -> CaseAdvice:
    """The verdict and the next steps in order, of every zone of a case.

    Parameters
    ----------
    bench : what may be put on; its limits are the case's
    problems : the zones
    stage : of the piece, a word of formats.md
    blanks : other blanks by name, for zones that stain cannot bring there
    shown : most steps a zone
    watch : follows the progress of the work, and stores each zone's result before mixes are limited
    ready : the zones as `ready_case` made them ready, where that was done before

    Raises
    ------
    StoppedError : when ``watch`` was asked to stop
    UnknownNameError : for a target under an unknown light or observer

    Cost: see `candidates` and `optics.forecast`; the chance of the whole case costs nothing more, since
    draws of one source carry the same numbers in every zone.

    >>> import numpy as np
    >>> from stainbook.colour import thresholds
    >>> from stainbook.match import Bench, Start, ZoneProblem, advise_case
    >>> from stainbook.optics.curves import Optics
    >>> from stainbook.optics.film import Piece
    >>> from stainbook.records import Viewing
    >>> bench = Bench(Optics({}), ("husk",), {"husk": ("surface", "brown")})
    >>> now = Start(Piece(np.full(31, 0.5), "glazed", 0.0, bench.optics.ceramic("zirconia")), "11 middle")
    >>> zone = ZoneProblem((11, "middle"), "tooth", now, (73.0, 1.0, 5.0), Viewing(), thresholds("tooth"))
    >>> advice = advise_case(bench, [zone], stage="stained").zones[0]
    >>> advice.verdict, round(advice.gap.dL, 1), advice.moves[0].kind
    ('stain', 3.1, 'add')
    """
    reason = no_firing_reason(stage, bench.limits.firings_left)
    options = None if reason else bench.options
    ready = ready or ready_for(bench, problems, options, watch=watch)

    def done(some: Sequence[Field]) -> None:
        watch.leave([_zone(bench, one, (), reason, shown)[0] for one in some])

    fields = try_all(bench, problems, options, watch=watch, ready=ready, on_fields=done)
    if options is not None and bench.limits.pots is not None:
        fields, options = _within_palette(bench, ready, options, fields, watch)
    elsewhere = _elsewhere(bench, fields, options, blanks or {}) if options is not None else {}
    told = [_zone(bench, one, elsewhere.get(i, []), reason, shown) for i, one in enumerate(fields)]
    for group in equal_zones([field.problem for field in fields]):
        places = sorted(group, key=lambda i: fields[i].problem.key)
        for i in places[1:]:
            told[i] = _as_the_first(bench, fields[i], told[i], told[places[0]])
    first = [_first(field, order) for field, (_, order) in zip(fields, told, strict=True)]
    then = follow_on(bench, ready, {i: one.layers for i, one in enumerate(first) if one.kind in ("add", "leave")})
    return CaseAdvice(
        accept=all_accepted([one.hits for one in first if one.problem.counts]),
        accept_within=all_accepted([one.within for one in first if one.problem.counts]),
        zones=tuple(_with_then(zone, then.get(i)) for i, (zone, _) in enumerate(told)),
        pots=pots_used([[layer.pot for layer in one.layers] for one in first]),
    )


def _with_then(zone: ZoneAdvice, then: FollowOn | None) -> ZoneAdvice:
    """The zone with the surface stain that is expected to follow on its first step."""
    if then is None or not zone.moves or zone.moves[0].kind not in ("add", "leave"):
        return zone
    return replace(zone, moves=(replace(zone.moves[0], then=then), *zone.moves[1:]))


def ready_case(
    bench: Bench, problems: Sequence[ZoneProblem], *, stage: str | None = None, watch: Watch = UNWATCHED
) -> Ready:
    """The zones of a case, made ready for the layers that may be put on them at this stage.

    Parameters
    ----------
    bench, problems, stage, watch : as for `advise_case`

    Returns
    -------
    Ready : for `advise_case` and `tried_by_hand`; zones on which nothing is fired have no search

    Raises
    ------
    StoppedError : when ``watch`` was asked to stop
    UnknownNameError : for a target under an unknown light or observer

    >>> import numpy as np
    >>> from stainbook.colour import thresholds
    >>> from stainbook.match import Bench, Start, ZoneProblem, ready_case
    >>> from stainbook.optics.curves import Optics
    >>> from stainbook.optics.film import Piece
    >>> from stainbook.records import Viewing
    >>> bench = Bench(Optics({}), ("husk",))
    >>> now = Start(Piece(np.full(31, 0.5), "glazed", 0.0, bench.optics.ceramic("zirconia")), "11 middle")
    >>> zone = ZoneProblem((11, "middle"), "tooth", now, (73.0, 1.0, 5.0), Viewing(), thresholds("tooth"))
    >>> [list(ready_case(bench, [zone], stage=stage).searches) for stage in ("stained", "delivered")]
    [[0], []]
    """
    reason = no_firing_reason(stage, bench.limits.firings_left)
    return ready_for(bench, problems, None if reason else bench.options, watch=watch)


def advise_zone(bench: Bench, problem: ZoneProblem, *, stage: str | None = None) -> ZoneAdvice:
    """The verdict and the next steps in order, of a single zone; see `advise_case`.

    >>> import numpy as np
    >>> from stainbook.colour import thresholds
    >>> from stainbook.match import Bench, Start, ZoneProblem, advise_zone
    >>> from stainbook.optics.curves import Optics
    >>> from stainbook.optics.film import Piece
    >>> from stainbook.records import Viewing
    >>> now = Start(Piece(np.full(31, 0.5), "glazed", 0.0, Optics({}).ceramic("zirconia")), "11 middle")
    >>> zone = ZoneProblem((11, "middle"), "tooth", now, (76.0, 0.0, 0.0), Viewing(), thresholds("tooth"))
    >>> advise_zone(Bench(Optics({}), ("husk",)), zone).verdict
    'leave'
    """
    return advise_case(bench, [problem], stage=stage).zones[0]


def _first(field: Field, order: Sequence[Tried]) -> Tried:
    """The zone's first move on this piece: another blank would be one for all its zones, not for this one."""
    return next((one for one in order if one.kind != "remake"), field.leave)


def _within_palette(
    bench: Bench, ready: Ready, options: Options, fields: list[Field], watch: Watch
) -> tuple[list[Field], Options | None]:
    """Fields and options as they are when the first moves keep to the limit of mixes, else with the best mixes alone.

    The mixes are those of `exchange`, as for a plan.
    """
    most = bench.limits.pots
    firsts = [field.leave if leaves(field) else ranked(field.all)[0] for field in fields]
    if most is None or len(pots_used([[layer.pot for layer in one.layers] for one in firsts])) <= most:
        return fields, options
    stages = [stages_of(bench, ready, i) for i in range(len(fields))]
    served = served_of(searches_of(ready), [not reached(field.all) for field in fields], stages)
    tissues = [problem.tissue for problem in ready.problems]
    few, every = dict(enumerate(fields)), list[Pot]()
    for tissue, count in _shared_out(tissues, most).items():
        places = [i for i, one in enumerate(tissues) if one == tissue]
        own = [served[i] for i in places if ready.problems[i].counts] or [served[i] for i in places]
        kinds, layers = each_alone(own), bench.limits.passes
        found = palettes(kinds, options, most=count, layers=layers, barred=every, watch=watch) if count else []
        pots = found[-1][0].pots if found else ()
        mixed = options_of(pots, bench.limits.coats, in_all=bench.limits.most_coats) if pots else None
        few.update(zip(places, try_all(bench, [ready.problems[i] for i in places], mixed, watch=watch), strict=True))
        every += pots
    whole = options_of(every, bench.limits.coats, in_all=bench.limits.most_coats) if every else None
    return [few[i] for i in range(len(fields))], whole


def _shared_out(tissues: Sequence[str], most: int) -> dict[str, int]:
    """Mixes for teeth and for gum by the number of their zones, at least one each where there are two."""
    counted = {tissue: tissues.count(tissue) for tissue in dict.fromkeys(tissues)}
    if len(counted) == 1 or most < 2:
        return {tissue: most if place == 0 else 0 for place, tissue in enumerate(counted)}
    first, other = counted
    share = min(max(round(most * counted[first] / len(tissues)), 1), most - 1)
    return {first: share, other: most - share}


def _elsewhere(
    bench: Bench, fields: Sequence[Field], options: Options, blanks: Mapping[str, Start]
) -> dict[int, list[Tried]]:
    """Moves on the stripped piece, or on other blanks where stain cannot bring a zone there, by the zone's place."""
    found: dict[int, list[Tried]] = {}
    unsure = [i for i, field in enumerate(fields) if field.problem.counts and _best_chance(field) < SURE]
    lost = [i for i in unsure if not reached(fields[i].all)]
    trips: list[tuple[list[tuple[int, Start]], Kind, str | None]] = []
    trips.append(
        ([(i, bare) for i in unsure if (bare := fields[i].problem.bare) is not None], "strip and restain", None)
    )
    trips += [([(i, blank) for i in lost], "remake", name) for name, blank in blanks.items()]
    for places, kind, name in trips:
        if not places:
            continue
        there = [replace(fields[i].problem, now=start, firings_of={}) for i, start in places]
        for (i, _), field in zip(places, try_all(bench, there, options), strict=True):
            better = [one for one in ranked(field.adds) if one.accept_within > _best_chance(fields[i]) + 0.1]
            found.setdefault(i, []).extend(replace(one, kind=kind, on=name) for one in better[:ELSEWHERE])
    return found


def _best_chance(field: Field) -> float:
    return max(one.accept_within for one in field.all)


def _zone(
    bench: Bench, field: Field, elsewhere: Sequence[Tried], reason: ZoneNote | None, shown: int
) -> tuple[ZoneAdvice, list[Tried]]:
    """The advice, and the moves behind it in the same order."""
    verdict, note, order = _judged(bench, field, elsewhere, reason)
    kinds = [(one.kind, one.on, one.stains) for one in order]
    order = [order[i] for i in diverse(kinds, shown, ALIKE)]
    left = field.leave
    gap = gap_of(left.lab, field.frame.target, field.problem.thresholds, low=left.low, high=left.high)
    moves = tuple(move_of(bench, field, one, rank) for rank, one in enumerate(order, start=1))
    return ZoneAdvice(field.problem.key, field.problem.tissue, gap, verdict, note, moves), order


def _as_the_first(
    bench: Bench, field: Field, own: tuple[ZoneAdvice, list[Tried]], first: tuple[ZoneAdvice, list[Tried]]
) -> tuple[ZoneAdvice, list[Tried]]:
    """The advice of a zone with the first step of its equal first: luck of draws tells none apart."""
    advice, order = own
    if not order or not first[1] or advice.verdict != first[0].verdict:
        return own
    tried = {(one.kind, one.on, one.layers): one for one in (*field.all, *order)}
    wanted = [(one.kind, one.on, one.layers) for one in first[1]]
    if wanted[0] not in tried:
        return own
    order = [tried[step] for step in wanted if step in tried]
    moves = tuple(move_of(bench, field, one, rank) for rank, one in enumerate(order, start=1))
    return replace(advice, moves=moves), order


def _judged(
    bench: Bench, field: Field, elsewhere: Sequence[Tried], reason: ZoneNote | None
) -> tuple[Verdict, ZoneNote | None, list[Tried]]:
    """Verdict, what to know about it, and the moves in their order."""
    if reason is not None:
        return "no firing", reason, []
    if leaves(field):
        order = ranked(field.all)
        return "leave", ZoneNote("accepted"), order[order.index(field.leave) :]
    order = ranked([*field.all, *elsewhere])
    if brought_there(bench, field) and (field.adds or elsewhere):
        return "stain", None, order
    if bench.soaks and field.problem.tissue == "gingiva":
        return "out of reach", no_liquid(bench, field), [field.leave, *(one for one in order if one.kind == "remake")]
    return "out of reach", what_would_help(bench, field, ranked(field.all)[0]), order


def move_of(bench: Bench, field: Field, one: Tried, rank: int) -> NextStep:
    """One step as it was tried on a zone, in the form of advice at its rank."""
    L, a, b = (float(value) for value in one.lab)
    return NextStep(
        rank=rank,
        kind=one.kind,
        layers=one.layers,
        lab=(L, a, b),
        viewing=one.problem.viewing,
        dE00=one.dE00,
        low=one.low,
        high=one.high,
        point=one.point,
        accept=one.accept,
        accept_within=one.accept_within,
        firings=one.firings,
        why=why(bench, field, one),
        on=one.on,
        lights=one.lights,
        radius=one.radius,
    )
