"""How recipes did, what differs between two documents, and the lab's numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from stainbook.book import Book, open_book
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import Conditions, DrawnEffect, Firing, Operator, Settings, StepDone
from stainbook.records import Effect, Pot
from stainbook.work.lab.costs import costs
from stainbook.work.lab.kept_recipe import keep_outcome
from stainbook.work.lab.numbers import numbers, write_numbers
from stainbook.work.lab.settings import keep_prices
from stainbook.work.lab.things import changed, history, set_state, use_of, wilson
from tests.book.worked import TEASEL_TWICE, case, outcome, recipe

FIRST, SECOND = "2026-03-02T10:40:00Z", "2026-03-03T10:40:00Z"


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-1") as opened:
        yield opened


@pytest.mark.parametrize(
    ("successes", "trials", "low", "high"),
    [(8, 10, 0.4901625, 0.9433178), (0, 1, 0.0, 0.7934507), (50, 50, 0.9286524, 1.0)],
)
def test_wilson(successes: int, trials: int, low: float, high: float) -> None:
    # of none or all the interval ends at z²/(n + z²), n/(n + z²); 8 of 10 by the formula with pencil; z² = 3.841459
    assert wilson(successes, trials) == pytest.approx((low, high), abs=2e-7)


def test_a_recipes_record_counts_what_names_it_and_what_is_the_same_where_it_holds(book: Book) -> None:
    book.revise_recipe(recipe(conditions=Conditions(material="zirconia")))
    book.add_outcomes(
        [
            outcome(tooth=11, accepted=True, to_target=0.8),
            outcome(tooth=12, accepted=True, to_target=1.4),
            outcome(tooth=13, accepted=False, to_target=3.0, returned="shade"),
            outcome(tooth=14, layers=TEASEL_TWICE, recipe="warm neck"),
            outcome(tooth=15, material="lithium disilicate", accepted=True),
            outcome(tooth=16, layers=TEASEL_TWICE, accepted=True),
        ]
    )
    use = use_of(book, book.recipes()["warm neck"])
    assert (use.uses, use.judged, use.accepted, use.dE00_median, use.remakes) == (4, 3, 2, 1.4, {"shade": 1})
    assert use.share == pytest.approx(2 / 3)


def test_what_differs() -> None:
    before = {"a": 1, "b": [1, {"c": 2}], "why": "x"}
    after = {"a": 1, "b": [1, {"c": 3}], "d": 4, "why": "y"}
    assert [(one.where, one.before, one.after) for one in changed(before, after)] == [("b 2.c", 2, 3), ("d", None, 4)]


def test_a_revision_is_set_beside_the_one_it_was_made_from(book: Book) -> None:
    book.revise_recipe(recipe())
    book.revise_recipe(recipe(layers=TEASEL_TWICE, based_on=1))
    book.revise_recipe(recipe(notes="other", based_on=1))
    shown = history(book, "warm neck").revisions
    assert [one.against for one in shown] == [None, 1, 1]
    assert [change.where for change in shown[2].changes] == ["notes"]
    assert set_state(book, "warm neck", "approved").revision == 4
    assert set_state(book, "warm neck", "approved").revision == 4
    with pytest.raises(UnknownNameError, match="warm neck"):
        set_state(book, "warm nek", "approved")


@pytest.fixture
def few_will_do(monkeypatch: pytest.MonkeyPatch) -> None:
    """Figures of one unit and more are told."""
    monkeypatch.setattr("stainbook.work.lab.numbers.LEAST_UNITS", 1)


@pytest.mark.usefixtures("few_will_do")
def test_the_labs_numbers(book: Book, tmp_path: Path) -> None:
    book.add_settings(Settings(leads=("bench-1",), lead_sees_all=True))
    book.add_firings(
        [
            Firing("W-1", FIRST, operator="bench-1", minutes=40, clinic="=Harbour"),
            Firing("W-1", SECOND, operator="bench-2", minutes=60, clinic="=Harbour", returned="shade"),
            Firing("W-2", FIRST, operator="bench-1", returned="fit"),
        ]
    )
    book.add_outcomes(
        [
            outcome("W-1", 11, accepted=True, to_target=1.0),
            outcome("W-1", 21, accepted=False, to_target=3.0),
            outcome("W-1", 21, fired_at=SECOND, accepted=True, to_target=1.2, layers=TEASEL_TWICE),
            outcome("W-2", 11, accepted=True),
            replace(outcome("W-2", 11, accepted=False), zone="middle"),
        ]
    )
    rows = {(row.by, row.name): row for row in numbers(book).rows}
    total = rows["all", ""]
    assert (total.cases, total.units, total.zones) == (2, 3, 5)
    assert total.first_firing == pytest.approx(1 / 3)  # only 11 of W-1 was right at once in all its zones
    assert total.firings_a_unit == pytest.approx(4 / 3)
    assert (total.returned, total.minutes, total.dE00_median) == ({"fit": 1, "shade": 1}, 50.0, 1.2)
    assert rows["technician", "bench-2"].units == 1
    assert rows["stain", "teasel"].returned == {"shade": 1}
    assert rows["clinic", "not stated"].returned == {"fit": 1}
    write_numbers(numbers(book, ["clinic"]), tmp_path / "n.csv")
    assert "clinic,'=Harbour,1,2,3" in (tmp_path / "n.csv").read_text()
    with pytest.raises(UnknownNameError, match="grouping"):
        numbers(book, ["colour"])


def test_each_technician_sees_their_own_numbers_and_a_lead_all_where_the_lab_has_it_so(book: Book) -> None:
    book.add_operators([Operator("bench-1"), Operator("bench-2")])
    book.add_firings([Firing(f"W-{n}", FIRST, operator=f"bench-{1 + n % 2}") for n in range(60)])
    book.add_outcomes([outcome(f"W-{n}", 11, accepted=True, operator=f"bench-{1 + n % 2}") for n in range(60)])

    def told(author: str) -> tuple[set[str], list[str]]:
        result = numbers(book.seen_by(author, ""), ["technician"])
        return {row.name for row in result.rows}, list(result.notes)

    assert told("bench-1") == ({"bench-1"}, ["Of technicians only bench-1 is told."])
    assert told("the lab")[0] == set()
    assert "Nobody is named" in told("the lab")[1][0]
    book.add_settings(Settings(leads=("bench-1",)))
    assert told("bench-1")[0] == {"bench-1"}
    book.add_settings(Settings(leads=("bench-1",), lead_sees_all=True))
    assert told("bench-1") == ({"bench-1", "bench-2"}, [])
    assert told("bench-2")[0] == {"bench-2"}


def test_of_fewer_than_20_units_nothing_is_told(book: Book) -> None:
    book.add_outcomes([outcome(f"W-{n}", 11, accepted=True, to_target=1.0) for n in range(19)])
    found = numbers(book, ["all", "stain"])
    assert all(row.few for row in found.rows)
    assert {(row.first_firing, row.firings_a_unit, row.dE00_median) for row in found.rows} == {(None, None, None)}
    assert found.rows[0].units == 19
    assert "fewer than 20 units" in found.notes[0]
    book.add_outcomes([outcome("W-19", 11, accepted=True, to_target=1.0)])
    found = numbers(book, ["all"])
    assert (found.rows[0].first_firing, found.notes) == (1.0, [])


def test_costs_before_and_since_a_day(book: Book) -> None:
    book.add_firings([Firing(f"W-{n}", FIRST, minutes=30.0) for n in range(20)])
    book.add_firings([Firing(f"W-{n}", SECOND, minutes=30.0) for n in range(20, 40)])
    book.add_firings([Firing("W-0", SECOND, minutes=30.0)])
    steps = [StepDone("W-1", "stripped", FIRST), StepDone("W-1", "try-in", FIRST), StepDone("W-21", "try-in", SECOND)]
    milled = [StepDone("W-2", "milled", f"2026-03-0{day}T08:00:00Z") for day in (1, 2)]
    book.add_steps([*steps, *milled])
    keep_prices(book, firing="10", blank="40,50", hour="60", currency=" EUR ")
    found = costs(book, since=SECOND[:10])
    before, since = found.rows
    assert (found.currency, before.period, before.cases, since.cases) == ("EUR", "before", 20, 20)
    assert (before.firings, before.strips, before.try_ins, before.remakes) == (21 / 20, 1 / 20, 1 / 20, 1 / 20)
    assert (since.firings, since.try_ins, since.remakes) == (1.0, 1 / 20, 0.0)
    assert before.cost == pytest.approx((21 * 10 + 21 * 40.5 + 21 * 0.5 * 60) / 20)
    (whole,) = costs(book).rows
    assert (whole.period, whole.cases) == ("all", 40)
    assert [row.few for row in costs(book, since="2026-03-04").rows] == [False, True]
    with pytest.raises(InputError, match="expected a day"):
        costs(book, since="spring")
    with pytest.raises(InputError, match="price of a blank"):
        keep_prices(book, firing="", blank="dear", hour="", currency="")


@pytest.mark.usefixtures("few_will_do")
def test_a_second_firing_is_no_first_one_because_the_first_was_before_the_period(book: Book) -> None:
    book.add_outcomes(
        [
            outcome("W-1", 11, accepted=False),
            outcome("W-1", 11, fired_at=SECOND, accepted=True, layers=TEASEL_TWICE, operator="bench-1"),
        ]
    )
    (row,) = numbers(book, ["all"], since=SECOND[:10]).rows
    assert (row.units, row.judged, row.first_firing) == (1, 0, None)
    (row,) = numbers(book, ["all"], until=FIRST[:10]).rows
    assert (row.units, row.judged, row.first_firing) == (1, 1, 0.0)
    assert row.first_firing_low == 0.0
    assert row.first_firing_high == pytest.approx(0.7935, abs=1e-4)  # Wilson, 0 of 1: z²/(1 + z²)
    for since, until in (("yesterday", None), ("2026-3-1", None), ("2026-03-02", "2026-03-01")):
        with pytest.raises(InputError, match="expected"):
            numbers(book, ["all"], since=since, until=until)


def test_an_outcome_is_kept_as_a_recipe_with_where_it_held_and_what_was_drawn_there(book: Book) -> None:
    halo = Effect(11, "halo", "incisal edge", Pot.of({"flour": 0.25}), "thin")
    line = Effect(11, "craze line", note="hairline")
    book.add_cases([replace(case(), effects=(halo, line, Effect(21, "mamelon")))])
    before = replace(outcome().before, surface="matt")
    book.add_outcomes([outcome(before=before, stage="blasted"), outcome(tooth=21)])
    assert keep_outcome(book, outcome().outcome, " warm neck ").revision == 1
    kept = book.recipes()["warm neck"]
    assert kept.conditions == Conditions(
        material="zirconia",
        stage="blasted",
        surface="matt",
        programme="glaze-770",
        consistency="creamy",
        tissue="tooth",
        zone="cervical",
    )
    assert kept.effects == (DrawnEffect("craze line", note="hairline"),)  # the halo is of another zone
    assert (kept.state, kept.target, kept.layers) == ("tried", outcome().got, outcome().layers)
    assert use_of(book, kept).uses == 2
    with pytest.raises(InputError, match="already"):
        keep_outcome(book, outcome().outcome, "warm neck")
    with pytest.raises(UnknownNameError, match="outcome"):
        keep_outcome(book, "W-1042 11", "other")
