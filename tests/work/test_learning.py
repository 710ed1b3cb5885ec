"""What was learnt, in a sentence that claims no more than is known."""

import numpy as np
import pytest

from stainbook.kept import Outcome
from stainbook.match.factors import Factor, NewHand, Scatter
from stainbook.optics.curves import Optics
from stainbook.optics.forecast import LOT_SD, OPERATOR_SD
from stainbook.work.stains.learnt import Known, hands_of
from stainbook.work.stains.learnt_told import new_hand_sentence, scatter_sentence, sentence
from stainbook.work.stains.outcome_learning import FEW, MOST, NEWEST, learnt_from, lots_before
from stainbook.work.stains.predict import LabOptics
from tests.book.worked import outcome


@pytest.mark.parametrize(
    ("factor", "told"),
    [
        (
            Factor("lot", "24-117", "husk", ln=0.1655, sd=0.026, outcomes=40),
            "lot 24-117 of husk fires 18 % stronger than the lot of the stripes, ± 6 %, from 40 outcomes",
        ),
        (
            Factor("operator", "bench-2", None, ln=-0.0834, sd=0.02, outcomes=12),
            "bench-2 lays on 8 % less than the technician who painted the stripes, ± 4 %, from 12 outcomes",
        ),
        (
            Factor("programme", "glaze-770", None, ln=0.002, sd=0.02, outcomes=9),
            "programme glaze-770 fires as strong as the programme of the stripes, ± 4 %, from 9 outcomes",
        ),
        (
            Factor("lot", "24-118", "teasel", ln=0.2, sd=0.15, outcomes=1),
            "how strong lot 24-118 of teasel fires, 1 outcome can't yet tell from the hand's own scatter",
        ),
    ],
)
def test_each_factor_is_a_sentence(factor, told):
    assert sentence(factor) == told


# ---------------------------------------------------------------- which outcomes are learnt from, and what for


def done(number: int, operator: str = "bench-2", lot: str = "24-117") -> Outcome:
    when = f"2026-01-01T{number // 3600:02d}:{number // 60 % 60:02d}:{number % 60:02d}Z"
    return outcome(f"W-{number}", operator=operator, lots=(("husk", lot),), fired_at=when)


def test_the_newest_are_learnt_from_and_a_few_of_what_they_no_longer_show() -> None:
    old = [done(i, "bench-1", "23-001") for i in range(20)]
    new = [done(20 + i) for i in range(NEWEST + 50)]
    taken = learnt_from([*old, *new])
    assert taken == [*old[-FEW:], *new[-NEWEST:]]
    assert learnt_from(new[:5]) == new[:5]


def test_old_jars_without_end_do_not_grow_without_end() -> None:
    jars = [done(i, lot=f"lot-{i // 5}") for i in range(2 * NEWEST)]
    assert len(learnt_from(jars)) == MOST


def test_each_lot_follows_the_one_that_was_in_use_when_it_came() -> None:
    order = ["chips", "a", "a", "b", "a", "c"]
    found = lots_before([done(i, lot=lot) for i, lot in enumerate(order)])
    assert found == {("husk", "chips"): "", ("husk", "a"): "chips", ("husk", "b"): "a", ("husk", "c"): "a"}


OPTICS = Optics({}, operator="bench-1")
KNOWN = Known(
    factors={
        one.key: one
        for one in (
            Factor("operator", "bench-2", None, ln=0.12, sd=0.02, outcomes=30),
            Factor("operator", "", None, ln=-0.1, sd=0.03, outcomes=30),
            Factor("lot", "a", "husk", ln=0.2, sd=0.03, outcomes=30),
        )
    },
    newest_lots={"husk": "a"},
    scatters={"bench-2": Scatter("bench-2", ln=-1.2, sd=0.1, before=0.4, outcomes=30)},
    new_hand=NewHand(0.09, 0.13, 0.2),
    firing=0.03,
)


def test_a_hand_that_was_seen_has_its_own_amount_and_scatter() -> None:
    hands = hands_of(OPTICS, {}, "bench-2", {}, known=KNOWN)
    assert (hands.operator_ln, hands.firing) == ((0.12, 0.02), 0.03)
    assert hands.scatter == pytest.approx(0.301 * np.exp(0.01), rel=1e-3)  # root of the expected square


def test_a_new_hand_is_one_of_the_labs_and_whoever_is_not_named_may_be_another() -> None:
    new = hands_of(OPTICS, {}, "bench-9", {}, known=KNOWN)
    assert (new.operator_ln, new.scatter) == ((0.09, 0.13), 0.2)
    own = hands_of(OPTICS, {}, "bench-1", {}, known=KNOWN)
    assert (own.operator_ln, own.scatter) == ((0.0, 0.0), None)
    someone = hands_of(OPTICS, {}, None, {}, known=KNOWN)
    assert someone.operator_ln == pytest.approx((-0.1, np.hypot(0.03, OPERATOR_SD / np.sqrt(2))))
    assert hands_of(OPTICS, {}, None, {}).operator_ln == (0.0, OPERATOR_SD)


@pytest.mark.parametrize(
    ("people", "known", "whose"),
    [
        ((), Known(), "bench-1"),  # who made the chips
        (("bench-1",), Known(), "bench-1"),
        (("bench-1", "bench-2"), Known(), None),
        ((), KNOWN, None),  # outcomes show bench-2, and hands that nobody named
    ],
)
def test_nobody_named_is_the_only_technician_that_the_book_knows_else_anyone(people, known, whose) -> None:
    lab = LabOptics(OPTICS, {}, {}, {}, known, frozenset(people))
    assert lab.whose(None) == whose
    assert lab.whose("bench-2") == "bench-2"
    assert (lab.hands(None, {}).operator_ln[1] == 0.0) == (whose == "bench-1")


def test_a_new_lot_starts_at_the_old_ones_value_with_wide_doubt() -> None:
    jars = hands_of(OPTICS, {"husk": "chips", "teasel": "s"}, None, {"husk": "b", "teasel": "s"}, known=KNOWN).lots
    assert jars == {"husk": ("b", 0.2, pytest.approx(np.hypot(0.03, LOT_SD)))}
    assert hands_of(OPTICS, {}, None, {"moss": "m"}, known=KNOWN).lots == {"moss": ("m", 0.0, LOT_SD)}


def test_a_hand_without_an_outcome_is_told_as_one_of_the_labs():
    assert new_hand_sentence("bench-9", NewHand(-0.1, 0.14)) == (
        "bench-9 has no outcome yet: taken to lay on as the lab's hands do on average, 10 % less than the technician "
        "who painted the stripes, ± 25 %"
    )


@pytest.mark.parametrize(
    ("scatter", "told"),
    [
        (
            Scatter("bench-2", np.log(0.12), 0.1, 0.4, 25),
            "bench-2 scatters by 12 % a coat (10 to 15 %), from 25 outcomes",
        ),
        (
            Scatter("bench-1", np.log(0.12), 0.19, 0.2, 3),  # the chips' own hand: three outcomes added little
            "how far bench-1 scatters from coat to coat, 3 outcomes can't yet tell: 12 % is counted with",
        ),
        (
            Scatter("", np.log(0.13), 0.35, 0.4, 1),
            "how far whoever is not named scatters from coat to coat, 1 outcome can't yet tell: 13 % is counted with",
        ),
    ],
)
def test_scatter_is_told_when_outcomes_can_tell_it(scatter, told):
    assert scatter_sentence(scatter) == told
