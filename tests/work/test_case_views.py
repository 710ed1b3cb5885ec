"""The cases of a folder and of a book: found, and marked by their content."""

import shutil

import pytest

from stainbook.book import open_book
from stainbook.errors import FileError
from stainbook.records import Stain
from stainbook.work.app.demo import make_demo_book
from stainbook.work.app.shipped import shipped
from stainbook.work.case.case_files import case_files_in
from stainbook.work.case.case_views import case_heads, case_mark


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    with open_book(make_demo_book(tmp_path_factory.mktemp("book"))) as found:
        yield found


@pytest.fixture
def folder(tmp_path):
    return shutil.copytree(shipped("recipes"), tmp_path / "lab")


def test_only_case_files_are_found(folder):
    (folder / "notes.yaml").write_text("- a list\n", encoding="utf-8")
    assert [path.name for path in case_files_in(folder)] == ["W-1042.yaml", "W-1051.yaml", "W-1063.yaml"]
    assert case_files_in(folder / "none") == []


def test_mark_changes_with_case_readings_and_book(book, folder):
    path = folder / "W-1051.yaml"
    marks = [case_mark(book, path)]
    assert case_mark(book, path) == marks[0]
    path.write_text(path.read_text(encoding="utf-8").replace("coats: 2", "coats: 1"), encoding="utf-8")
    marks.append(case_mark(book, path))
    with (folder / "W-1051.csv").open("a", encoding="utf-8") as file:
        file.write("# one more line\n")
    marks.append(case_mark(book, path))
    book.add_stains([Stain("rye")])
    marks.append(case_mark(book, path))
    assert len(set(marks)) == 4


def test_the_mark_of_a_case_of_the_book_changes_with_it_alone(book, folder):
    marks = [case_mark(book, "W-1051")]
    (folder / "W-1051.yaml").unlink()
    assert case_mark(book, "W-1051") == marks[0]
    book.add_stains([Stain("oat")])
    assert case_mark(book, "W-1051") != marks[0]


def test_heads_tell_the_newest_first_and_what_left(book):
    heads = case_heads(book)
    assert [one.code for one in heads if not one.out] == ["W-1063", "W-1051", "W-1042"]
    assert {one.code for one in heads if one.out} == {"W-0964", "W-0971", "W-0979", "W-0988", "W-1003", "W-1017"}
    assert [one.newest for one in heads] == sorted((one.newest for one in heads), reverse=True)


def test_broken_case_names_its_file(book, folder):
    (folder / "W-1051.yaml").write_text("case: W-1\nzones: nothing\n", encoding="utf-8")
    with pytest.raises(FileError, match=r"W-1051\.yaml"):
        case_mark(book, folder / "W-1051.yaml")
