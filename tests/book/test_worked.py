"""Cases, firings, outcomes, recipes: append-only, corrected by new records, revised side by side."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sqlalchemy import create_engine, text

from stainbook.book import Book, open_book
from stainbook.book.wanted import BookQuery
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import Choice, Decision, Firing, Operator
from stainbook.records import Reading, Stain, Viewing
from tests.book.worked import TEASEL_TWICE, case, outcome, recipe


def test_work_comes_back_as_it_went_in(book: Book) -> None:
    firing = Firing("W-1042", "2026-03-02T10:40:00Z", operator="bench-2", minutes=48.5)
    with book.transaction() as step:
        step.add_cases([case()])
        step.add_operators([Operator("bench-2")])
        step.add_firings([firing])
        step.add_outcomes([outcome(), outcome(tooth=21)])
    assert book.cases() == {"W-1042": case()}
    assert book.operators() == {"bench-2": Operator("bench-2")}
    assert book.firings() == (firing,)
    assert book.outcomes() == (outcome(), outcome(tooth=21))


def test_the_same_outcome_again_changes_nothing_and_another_needs_a_reason(book: Book) -> None:
    assert book.add_outcomes([outcome()]) == 1
    assert book.add_outcomes([outcome()]) == 0
    with pytest.raises(InputError, match=r"says something else.*--because"):
        book.add_outcomes([outcome(tooth=12), outcome(operator="bench-1")])
    assert book.outcomes() == (outcome(),)


def test_a_correction_is_a_new_record_that_names_the_old_one_and_why_and_can_be_corrected_back(book: Book) -> None:
    wrong, right = outcome(operator="bench-1"), outcome()
    book.add_outcomes([wrong])
    book.add_outcomes([right], why="the other bench fired it")
    assert book.outcomes() == (right,)
    first, second = book.entered("outcome", right.outcome)
    assert (first.record, second.record) == (wrong, right)
    (said,) = book.corrections().values()
    assert said.why == "the other bench fired it"
    book.add_outcomes([wrong], why="it was bench-1 after all")
    assert book.outcomes() == (wrong,)
    assert len(book.entered("outcome", right.outcome)) == 3


def test_a_reading_that_was_taken_back_is_kept_and_not_found(book: Book) -> None:
    wrong = Reading("W-1042-11", lab=(60.0, 0.0, 0.0), viewing=Viewing())
    right = replace(wrong, lab=(70.0, 1.0, 18.0))
    book.add_readings([wrong])
    book.take_back(wrong, why="the wrong tooth was read", by=right)
    assert book.readings() == (right,)
    assert [one.record for one in book.entered("reading", "W-1042-11")] == [wrong, right]
    with pytest.raises(UnknownNameError, match="reading"):
        book.take_back(replace(wrong, notes="never stored"), why="x")


def test_two_benches_that_revise_one_recipe_both_keep_their_work_and_are_shown_it(book: Book, book_url: str) -> None:
    book.revise_recipe(recipe())
    with open_book(book_url, author="bench-1") as other:
        assert other.revise_recipe(recipe(layers=TEASEL_TWICE, based_on=1)).meanwhile is None
    mine = recipe(notes="two thin coats", based_on=1)
    revised = book.revise_recipe(mine)
    assert revised.revision == 3
    assert revised.meanwhile is not None
    assert (revised.meanwhile.author, revised.meanwhile.record.layers) == ("bench-1", TEASEL_TWICE)
    assert [one.revision for one in book.entered("recipe", "warm neck")] == [1, 2, 3]
    assert book.recipes() == {"warm neck": mine}
    assert book.revise_recipe(mine).revision == 3


def test_labs_of_one_database_see_their_own_and_what_is_shared(book_url: str) -> None:
    with open_book(book_url, lab="north", author="n") as north, open_book(book_url, lab="south", author="s") as south:
        north.add_outcomes([outcome()])
        north.add_stains([Stain("husk", notes="north's")])
        north.revise_recipe(recipe())
        south.add_stains([Stain("husk", notes="south's")])
        assert (south.outcomes(), south.recipes(), south.counts()) == ((), {}, {"stain": 1})
        north.share("recipe", "warm neck")
        north.share("stain", "husk")
        assert south.recipes() == {"warm neck": recipe()}
        assert south.stains()["husk"].notes == "south's"
        north.revise_recipe(recipe(notes="newer"))
        assert south.recipes()["warm neck"].notes == "newer"
        north.share("recipe", "warm neck", shared=False)
        assert south.recipes() == {}
        assert (len(north.entered("recipe", "warm neck")), south.entered("recipe", "warm neck")) == (2, ())
        with pytest.raises(UnknownNameError, match="kind that can be shared"):
            north.share("case", "W-1042")


def test_the_book_as_it_was(book: Book) -> None:
    book.add_stains([Stain("husk")])
    then = book.last_change()
    book.add_stains([Stain("husk", lot="24-131"), Stain("teasel")])
    assert book.as_of(then).stains() == {"husk": Stain("husk")}
    assert list(book.stains()) == ["husk", "teasel"]


def test_the_newest_choice_of_a_zone_holds_until_it_is_taken_back(book: Book) -> None:
    book.add_cases([case()])
    before = book.last_change()
    first = Choice("W-1042", 11, "cervical", "add", TEASEL_TWICE)
    book.add_choices([first, Choice("W-1042", 21, "cervical", "leave"), Choice("W-10", 11, "cervical", "leave")])
    assert set(book.choices("W-1042")) == {(11, "cervical"), (21, "cervical")}
    book.add_choices([replace(first, kind="leave", layers=())])
    assert book.choices("W-1042")[11, "cervical"].kind == "leave"
    book.add_choices([replace(first, kind="", layers=())])
    assert set(book.choices("W-1042")) == {(21, "cervical")}
    assert book.last_change() == before  # nothing is worked out anew for a choice


def test_choices_go_with_their_case(book: Book) -> None:
    book.add_cases([case()])
    book.add_choices([Choice("W-1042", 11, "cervical", "add", TEASEL_TWICE)])
    book.erase_case("W-1042")
    assert book.choices("W-1042") == {}
    assert book.verify().faults == ()


def test_a_firing_taken_back_with_its_outcome_can_be_told_again(book: Book) -> None:
    firing = Firing("W-1042", "2026-03-02T10:40:00Z", minutes=48)
    book.add_firings([firing])
    book.add_outcomes([outcome()])
    for one in (firing, outcome()):
        book.take_back(one, why="another case")
    assert (book.firings(), book.firings_of("W-1042"), book.fired("W-1042"), book.outcomes()) == ((), (), [], ())
    assert (book.add_firings([firing]), book.add_outcomes([outcome()])) == (1, 1)
    assert (book.firings(), book.outcomes(), book.outcomes_of("W-1042")) == ((firing,), (outcome(),), (outcome(),))
    assert (book.add_firings([firing]), book.add_outcomes([outcome()])) == (0, 0)
    book.take_back(outcome(), why="it was")
    assert book.outcomes() == ()
    assert book.verify().faults == ()


def test_what_was_shared_and_taken_back_is_found_by_nobody(book_url: str) -> None:
    with open_book(book_url, lab="north") as north, open_book(book_url, lab="south") as south:
        north.add_outcomes([outcome()])
        north.share("outcome", outcome().outcome)
        assert len(south.search(BookQuery(conditions=(("stain", "husk"),)))) == 1
        north.take_back(outcome(), why="another piece")
        assert south.search(BookQuery(conditions=(("stain", "husk"),))) == ()
        assert north.verify().faults == ()
        north.rebuild_index()
        assert south.search(BookQuery(conditions=(("stain", "husk"),))) == ()


def test_what_is_decided_of_an_outcome_holds_until_it_is_opened_or_the_outcome_is_corrected(book: Book) -> None:
    book.add_outcomes([outcome(), outcome(tooth=21)])
    said = Decision("W-1042", 11, "cervical", outcome().fired_at, "wrong", "read 12 instead")
    assert book.add_decisions([said]) == 1
    assert book.add_decisions([said]) == 0
    assert book.decisions() == {outcome().outcome: said}
    (entered,) = book.entered("decision", outcome().outcome)
    assert (entered.author, entered.record) == (book.author, said)
    book.add_decisions([replace(said, verdict="open", why=None)])
    assert book.decisions() == {}
    book.add_decisions([replace(said, verdict="true")])
    book.add_outcomes([outcome(accepted_by="clinic")])  # adds to it, corrects nothing
    assert book.decisions() == {outcome().outcome: replace(said, verdict="true")}
    book.add_outcomes([outcome(accepted_by="clinic", operator="bench-1")], why="bench-1 it was")
    assert book.decisions() == {}
    assert [one.record.verdict for one in book.entered("decision", outcome().outcome)] == [
        "wrong", "open", "true", "open",
    ]  # fmt: skip
    assert book.verify().faults == ()


def test_what_was_decided_stays_with_an_erased_outcome_without_its_name(book: Book) -> None:
    book.add_cases([case()])
    book.add_outcomes([outcome()])
    book.add_decisions([Decision("W-1042", 11, "cervical", outcome().fired_at, "wrong", "the patient waited")])
    book.erase_case("W-1042")
    (left,) = book.outcomes()
    assert {name: (one.verdict, one.why) for name, one in book.decisions().items()} == {left.outcome: ("wrong", None)}
    assert book.verify().faults == ()


def test_a_decision_that_was_changed_is_found(book: Book, book_url: str) -> None:
    book.add_outcomes([outcome()])
    book.add_decisions([Decision("W-1042", 11, "cervical", outcome().fired_at, "wrong")])
    engine = create_engine(book_url)
    with engine.begin() as connection:
        connection.execute(text("UPDATE records SET content = replace(content, 'wrong', 'true') WHERE kind='decision'"))
    engine.dispose()
    assert "decision" in book.verify().faults[0]
