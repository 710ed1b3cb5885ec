"""What follows from a book is kept as long as nothing newer is in it, whoever stored that."""

from __future__ import annotations

import threading

from stainbook.book import open_book
from stainbook.kept import StepDone
from stainbook.records import Case, CaseZone, Reading, Stain, Viewing

CODE = "W-7"


def filled(url):
    book = open_book(url, author="bench-1")
    book.add_cases([Case(CODE, (CaseZone(11, "middle", "tooth"),), material="zirconia", stage="sintered")])
    return book


def test_a_case_is_read_once_until_something_is_stored(tmp_path):
    book = filled(f"sqlite:///{tmp_path / 'lab.db'}")
    first = book.events(CODE)
    assert book.events(CODE) is first
    assert book.life(CODE).events is first
    assert book.seen_by("bench-2", "").life(CODE) is book.life(CODE)
    book.add_steps([StepDone(CODE, "blasted", "2026-03-01T08:00:00Z")])
    assert [one.what for one in book.events(CODE)][-1] == "blasted"
    assert book.life(CODE).state.stage == "blasted"


def test_another_program_stores_and_a_view_of_before_stays(tmp_path):
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    book, other = filled(url), open_book(url, author="bench-2")
    before = book.frozen()
    assert len(book.events(CODE)) == len(before.events(CODE)) == 1
    other.add_steps([StepDone(CODE, "blasted", "2026-03-01T08:00:00Z")])
    assert [one.what for one in book.events(CODE)][-1] == "blasted"
    assert len(before.events(CODE)) == 1


def test_inside_a_transaction_its_own_rows_are_seen_and_nothing_of_them_is_kept(tmp_path):
    book = filled(f"sqlite:///{tmp_path / 'lab.db'}")
    assert len(book.events(CODE)) == 1
    try:
        with book.transaction() as step:
            step.add_steps([StepDone(CODE, "blasted", "2026-03-01T08:00:00Z")])
            assert len(step.events(CODE)) == 2
            raise KeyError
    except KeyError:
        pass
    assert len(book.events(CODE)) == 1
    assert book.life(CODE).state.stage == "sintered"


def test_an_erased_case_is_forgotten_in_views_of_before_too(tmp_path):
    book = filled(f"sqlite:///{tmp_path / 'lab.db'}")
    before = book.frozen()
    assert book.events(CODE)
    assert before.events(CODE)
    book.erase_case(CODE, why="asked for")
    assert book.events(CODE) == ()
    assert before.events(CODE) == ()


def test_what_follows_from_few_kinds_outlives_other_rows(tmp_path):
    book, made = filled(f"sqlite:///{tmp_path / 'lab.db'}"), []

    def stains():
        made.append(1)
        return tuple(book.stains())

    assert book.kept("names", stains, of=("stain",)) == ()
    viewing = Viewing("D65", 10)
    book.add_readings([Reading("W-7-11-middle", lab=(72.9, 0.5, 13.0), viewing=viewing, tissue="tooth")])
    assert book.kept("names", stains, of=("stain",)) == ()
    assert len(made) == 1
    book.add_stains([Stain("barley")])
    assert book.kept("names", stains, of=("stain",)) == ("barley",)


def test_threads_share_what_is_kept_and_no_more_than_so_much(tmp_path):
    book = filled(f"sqlite:///{tmp_path / 'lab.db'}")
    found = []
    threads = [threading.Thread(target=lambda: found.append(book.life(CODE))) for _ in range(8)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert {one.state.stage for one in found} == {"sintered"}
    for number in range(500):
        assert book.kept(("number", number), lambda number=number: number) == number
    assert book.life(CODE).state.stage == "sintered"
