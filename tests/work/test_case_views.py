"""The cases of a folder and of a book."""

import shutil

import pytest

from stainbook.book import open_book
from stainbook.work.app.demo import make_demo_book
from stainbook.work.app.shipped import shipped
from stainbook.work.case.case_files import case_files_in
from stainbook.work.case.case_list import case_list
from stainbook.work.case.new_case import NewCase, make_case
from stainbook.work.lab.erase_case import erase_case
from stainbook.work.lab.things import list_things


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


def test_heads_tell_the_newest_first_and_what_left(book):
    heads = case_list(book).heads
    assert [one.code for one in heads if not one.out] == ["W-1063", "W-1051", "W-1042"]
    assert {one.code for one in heads if one.out} == {"W-0964", "W-0971", "W-0979", "W-0988", "W-1003", "W-1017"}
    assert [one.newest for one in heads] == sorted((one.newest for one in heads), reverse=True)


def test_an_erased_case_is_on_no_list(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as own:
        for code in ("W-1", "W-2"):
            make_case(own, NewCase(code, "11"))
        erase_case(own, "W-1", sure=True)
        assert case_list(own).newest() == ["W-2"]
        assert [one.name for one in list_things(own, "case").things] == ["W-2"]
        assert list_things(own).counts["case"] == 1
