"""The cases of a folder: found, and marked by their content."""

import shutil

import pytest

from stainbook.book import open_book
from stainbook.errors import FileError
from stainbook.records import Stain
from stainbook.work.app.demo import make_demo_book
from stainbook.work.app.shipped import shipped
from stainbook.work.case.case_views import case_files_in, case_mark


@pytest.fixture(scope="module")
def url(tmp_path_factory):
    return make_demo_book(tmp_path_factory.mktemp("book"))


@pytest.fixture
def folder(tmp_path):
    return shutil.copytree(shipped("recipes"), tmp_path / "lab")


def test_only_case_files_are_found(folder):
    (folder / "notes.yaml").write_text("- a list\n", encoding="utf-8")
    assert [path.name for path in case_files_in(folder)] == ["W-1042.yaml", "W-1051.yaml", "W-1063.yaml"]
    assert case_files_in(folder / "none") == []


def test_mark_changes_with_case_readings_and_book(url, folder):
    path = folder / "W-1051.yaml"
    marks = [case_mark(url, path)]
    assert case_mark(url, path) == marks[0]
    path.write_text(path.read_text(encoding="utf-8").replace("coats: 2", "coats: 1"), encoding="utf-8")
    marks.append(case_mark(url, path))
    with (folder / "W-1051.csv").open("a", encoding="utf-8") as file:
        file.write("# one more line\n")
    marks.append(case_mark(url, path))
    with open_book(url) as book:
        book.add_stains([Stain("rye")])
    marks.append(case_mark(url, path))
    assert len(set(marks)) == 4


def test_broken_case_names_its_file(url, folder):
    (folder / "W-1051.yaml").write_text("case: W-1\nzones: nothing\n", encoding="utf-8")
    with pytest.raises(FileError, match=r"W-1051\.yaml"):
        case_mark(url, folder / "W-1051.yaml")
