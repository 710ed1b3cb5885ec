"""Outcomes that the learning holds back: shown with why and what to do, and decided by somebody of the lab."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.book import Book
from stainbook.book.entries import Entered
from stainbook.colour import delta_e_2000
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import Decision, Outcome
from stainbook.language import say
from stainbook.words.places import place
from stainbook.work.documents.book_schemas import ConfirmResult, DecisionShown, HeldOutcome
from stainbook.work.stains.learnt_told import factors_told, scatters_told
from stainbook.work.stains.outcome_learning import SCOPE, relearn


def held_back(book: Book, case: str | None = None) -> list[HeldOutcome]:
    """The outcomes that were held back when the book was last learnt from, of one case or of all, the oldest first."""
    fit = book.fit(SCOPE)
    held = fit.document.get("held", {}) if fit else {}
    if not held:
        return []
    decided = book.decisions()
    outcomes = book.outcomes_of(case) if case else book.outcomes()
    found = [one for one in outcomes if one.outcome in held and one.outcome not in decided]
    return [held_shown(one) for one in sorted(found, key=lambda one: one.fired_at)]


def held_shown(outcome: Outcome) -> HeldOutcome:
    """An outcome that is held back, in words."""
    apart = _from_expected(outcome)
    zone = f"{outcome.tooth} {outcome.zone}"
    return HeldOutcome(
        outcome=outcome.outcome,
        case=outcome.case,
        tooth=outcome.tooth,
        zone=outcome.zone,
        fired_at=outcome.fired_at,
        dE00=apart,
        why=_why(place(outcome.tooth, outcome.zone), outcome.case, apart),
        next_step=say(
            'read {place} again; `stainbook book confirm {case} "{zone}"` if it was really so, with --wrong if it was '
            "another sample or mix",
            place=place(outcome.tooth, outcome.zone),
            case=outcome.case,
            zone=zone,
        ),
    )


def _why(zone: str, case: str, apart: float | None) -> str:
    if apart is None:
        return say(
            "{zone} of {case} came out otherwise than expected, further than hand, jars and furnace explain: perhaps "
            "the wrong sample was read or the stains were mixed up; nothing is learnt from it yet",
            zone=zone,
            case=case,
        )
    return say(
        "{zone} of {case} came out ΔE00 {apart:.1f} from what was expected, further than hand, jars and furnace "
        "explain: perhaps the wrong sample was read or the stains were mixed up; nothing is learnt from it yet",
        zone=zone,
        case=case,
        apart=apart,
    )


def _from_expected(outcome: Outcome) -> float | None:
    if outcome.got is None or outcome.expected is None:
        return None
    return float(delta_e_2000(outcome.got.lab, outcome.expected.lab))


def decisions_shown(book: Book, case: str, zone: tuple[int, str]) -> list[DecisionShown]:
    """What holds of the outcomes of a zone that somebody decided, with who said so and when."""
    found = [one for one in book.decisions().values() if (one.case, one.tooth, one.zone) == (case, *zone)]
    return [_shown(book.entered("decision", one.outcome)[-1]) for one in found]


def decide(
    book: Book,
    case: str,
    zone: tuple[int, str],
    verdict: str,
    *,
    why: str | None = None,
    fired_at: str | None = None,
) -> ConfirmResult:
    """Say of a zone's outcome that it was really so, that it was wrong, or neither, and learn again.

    verdict : ``true``, ``wrong`` or ``open``. fired_at : which firing; else the one that is held back, else the newest.

    Raises UnknownNameError for a case, zone or firing without an outcome, InputError where nothing is to be opened.
    """
    one = _outcome(book, case, zone, fired_at)
    if verdict == "open" and one.outcome not in book.decisions():
        raise InputError(say("nothing was decided of {outcome!r}: there is nothing to open again", outcome=one.outcome))
    book.add_decisions([Decision(one.case, one.tooth, one.zone, one.fired_at, verdict, why)])
    return held_now(book, _shown(book.entered("decision", one.outcome)[-1]))


def held_now(book: Book, decided: DecisionShown | None = None) -> ConfirmResult:
    """Learn from what the book holds now, and say what is held back and what is learnt."""
    found = relearn(book)
    return ConfirmResult(
        decided=decided, held=held_back(book), learnt=factors_told(found), scatter=scatters_told(found)
    )


def _outcome(book: Book, case: str, zone: tuple[int, str], fired_at: str | None) -> Outcome:
    known = book.outcomes_of(case)
    if not known:
        raise UnknownNameError(say("case with an outcome:"), case, sorted({one.case for one in book.outcomes()}))
    own = sorted((one for one in known if (one.tooth, one.zone) == zone), key=lambda one: one.fired_at)
    if not own:
        zones = sorted({f"{one.tooth} {one.zone}" for one in known})
        raise UnknownNameError(say("zone of {case} with an outcome:", case=case), f"{zone[0]} {zone[1]}", zones)
    if fired_at is None:
        return _meant(own, {one.outcome for one in held_back(book, case)})
    for one in own:
        if one.fired_at == fired_at:
            return one
    raise UnknownNameError(say("firing of {zone}:", zone=place(*zone)), fired_at, (one.fired_at for one in own))


def _meant(own: Sequence[Outcome], held: set[str]) -> Outcome:
    return next((one for one in reversed(own) if one.outcome in held), own[-1])


def _shown(entered: Entered) -> DecisionShown:
    said: Decision = entered.record
    return DecisionShown(
        outcome=said.outcome, verdict=said.verdict, author=entered.author, created_at=entered.created_at, why=said.why
    )
