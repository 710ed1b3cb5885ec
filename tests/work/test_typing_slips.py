"""Slips of the finger: what one slip explains is offered, what none explains is asked, what may be so stands."""

import pytest

from stainbook.errors import InputError
from stainbook.work.reading.typed_colour import numbers_of
from stainbook.work.reading.typing_slips import ExpectedReading, same_again, slip_of, typed_target
from stainbook.work.reading.viewing_conditions import Asked

THERE = ExpectedReading((75.8, 1.0, 16.4), 1.5)


def asked(text, expected=THERE, tissue="tooth"):
    return slip_of("13 cervical", tissue, numbers_of(text), expected)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("67.1 1.2 16.0", "76.1 1.2 16.0"),  # digits exchanged
        ("761 1,2 16,0", "76.1 1,2 16,0"),  # the decimal mark lost
        ("7,61 1,2 16,0", "76,1 1,2 16,0"),  # or moved
        ("76.1 1.2 -16.0", "76.1 1.2 16.0"),  # a sign
        ("76.1 1.2 61.0", "76.1 1.2 16.0"),
        ("76.1 16.0 1.2", "76.1 1.2 16.0"),  # the order
    ],
)
def test_what_one_slip_explains_is_offered(typed, meant):
    assert asked(typed).meant == meant


def test_what_no_slip_explains_is_asked_and_nothing_is_offered():
    found = asked("58.3 5.5 25.9")
    assert found.meant is None
    assert "Is it this zone" in found.question


@pytest.mark.parametrize("typed", ["75.8 1.0 16.4", "73.9 1.6 18.0", "76,1 1,2 16,0"])
def test_what_may_be_so_is_not_asked(typed):
    assert asked(typed) is None


def test_the_wider_the_doubt_the_less_is_asked():
    wide = ExpectedReading(THERE.lab, 8.0)
    assert asked("67.1 1.2 16.0", wide) is None
    assert asked("58.3 5.5 25.9", wide) is None


def test_where_nothing_is_expected_only_what_no_tissue_has_is_asked():
    assert asked("67.1 1.2 16.0", None) is None
    assert asked("716 1.2 16.0", None).meant == "71.6 1.2 16.0"
    assert asked("11 1.2 16.0", None, "gingiva").meant is None


def test_a_tooth_is_never_redder_than_yellow_so_exchanged_numbers_are_asked_of_the_first_zone_too():
    assert asked("76.1 13.2 0.2", None).meant == "76.1 0.2 13.2"
    assert asked("71.2 1.4 -1.0", None) is None  # a grey edge
    assert asked("55.0 19.0 12.0", None, "gingiva") is None


def test_what_no_colour_has_cannot_be_said_to_be_right():
    assert asked("740 0.9 15.5", None).never
    assert asked("740 0.9 15.5").never
    assert not asked("76.1 13.2 0.2", None).never


def test_a_target_is_asked_as_a_reading_is():
    with pytest.raises(InputError, match=r"did you mean 69.7\?"):
        typed_target("697 1,4 21,4", Asked("D65", 2), "target", tissue="tooth")
    assert typed_target("55 19 12", Asked("D65", 2), "target", tissue="gingiva").lab == (55.0, 19.0, 12.0)


def test_read_twice_alike_is_so():
    assert same_again("58.3 5.5 25.9", "58,4 5,6 25,7")
    assert not same_again("58.3 5.5 25.9", "75.8 1.0 16.4")
    assert not same_again("58.3", "58.3")


def test_a_stripe_of_any_stain_may_stand_and_what_no_colour_has_is_asked():
    assert asked("22.4 31.0 -40.2", None, "sample") is None
    assert asked("774 0,3 11,6", None, "sample").meant == "77.4 0,3 11,6"
    assert "no stripe or disc" in asked("99.9 90.0 99.0", None, "sample").question
