from datetime import UTC, datetime

import pytest

from stainbook.files.values import Numerals, instant


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1", 1.0),
        ("-0.5", -0.5),
        ("+.5", 0.5),
        ("1.", 1.0),
        ("1e-3", 0.001),
        ("0,25", 0.25),
        ("−2,5", -2.5),
        ("1E2", 100.0),
    ],
)
def test_numbers(text, value):
    assert Numerals().number(text) == value


@pytest.mark.parametrize(
    "text",
    [
        "",
        "x",
        "nan",
        "inf",
        "1e999",
        "1_000",
        "1 000",
        "1.000,5",
        "1,000.5",
        "1.2.3",
        "56%",
        "٣",
        "0x1F",
        "1/2",
        "- 1",
        "--1",
    ],
)
def test_what_is_no_number(text):
    assert Numerals().number(text) is None


def test_the_first_decimal_mark_settles_the_kind_for_the_file():
    numerals = Numerals()
    assert numerals.parse(["3", "0,5"]) == [3.0, 0.5]
    assert numerals.number("0.5") is None
    assert "decimal comma" in numerals.expected


def test_two_decimal_marks_in_one_row_are_no_numbers():
    assert Numerals().parse(["0.5", "0,5"]) is None


@pytest.mark.parametrize(
    ("text", "value"), [("1/8", 0.125), (" 1 / 4 ", 0.25), ("1", 1.0), ("0.0625", 0.0625), ("3/3", 1.0)]
)
def test_shares(text, value):
    assert Numerals().share(text) == value


@pytest.mark.parametrize(
    "text", ["0", "-0.1", "1.01", "25", "2/1", "1/0", "0/4", "1/2/3", "1/-2", "a/b", "", "1/9999999"]
)
def test_what_is_no_share(text):
    assert Numerals().share(text) is None


def test_instants_without_zone_are_utc():
    assert instant("2026-03-02T10:40:00Z") == instant("2026-03-02 10:40") == datetime(2026, 3, 2, 10, 40, tzinfo=UTC)
    assert instant("2026-03-02") < instant("2026-03-02T00:00:00-01:00")
    assert instant("02.03.2026") is None
