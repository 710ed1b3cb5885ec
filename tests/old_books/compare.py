"""Sets what is told now beside what was told then: each place that differs, but for those that are named."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from tests.old_books.told import Answer
from tests.old_books.told_differently import TOLD_DIFFERENTLY, ToldDifferently

# Absolute tolerances. What was stored is told as it was stored: only its rounding to six decimals may show.
ROUNDING = 1.01e-6
# What is worked out from a stored fit goes through factorings and sums whose order is the machine's. With OpenBLAS told
# to be of three kinds (OPENBLAS_CORETYPE Prescott, Nehalem, Haswell) no sixth decimal of advice and bench sheets moved;
# another library may move the fifth.
WORKED_OUT = 1e-5
COMPUTED = frozenset({"advise", "bench", "explain", "plan", "predict", "report", "report --csv"})


@dataclass(frozen=True, slots=True)
class Difference:
    """One place of one answer that is told otherwise; ``None`` where one side tells nothing there."""

    set: str
    command: str
    case: str
    asked: str
    path: str
    then: Any
    now: Any

    def __str__(self) -> str:
        return f"{self.set}: {self.asked} ({self.case}): {self.path}: then {self.then!r}, now {self.now!r}"


def differences(name: str, then: Sequence[Answer], now: Sequence[Answer]) -> list[Difference]:
    """All places in which the answers of now differ from those of then; an answer that is missing is one too.

    A key that only the present program tells extends what it said and is none; a longer list is one.
    """
    before, after = ({one.asked: one for one in side} for side in (then, now))
    found = []
    for asked, one in before.items():
        tolerance = WORKED_OUT if one.command in COMPUTED else ROUNDING
        sides = [{"status": it.status, "told": it.told} if it else None for it in (one, after.get(asked))]
        found += [
            Difference(name, one.command, one.case, asked, path.lstrip("."), *values)
            for path, *values in _apart("", *sides, tolerance)
        ]
    return found


def _apart(path: str, then: Any, now: Any, tolerance: float) -> Iterator[tuple[str, Any, Any]]:
    if isinstance(then, dict) and isinstance(now, dict):
        for key in then:  # a key that is told now alone extends the contract
            yield from _apart(f"{path}.{key}", then.get(key), now.get(key), tolerance)
    elif isinstance(then, list) and isinstance(now, list):
        if len(then) != len(now):
            yield f"{path}.length", len(then), len(now)
        for number, (old, new) in enumerate(zip(then, now, strict=False)):
            yield from _apart(f"{path}[{number}]", old, new, tolerance)
    elif not _same(then, now, tolerance):
        yield path, then, now


def _same(then: Any, now: Any, tolerance: float) -> bool:
    numbers = [isinstance(one, int | float) and not isinstance(one, bool) for one in (then, now)]
    if all(numbers):
        return bool(abs(then - now) <= tolerance)
    return type(then) is type(now) and bool(then == now)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What differs without being named, and what is named and does not differ."""

    unnamed: list[Difference]
    unused: list[ToldDifferently]


def judged(
    name: str,
    then: Iterable[Answer],
    found: Iterable[Difference],
    named: Sequence[ToldDifferently] = TOLD_DIFFERENTLY,
) -> Verdict:
    """Differences of a set against those that are named; ``then`` is what was asked of it."""
    used: set[ToldDifferently] = set()
    unnamed = []
    for one in found:
        holding = [it for it in named if it.holds(one.set, one.command, one.case, one.path)]
        used.update(holding)
        if not holding:
            unnamed.append(one)
    asked = [(one.command, one.case) for one in then]
    unused = [it for it in named if it not in used and any(it.asks(name, *one) for one in asked)]
    return Verdict(unnamed, unused)
