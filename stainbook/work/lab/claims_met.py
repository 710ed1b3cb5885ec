"""What chances and radii were worth: claims that were stored before a firing, against what came out of it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from stainbook.book import Book
from stainbook.colour import delta_e_2000
from stainbook.kept import Claim, Outcome
from stainbook.language import joined, say
from stainbook.words import trust as words
from stainbook.work.documents.trust_schemas import TrustBeside, TrustBin, TrustGroup, TrustPart, TrustResult, TrustShare
from stainbook.work.lab.numbers import check_days, within_days
from stainbook.work.lab.things import wilson
from stainbook.work.lab.who_sees import WhoseNumbers, seen_by_author
from stainbook.work.reading.lab_settings import limits_in

FEWEST = 20  # zones of a share: with fewer its interval is wider than 40 in 100
FEWEST_MEAN = 5  # zones of a mean ΔE00
BINS = 10  # of claimed chances, before those that hold too few are joined


@dataclass(frozen=True, slots=True)
class _Judged:
    """A zone with what was claimed of it and what came; ``inside`` None where the claim has no radius."""

    outcome: Outcome
    claim: Claim
    chance: float
    met: bool
    inside: bool | None
    expected: float | None
    got: float

    @property
    def firing(self) -> tuple[str, str]:
        """Zones of one firing share its hand, its jars and its reading: they err together."""
        return self.outcome.case, self.outcome.fired_at


BY: dict[str, Callable[[Outcome], Iterable[str]]] = {
    "month": lambda one: (one.fired_at[:7],),
    "stain": lambda one: sorted({name for layer in one.layers for name in layer.pot.stains}),
    "programme": lambda one: (one.programme or say("not stated"),),
    "technician": lambda one: (one.operator or say("not stated"),),
}


def trust(book: Book, *, since: str | None = None, until: str | None = None) -> TrustResult:
    """Claims against outcomes, of zones painted as chosen and, where the lab looked on, of those that were not.

    since, until : first and last day of the firings that count (``2026-03-01``, UTC); None: no end on that side

    Raises InputError for what is no day.
    """
    check_days(since, until)
    told = [one for one in book.outcomes() if one.claim is not None and within_days(one, since, until)]
    limits = {tissue: one.acceptable for tissue, one in limits_in(book).items()}
    many_lights = {code for code, case in book.cases().items() if case.lights}
    wrong = {name for name, one in book.decisions().items() if one.verdict == "wrong"}
    chosen: list[_Judged] = []
    shadow: list[_Judged] = []
    left: Counter[str] = Counter()
    for one in sorted(told, key=lambda one: (one.fired_at, one.outcome)):
        why = "wrong" if one.outcome in wrong else "lights" if one.case in many_lights else _not_judged(one)
        if why is not None:
            left[why] += 1
            continue
        assert one.claim is not None
        (shadow if one.claim.shown is False else chosen).append(_judged(one, one.claim, limits[one.tissue]))
    sees = seen_by_author(book)
    return TrustResult(
        chosen=_told(_part(chosen, words.CHOSEN), sees),
        shadow=_told(_part(shadow, words.LOOKED_ON), sees) if shadow else None,
        beside=_beside(shadow),
        left_out=dict(sorted(left.items())),
    )


def _told(part: TrustPart, sees: WhoseNumbers) -> TrustPart:
    """The part without the technicians whose numbers are not told."""
    groups = [one for one in part.groups if one.by != "technician" or sees.tells(one.name)]
    return part.model_copy(update={"groups": groups})


def _not_judged(one: Outcome) -> str | None:
    """Why nothing can be said of a claim, as `words.left_out` knows it; None where something can."""
    if one.after is None or one.got is None:
        return "not read"
    claim = one.claim
    if claim is None or claim.accept is None or one.to_target is None:
        return "no target"
    if claim.colour is not None and claim.colour.viewing != one.got.viewing:
        return "other light"
    return None


def _judged(one: Outcome, claim: Claim, limit: float) -> _Judged:
    assert one.got is not None
    assert one.to_target is not None
    inside = None
    if claim.radius is not None and claim.colour is not None:
        inside = float(delta_e_2000(np.array(one.got.lab), np.array(claim.colour.lab))) <= claim.radius
    return _Judged(
        one, claim, float(claim.accept or 0.0), one.to_target <= limit, inside, claim.dE00, float(one.to_target)
    )


# ---------------------------------------------------------------- shares


def _part(zones: Sequence[_Judged], what: str) -> TrustPart:
    together = erring_together(zones)
    whole = TrustShare(**_share(zones, together))
    return TrustPart(
        whole=whole,
        firings=len({one.firing for one in zones}),
        bins=[TrustBin(least=own[0].chance, most=own[-1].chance, **_share(own, together)) for own in binned(zones)],
        groups=[
            TrustGroup(by=by, name=name, **_share(own, together)) for by in BY for name, own in _grouped(zones, by)
        ],
        said=_said(whole, len({one.firing for one in zones}), what),
    )


def erring_together(zones: Sequence[_Judged]) -> float:
    """How many times wider than of zones apart the variance of a share is, since zones of a firing err together.

    The design effect of clusters: the squares of the firings' sums of met less claimed over those of the zones, at
    least 1 (Kish L. Survey sampling. 1965).
    """
    sums: dict[tuple[str, str], float] = defaultdict(float)
    for one in zones:
        sums[one.firing] += one.met - one.chance
    alone = sum((one.met - one.chance) ** 2 for one in zones)
    return max(1.0, sum(value**2 for value in sums.values()) / alone) if alone > 0.0 else 1.0


def binned(zones: Sequence[_Judged]) -> list[list[_Judged]]:
    """Zones by what was claimed, in tenths; tenths with too few are joined to their neighbours, none has under 20."""
    if len(zones) < FEWEST:
        return []
    tenths: dict[int, list[_Judged]] = defaultdict(list)
    for one in sorted(zones, key=lambda one: one.chance):
        tenths[min(int(one.chance * BINS), BINS - 1)].append(one)
    found: list[list[_Judged]] = [[]]
    for tenth in sorted(tenths):
        if len(found[-1]) >= FEWEST:
            found.append([])
        found[-1] += tenths[tenth]
    if len(found) > 1 and len(found[-1]) < FEWEST:
        last = found.pop()
        found[-1] += last
    return found


def _grouped(zones: Sequence[_Judged], by: str) -> Iterator[tuple[str, list[_Judged]]]:
    groups: dict[str, list[_Judged]] = defaultdict(list)
    for one in zones:
        for name in BY[by](one.outcome):
            groups[name].append(one)
    yield from sorted(groups.items())


def _share(zones: Sequence[_Judged], together: float) -> dict[str, Any]:
    """The fields of a TrustShare; what so few zones cannot tell is None."""
    found: dict[str, Any] = dict.fromkeys(("claimed", "met", "met_low", "met_high"))
    found["zones"] = len(zones)
    if len(zones) >= FEWEST:
        met = sum(one.met for one in zones)
        low, high = wilson(met / together, len(zones) / together)
        found |= {"claimed": _mean([one.chance for one in zones]), "met": met / len(zones)}
        found |= {"met_low": low, "met_high": high}
    held = [one.inside for one in zones if one.inside is not None]
    found["with_radius"] = len(held)
    if len(held) >= FEWEST:
        low, high = wilson(sum(held) / together, len(held) / together)
        found |= {"inside": sum(held) / len(held), "inside_low": low, "inside_high": high}
    expected = [one.expected for one in zones if one.expected is not None]
    if len(expected) >= FEWEST_MEAN:
        found |= {"expected": _mean(expected), "got": _mean([one.got for one in zones])}
    return found


def _mean(values: Sequence[float]) -> float:
    return float(np.mean(values))


def _said(whole: TrustShare, firings: int, what: str) -> str:
    if whole.claimed is None or whole.met is None or whole.met_low is None or whole.met_high is None:
        return words.unknown(whole.zones, FEWEST, what)
    said = words.known(whole.zones, firings, whole.claimed, (whole.met, whole.met_low, whole.met_high), what)
    if whole.inside is None or whole.inside_low is None or whole.inside_high is None:
        return said
    inside = words.radius(whole.with_radius, whole.inside, whole.inside_low, whole.inside_high)
    return joined([said, inside], " ")


def _beside(shadow: Sequence[_Judged]) -> TrustBeside | None:
    """The hand beside the program's own first steps; None where nothing was looked on at."""
    own = [
        (one, step.accept, step.dE00)
        for one in shadow
        if (beside := one.outcome.beside) is not None
        and (step := beside.claim) is not None
        and step.accept is not None
        and step.dE00 is not None
    ]
    if not own:
        return None
    if len(own) < FEWEST:
        said = words.unknown(len(own), FEWEST, words.LOOKED_ON)
        return TrustBeside(zones=len(own), claimed=None, met=None, expected=None, got=None, said=said)
    claimed, expected = _mean([accept for _, accept, _ in own]), _mean([dE00 for *_, dE00 in own])
    met, got = _mean([one.met for one, *_ in own]), _mean([one.got for one, *_ in own])
    said = words.beside(len(own), claimed, met, expected, got)
    return TrustBeside(zones=len(own), claimed=claimed, met=met, expected=expected, got=got, said=said)
