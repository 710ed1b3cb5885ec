"""A decimal comma is a decimal point wherever a number is typed."""

import re

import pytest

from stainbook.errors import InputError
from stainbook.pages.shell.page_list import FOLDER
from stainbook.work.case.case_edits import strengths_of
from stainbook.work.reading.typed_colour import typed_colour, typed_number
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.sheets.chosen_sheet import batch_of
from stainbook.work.stains.painted import painted_layers


def test_every_way_to_type_a_number_takes_both():
    for typed in ("12,5", "12.5", " 12,50 "):
        assert typed_number(typed, "minutes", least=0.0, most=20.0) == 12.5
    assert typed_number("\N{MINUS SIGN}0,5", "shift") == -0.5
    D65 = Asked("D65", 10)
    assert typed_colour("71,6 1,4 16,8", D65, "target").lab == typed_colour("71.6, 1.4, 16.8", D65, "target").lab
    assert painted_layers("2 × 0,5 parts husk + 1,5 parts clear") == painted_layers("2 x 0.5 husk + 1.5 clear")
    assert strengths_of("0,25; 0,5") == strengths_of("1/4, 1/2") == (0.25, 0.5)
    assert batch_of("2,5", "0,01") == batch_of("2.5", "0.01")


@pytest.mark.parametrize("typed", ["", "much", "1,2,3", "nan", "-1", "21"])
def test_anything_else_is_one_sentence_that_says_what_is_expected(typed):
    with pytest.raises(InputError, match=r"minutes: found .*expected a number from 0 to 20, such as 12,5"):
        typed_number(typed, "minutes", least=0.0, most=20.0)


def test_no_page_uses_the_browsers_field_for_decimals():
    """It drops a comma without a word: 0,25 becomes 25."""
    calls = [call for page in FOLDER.rglob("*.py") for call in re.findall(r"number_input\([^\n]*", page.read_text())]
    assert calls  # whole numbers may be counted with it
    assert [call for call in calls if re.search(r"\d\.\d|%\.", call)] == []
