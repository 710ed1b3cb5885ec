"""What a spreadsheet would run leaves as text, and comes back as it was."""

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.files import read_guide, write_guide
from stainbook.files.cells import disarmed, rearmed
from stainbook.files.table import format_table, parse_table
from stainbook.records import GuideTab

RUN = ("=", "+", "-", "@", "\t", "\r", "|", "%")


@pytest.mark.parametrize(
    "text", ["=1", "+1-1", "-x", "@x", "\tx", " =1", "|x", "%x", "'=1", "'' =1", "=cmd|' /C calc'!A0"]
)
def test_text_that_a_spreadsheet_may_run_is_disarmed_and_comes_back(text):
    assert disarmed(text) == f"'{text}"
    assert rearmed(disarmed(text)) == text


@pytest.mark.parametrize("text", ["", "husk - 2", "-1", "+1.5", "-3,25", "1e-5", "-4.5e+3", "'quoted'", "W-10", "24%"])
def test_numbers_and_other_text_stay(text):
    assert disarmed(text) == rearmed(text) == text


@given(st.text(st.sampled_from("'=+-@|% 1a,"), max_size=8))
def test_whatever_begins_in_whatever_way_comes_back(text):
    assert rearmed(disarmed(text)) == text


@given(st.lists(st.text(st.sampled_from("'=+-@|%;,\"ab1 \n"), max_size=8), min_size=2, max_size=4))
def test_no_cell_of_a_table_is_run_and_all_come_back(cells):
    cells = ["x", *(cell.strip() for cell in cells)]
    titles = ["sample", *(f"c{n}" for n in range(len(cells) - 1))]
    text = format_table(titles, [cells])
    for cell in next(iter(list(csv.reader(io.StringIO(text)))[1:])):
        assert not cell.lstrip(" ").startswith(RUN) or cell == disarmed(cell)
    assert [row.cells for row in parse_table(text, Path("t.csv"), required=("sample",)).rows] == [cells]


def test_a_file_of_the_lab_comes_back(tmp_path):
    tabs = (GuideTab("=HYPERLINK(1)", "'@b", "+ridge", "gingiva"),)
    write_guide(tmp_path / "guide.csv", tabs)
    assert "'=HYPERLINK" in (tmp_path / "guide.csv").read_text()
    assert read_guide(tmp_path / "guide.csv").records == tabs
