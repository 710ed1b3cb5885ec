"""What was learnt, in sentences of the bench: hands, jars, programmes, how far hands scatter."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from stainbook.language import say, say_n
from stainbook.match.factors import Factor, LearntFactors, NewHand, Scatter
from stainbook.work.documents.book_schemas import HandScatterLearnt, Learnt
from stainbook.work.stains.learnt import Known

TOLD_APART = 0.10  # of ln amount: what is known less surely than this can't yet be told from the hand
SCATTER_TOLD = 0.6  # of the doubt before: outcomes have said more of a scatter than was known without them
WHO_IS_NOT_NAMED = say("whoever is not named")


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
    name, times = factor.name or WHO_IS_NOT_NAMED, counted(factor.outcomes)
    if factor.sd > TOLD_APART:
        return _not_yet(factor, name, times)
    percent = 100.0 * (factor.factor - 1.0)
    known = {"percent": abs(percent), "doubt": 100.0 * 1.96 * factor.sd * factor.factor, "times": times, "name": name}
    way = _way(percent)
    if factor.what == "operator":
        return _of_hand(way, known)
    return _of_lot(way, {**known, "stain": factor.stain}) if factor.what == "lot" else _of_programme(way, known)


def _not_yet(factor: Factor, name: str, times: str) -> str:
    if factor.what == "operator":
        return say(
            "how strong {name} lays on, {times} can't yet tell from the hand's own scatter", name=name, times=times
        )
    if factor.what == "lot":
        return say(
            "how strong lot {name} of {stain} fires, {times} can't yet tell from the hand's own scatter",
            name=name,
            stain=factor.stain,
            times=times,
        )
    return say(
        "how strong programme {name} fires, {times} can't yet tell from the hand's own scatter", name=name, times=times
    )


def _way(percent: float) -> int:
    """1 for more, -1 for less, 0 for what is less than a percent."""
    return 0 if abs(percent) < 1.0 else 1 if percent > 0 else -1


def _of_hand(way: int, known: Mapping[str, object]) -> str:
    if way > 0:
        return say(
            "{name} lays on {percent:.0f} % more than the technician who painted the stripes, ± {doubt:.0f} %, "
            "from {times}",
            **known,
        )
    if way < 0:
        return say(
            "{name} lays on {percent:.0f} % less than the technician who painted the stripes, ± {doubt:.0f} %, "
            "from {times}",
            **known,
        )
    return say(
        "{name} lays on as much as the technician who painted the stripes, ± {doubt:.0f} %, from {times}", **known
    )


def _of_lot(way: int, known: Mapping[str, object]) -> str:
    if way > 0:
        return say(
            "lot {name} of {stain} fires {percent:.0f} % stronger than the lot of the stripes, ± {doubt:.0f} %, "
            "from {times}",
            **known,
        )
    if way < 0:
        return say(
            "lot {name} of {stain} fires {percent:.0f} % weaker than the lot of the stripes, ± {doubt:.0f} %, "
            "from {times}",
            **known,
        )
    return say(
        "lot {name} of {stain} fires as strong as the lot of the stripes, ± {doubt:.0f} %, from {times}", **known
    )


def _of_programme(way: int, known: Mapping[str, object]) -> str:
    if way > 0:
        return say(
            "programme {name} fires {percent:.0f} % stronger than the programme of the stripes, ± {doubt:.0f} %, "
            "from {times}",
            **known,
        )
    if way < 0:
        return say(
            "programme {name} fires {percent:.0f} % weaker than the programme of the stripes, ± {doubt:.0f} %, "
            "from {times}",
            **known,
        )
    return say(
        "programme {name} fires as strong as the programme of the stripes, ± {doubt:.0f} %, from {times}", **known
    )


def scatter_told(one: Scatter) -> bool:
    """True where outcomes tell a hand's scatter, rather than what is expected of it."""
    return one.sd <= SCATTER_TOLD * one.before


def new_hand_sentence(operator: str, new: NewHand) -> str:
    """What is taken of a hand that has no outcome yet."""
    percent = 100.0 * (np.exp(new.ln) - 1.0)
    known = {"name": operator, "percent": abs(percent), "doubt": 196.0 * new.sd * np.exp(new.ln)}
    way = _way(percent)
    if way > 0:
        return say(
            "{name} has no outcome yet: taken to lay on as the lab's hands do on average, {percent:.0f} % more "
            "than the technician who painted the stripes, ± {doubt:.0f} %",
            **known,
        )
    if way < 0:
        return say(
            "{name} has no outcome yet: taken to lay on as the lab's hands do on average, {percent:.0f} % less "
            "than the technician who painted the stripes, ± {doubt:.0f} %",
            **known,
        )
    return say(
        "{name} has no outcome yet: taken to lay on as the lab's hands do on average, as much as the technician who "
        "painted the stripes, ± {doubt:.0f} %",
        **known,
    )


def scatter_sentence(one: Scatter) -> str:
    """How far one hand scatters, or that it can't be told yet."""
    who, times, percent = one.operator or WHO_IS_NOT_NAMED, counted(one.outcomes), 100.0 * one.scatter
    if not scatter_told(one):
        return say(
            "how far {name} scatters from coat to coat, {times} can't yet tell: {percent:.0f} % is counted with",
            name=who,
            times=times,
            percent=percent,
        )
    low, high = (100.0 * value for value in one.interval)
    return say(
        "{name} scatters by {percent:.0f} % a coat ({low:.0f} to {high:.0f} %), from {times}",
        name=who,
        percent=percent,
        low=low,
        high=high,
        times=times,
    )


def counted(outcomes: int) -> str:
    """So many outcomes."""
    return say_n("{n} outcome", "{n} outcomes", outcomes)
