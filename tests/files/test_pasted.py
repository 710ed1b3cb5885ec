import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.apparatus import Instrument
from stainbook.errors import InputError
from stainbook.files import Defaults, read_pasted, read_readings
from stainbook.records import UNKNOWN_VIEWING, Viewing
from tests.files.helpers import refused, saved

ORDER = ("W-1-11-cervical", "W-1-11-middle")


def labs(readings):
    return {reading.sample: reading.lab for reading in readings.all}


@pytest.mark.parametrize(
    "text",
    [
        "70,5\t1,2\t15\n71\t0,9\t-3,25",
        "70.5 1.2 15\n71 0.9 -3.25\n",
        "70,5 1,2 15\r\n71 0,9 −3,25\r\n",
        "70.5, 1.2, 15\n\n71, 0.9, -3.25",
        "70.5,1.2,15\n71,0.9,-3.25",
        "70,5;1,2;15;\n71;0,9;-3,25;",
        "L* 70.5 a* 1.2 b* 15\nL*=71 a*=0.9 b*=-3.25",
        "L\ta\tb\n70,5\t1,2\t15\n71\t0,9\t-3,25",
        "L*;a*;b*\n70,5;1,2;15\n71;0,9;-3,25",
        "1\t70,5\t1,2\t15\n2\t71\t0,9\t-3,25",
        "W-1-11-cervical 70.5 1.2 15\nW-1-11-middle 71 0.9 -3.25",
        "sample,L,a,b\nW-1-11-cervical,70.5,1.2,15\n2,71,0.9,-3.25",
    ],
)
def test_rows_in_order(text):
    found = read_pasted(text, order=ORDER)
    assert labs(found) == {"W-1-11-cervical": (70.5, 1.2, 15.0), "W-1-11-middle": (71.0, 0.9, -3.25)}
    assert found.warnings == ()


@pytest.mark.parametrize("text", ["11 cervical\t70,5\t1\t2", "11 cervical 70.5 1 2", "11 cervical;70,5;1;2"])
def test_rows_with_names_need_no_order(text):
    assert labs(read_pasted(text)) == {"11 cervical": (70.5, 1.0, 2.0)}


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("70 1 2", ("2", "1 row")),
        ("70 1 2\n70 1 2\n70 1 2", ("2", "3 rows", "left out")),
        ("70 1 2\n70 1", ("row 2", "72.4 1.2 15.0")),
        ("70 1 2\n70 1 x", ("row 2", "'70 1 x'")),
        ("70.5 1 2\n70,5 1 2", ("row 2", "decimal point")),
        ("170 1 2\n70 1 2", ("row 1", "L* from 0 to 100")),
        ("70 1 2\n70 900 2", ("row 2", "a* from")),
        ("x\t70\t1\t2\ny\t70\t1\t2", ("row 1", "'x'", "W-1-11-cervical")),
        ("", ("empty",)),
        ("72,4,1,2,15,0\n72,4,1,2,15,0", ("row",)),
    ],
)
def test_rows_that_cannot_be_meant_are_refused(text, parts):
    with pytest.raises(InputError) as caught:
        read_pasted(text, order=ORDER)
    for part in parts:
        assert part in str(caught.value)


def test_rows_without_names_and_order_are_refused():
    with pytest.raises(InputError, match="--order"):
        read_pasted("70 1 2")


def test_a_zone_that_the_order_holds_three_times_is_a_mean_of_three(tmp_path):
    found = read_pasted("50 20 15\n52 20 15\n54 20 15", order=("gum",) * 3)
    assert (found.get("gum").lab, found.get("gum").repeats) == ((52.0, 20.0, 15.0), 3)
    assert found.get("gum").scatter == pytest.approx((2.0, 0.0, 0.0), abs=1e-12)


def test_a_file_in_order_may_have_no_names_or_names_of_its_own(tmp_path):
    assert labs(read_readings(saved(tmp_path, "L,a,b\n70,1,2\n71,1,2\n"), order=ORDER)).keys() == set(ORDER)
    head = "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
    path = saved(tmp_path, head + "BEGIN_DATA\n1 70 1 2\n2 71 1 2\nEND_DATA")
    assert labs(read_readings(path, order=ORDER)).keys() == set(ORDER)
    refused(lambda path: read_readings(path, order=ORDER[:1]), path, "2 rows", "1, one for each")


