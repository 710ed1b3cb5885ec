"""a* and b* of a stripe exchanged: asked about as it is typed, warned of where it came as a file."""

import numpy as np
import pytest

from stainbook.book import open_book
from stainbook.records import Chip, Layer, Pot, Reading, Stain, Viewing
from stainbook.work.reading.typed_colour import Light
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.exchanged_axes import exchanged, family_of, slip_of_row
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from stainbook.work.stains.typed_plate import TypedPlates, row_question
from tests.work.labs import book_in, made, write
from tests.worlds.fired_labs import colour

D65 = Viewing("D65", 10)
BARE = (83.2, -1.1, 8.6)
HUSK = Chip("plate-1-husk", "plate-1", (Layer(Pot.of({"husk": 0.5}), 1),))
SEVEN = made()
CLEAR = Chip("plate-1-clear", "plate-1", (Layer(Pot.of({}), 1),))


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as found:
        found.add_stains([Stain("husk", family="yellow"), Stain("slate", family="grey"), Stain("odd")])
        found.add_chips([HUSK, CLEAR])
        yield found


def asked(book, text, sample=HUSK.chip, bare="83,2 -1,1 8,6"):
    told = TypedPlates(("plate-1",), {"plate-1": bare} if bare else {}, Light("D65", 10))
    return row_question(book, told, sample, text, "row 2")


def test_a_yellow_stripe_that_turns_red_is_asked_about_with_what_was_meant(book):
    slip = asked(book, "78,3 25,9 -2,2")
    assert slip.question == "row 2: did you mean 78,3 -2,2 25,9, the numbers in this order?"
    assert slip.meant == "78,3 -2,2 25,9"
    assert asked(book, "78,3 -2,2 25,9") is None


def test_the_plate_may_be_of_the_book_and_be_exchanged_itself(book):
    assert asked(book, "78.3 25.9 -2.2", bare="") is None  # nothing is known of the plate
    book.add_readings([Reading("plate-1", lab=BARE, viewing=D65)])
    assert asked(book, "78.3 25.9 -2.2", bare="").meant == "78.3 -2.2 25.9"
    assert asked(book, "83.2 8.6 -1.1", sample="plate-1").meant == "83.2 -1.1 8.6"
    assert asked(book, "83.2 -1.1 8.6", sample="plate-1") is None


def test_other_slips_are_asked_about_as_before_and_what_has_no_family_is_not(book):
    assert asked(book, "783 25.9 -2.2").never
    assert asked(book, "78.3 25.9 -2.2", sample=CLEAR.chip) is None
    assert family_of(Chip("x", "p", (Layer(Pot.of({"husk": 0.5, "slate": 0.25})),)), book.stains()) is None
    assert slip_of_row("78.3 25.9", Asked("D65", 10), "row 2") is None
    assert asked(book, "78.3 25.9 -2.2", sample="nobody knows it") is None


@pytest.mark.parametrize("family", [None, "grey", "white"])
def test_a_family_that_turns_a_plate_nowhere_is_never_asked_about(family):
    assert not exchanged((78.3, 25.9, -2.2), BARE, family)


def lab_only(folder, stripe=None):
    """Two fired stains as L*, a*, b*, where one stripe's a* and b* may be exchanged."""
    write(folder, SEVEN)
    rows = []
    for one in SEVEN.readings:
        L, a, b = colour(np.array(one.reflectance), D65)
        a, b = (b, a) if one.sample == stripe else (a, b)
        rows.append(f"{one.sample},{one.stage},{one.surface},{L:.2f},{a:.2f},{b:.2f}")
    (folder / "readings.csv").write_text("sample,stage,surface,L,a,b\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return ChipFiles(folder / "chips.csv", folder / "readings.csv", folder / "stains.yaml")


def test_a_file_with_an_exchanged_stripe_is_warned_of_by_name(tmp_path):
    chip = next(one.chip for one in SEVEN.chips if any(layer.pot.stains == ("thrift",) for layer in one.layers))
    (tmp_path / "as-read").mkdir()
    with book_in(tmp_path) as known:
        right = calibrate_files(known, lab_only(tmp_path / "as-read"), Asked("D65", 10))
        wrong = calibrate_files(known, lab_only(tmp_path, chip), Asked("D65", 10))
    assert not [line for line in right.warnings if "exchanged" in line]
    assert [line for line in wrong.warnings if "exchanged" in line and chip in line]
