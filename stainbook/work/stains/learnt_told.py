"""What was learnt, in sentences of the bench: hands, jars, programmes, how far hands scatter."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from stainbook.match.factors import NOBODY, Factor, LearntFactors, NewHand, Scatter
from stainbook.work.documents.book_schemas import HandScatterLearnt, Learnt
from stainbook.work.stains.learnt import Known

TOLD_APART = 0.10  # of ln amount: what is known less surely than this can't yet be told from the hand
SCATTER_TOLD = 0.6  # of the doubt before: outcomes have said more of a scatter than was known without them
WHO_IS_NOT_NAMED = "whoever is not named"


def factors_told(found: LearntFactors | Known | None) -> list[Learnt]:
    """Each hand, jar and programme; one whose outcomes were all held back taught nothing and is not among them."""
    shown = [factor for factor in found.factors.values() if factor.outcomes] if found else []
    return [_told(factor) for factor in sorted(shown, key=lambda one: (one.what, one.stain or "", one.name))]


def scatters_told(found: LearntFactors | None) -> list[HandScatterLearnt]:
    """How far each hand scatters."""
    shown: Iterable[Scatter] = [one for one in found.scatters.values() if one.outcomes] if found else []
    return [
        HandScatterLearnt(
            operator=one.operator,
            scatter=one.scatter,
            low=one.interval[0],
            high=one.interval[1],
            outcomes=one.outcomes,
            told=scatter_told(one),
            sentence=scatter_sentence(one),
        )
        for one in sorted(shown, key=lambda one: one.operator)
    ]


def _told(factor: Factor) -> Learnt:
    low, high = factor.interval
    return Learnt(
        what=factor.what,
        name=factor.name if factor.stain is None else f"{factor.stain} {factor.name}",
        factor=factor.factor,
        low=low,
        high=high,
        outcomes=factor.outcomes,
        sentence=sentence(factor),
    )


def sentence(factor: Factor) -> str:
    """What was learnt of one hand, jar or programme, as the bench says it."""
    name = factor.name or WHO_IS_NOT_NAMED
    who = {
        "operator": f"{name} lays on",
        "lot": f"lot {name} of {factor.stain} fires",
        "programme": f"programme {name} fires",
    }[factor.what]
    times = counted(factor.outcomes)
    if factor.sd > TOLD_APART:
        return f"how strong {who}, {times} can't yet tell from the hand's own scatter"
    percent = 100.0 * (factor.factor - 1.0)
    other = {"operator": "the hand that made the chips", "lot": "the one that the chips were made with"}
    than = other.get(factor.what, "the one that the chips were fired with")
    amount = "as strong as" if abs(percent) < 1.0 else f"{abs(percent):.0f} % {_more(factor, percent)} than"
    return f"{who} {amount} {than}, ± {100.0 * 1.96 * factor.sd * factor.factor:.0f} %, from {times}"


def scatter_told(one: Scatter) -> bool:
    """True where outcomes tell a hand's scatter, rather than what is expected of it."""
    return one.sd <= SCATTER_TOLD * one.before


def new_hand_sentence(operator: str, new: NewHand) -> str:
    """What is taken of a hand that has no outcome yet."""
    percent = 100.0 * (np.exp(new.ln) - 1.0)
    amount = "as much as" if abs(percent) < 1.0 else f"{abs(percent):.0f} % {'more' if percent > 0 else 'less'} than"
    return (
        f"{operator} has no outcome yet: taken to lay on as the lab's hands do on average, {amount} the hand that "
        f"made the chips, ± {196.0 * new.sd * np.exp(new.ln):.0f} %"
    )


def scatter_sentence(one: Scatter) -> str:
    """How far one hand scatters, or that it can't be told yet."""
    who, times = one.operator or WHO_IS_NOT_NAMED, counted(one.outcomes)
    percent = f"{100.0 * one.scatter:.0f} %"
    if not scatter_told(one):
        return f"how far {who} scatters from coat to coat, {times} can't yet tell: {percent} is counted with"
    low, high = (100.0 * value for value in one.interval)
    return f"{who} scatters by {percent} a coat ({low:.0f} to {high:.0f} %), from {times}"


def counted(outcomes: int) -> str:
    """So many outcomes."""
    return "1 outcome" if outcomes == 1 else f"{outcomes} outcomes"


def _more(factor: Factor, percent: float) -> str:
    if factor.what == "operator" and factor.name != NOBODY:
        return "more" if percent > 0 else "less"
    return "stronger" if percent > 0 else "weaker"