@pytest.mark.parametrize(
    "text",
    ["72,4 1,2 15\n-", "L;a;b\n72,4;1,2;15\n-;-;-", "sample,L,a,b\nx-1,72.4,1.2,15\nx-2,,,"],
)
def test_a_dash_stands_for_a_zone_that_was_not_read(text):
    found = read_pasted(text, order=("x-1", "x-2"))
    assert labs(found) == {"x-1": (72.4, 1.2, 15.0)}
    assert found.warnings == ("pasted readings: not read: x-2",)


def test_a_dash_before_what_was_read_and_rows_with_names(tmp_path):
    assert labs(read_pasted("-\n72.4 1.2 15", order=("x-1", "x-2"))) == {"x-2": (72.4, 1.2, 15.0)}
    assert labs(read_pasted("x-1 72.4 1.2 15\nx-2 -")) == {"x-1": (72.4, 1.2, 15.0)}
    with pytest.raises(InputError, match="A row with - alone stands for one that was not read"):
        read_pasted("72.4 1.2 15", order=("x-1", "x-2"))
    with pytest.raises(InputError, match="no reading"):
        read_pasted("-\n-", order=("x-1", "x-2"))
    path = saved(tmp_path, "sample,L,a,b\nx-1,70,1,2\nx-2,,,\n")
    with pytest.raises(InputError, match=r"no colour.*- in its place where it was not read"):
        read_readings(path)


def test_a_column_is_called_as_it_is_written():
    with pytest.raises(InputError, match="row 1, column L: found 740"):
        read_pasted("740 1.2 15", order=("x-1",))


PROFILE = Instrument("hand", Viewing("D65", 2), geometry="45/0", specular="excluded", aperture_mm=4.0)


@pytest.mark.parametrize(
    ("header", "cells", "defaults", "viewing"),
    [
        ("", "", Defaults(), UNKNOWN_VIEWING),
        ("", "", Defaults(instruments={"hand": PROFILE}), UNKNOWN_VIEWING),
        (",instrument", ",hand", Defaults(instruments={"hand": PROFILE}), Viewing("D65", 2)),
        (",instrument", ",hand", Defaults(Viewing("A", 10), {"hand": PROFILE}), Viewing("D65", 2)),
        (",instrument", ",other", Defaults(Viewing("A", 10), {"hand": PROFILE}), Viewing("A", 10)),
        ("", "", Defaults(instruments={"hand": PROFILE}, instrument="hand"), Viewing("D65", 2)),
        (",illuminant", ",D50", Defaults(instruments={"hand": PROFILE}, instrument="hand"), Viewing("D50", 2)),
        (",illuminant,observer", ",unknown,unknown", Defaults(Viewing("A", 10)), UNKNOWN_VIEWING),
        (",illuminant,observer", ",D65,unknown", Defaults(Viewing("A", 10)), Viewing("D65", 0)),
    ],
)
def test_light_comes_from_columns_then_the_profile_then_the_caller(header, cells, defaults, viewing):
    (reading,) = read_pasted(f"sample,L,a,b{header}\nx,70,1,2{cells}", defaults=defaults).all
    assert reading.viewing == viewing


def test_a_profile_fills_what_rows_leave_open():
    text = "sample,L,a,b,instrument,specular\nx,70,1,2,hand,included\ny,70,1,2,other,"
    x, y = read_pasted(text, defaults=Defaults(instruments={"hand": PROFILE})).all
    assert (x.geometry, x.specular, x.aperture_mm) == ("45/0", "included", 4.0)
    assert (y.geometry, y.specular, y.aperture_mm) == (None, None, None)


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_in_one_line(text):
    try:
        message = f"{len(read_pasted(text, order=ORDER).all)} read"
    except InputError as error:
        message = str(error)
    assert message.isprintable()
