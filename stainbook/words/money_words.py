"""Prices in words; the currency is the lab's own text."""

from __future__ import annotations

from typing import Protocol

from stainbook.language import joined, say, say_as
from stainbook.words.figures import figure, tenths

NONE = "–"


def price(amount: float, currency: str | None) -> str:
    """An amount with the lab's currency, whole above 100.

    >>> price(12.5, "€"), price(374.2, None)
    ('12.50 €', '374')
    """
    said = figure(amount, ".0f" if amount >= 100.0 else ".2f")
    return joined([said, currency], " ") if currency else said


def remake_costs(amount: float, currency: str | None) -> str:
    """What a remake costs: the blank and the firings that it is expected to take.

    >>> remake_costs(74.0, "€")
    'blank and firings cost some 74.00 €'
    """
    return say("blank and firings cost some {price}", price=price(amount, currency))


PERIODS = {
    "before": say_as("of a day", "before"),
    "since": say_as("of a day", "since"),
    "all": say_as("of periods", "all"),
}


class Took(Protocol):
    """What cases took, in means a case; None where it is not told."""

    cases: int
    firings: float | None
    strips: float | None
    try_ins: float | None
    remakes: float | None
    minutes: float | None
    cost: float | None


def figures(took: Took, currency: str | None) -> tuple[str, ...]:
    """Cells of a period: cases, firings, strips, try-ins, remakes, minutes and cost a case.

    >>> from types import SimpleNamespace
    >>> took = SimpleNamespace(cases=24, firings=2.1, strips=0.0, try_ins=1.0, remakes=0.1, minutes=None, cost=80.0)
    >>> figures(took, "EUR")
    ('24', '2.1', '0.0', '1.0', '0.1', '–', '80.00 EUR')
    """
    counts = (took.firings, took.strips, took.try_ins, took.remakes)
    return (
        str(took.cases),
        *(NONE if one is None else tenths(one) for one in counts),
        NONE if took.minutes is None else f"{took.minutes:.0f}",
        NONE if took.cost is None else price(took.cost, currency),
    )
