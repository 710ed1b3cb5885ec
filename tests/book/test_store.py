"""What goes in comes out, on both stores."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from stainbook.book import Book, Import, open_book
from stainbook.errors import BookError, InputError
from stainbook.records import Body, Chip, GuideTab, Layer, Pot, Reading, Stain, Viewing

HUSK = Stain(
    "husk", family="brown", materials=("zirconia",), stages=("blasted", "sintered"), lot="24-117", max_firings=4
)
CHIP = Chip(
    "P1-03",
    "pale",
    (Layer(Pot.of({"husk": 0.25, "teasel": 0.5}), coats=2, lots=(("husk", "0117"),), method="brush", firings=2),),
    operator="bench-2",
    material="zirconia",
    source="chips.csv row 4",
)
WAVELENGTHS = tuple(range(400, 701, 10))
SPECTRUM = Reading(
    "P1-03",
    wavelengths=WAVELENGTHS,
    reflectance=tuple(0.1 + 0.5 * n / 31 for n in range(31)),
    repeats=3,
    scatter=(0.001,) * 31,
    stage="glazed",
    surface="glazed",
    aperture_mm=4,
    taken_at="2026-03-02T10:40:00Z",
    source="readings.csv row 7",
)
COLOUR = Reading(
    "W-1042-11", lab=(71.3, 1.0 / 3.0, 18.25), viewing=Viewing("D65", 2), notes='é, "quoted"\nand \'; drop'
)


def test_records_come_back_as_they_went_in(book: Book) -> None:
    tab = GuideTab("house", "oat-mid", "cervical", "tooth")
    body = Body("pale", material="zirconia", lot="0117", thickness_mm=1.0)
    with book.transaction() as tx:
        tx.add_stains([HUSK, Stain("clear", kind="clear")])
        tx.add_bodies([body])
        tx.add_chips([CHIP])
        tx.add_guide([tab])
        tx.add_readings([SPECTRUM, COLOUR])
        tx.add_imports([Import("chips.csv", "0" * 64)])
    assert book.stains() == {"husk": HUSK, "clear": Stain("clear", kind="clear")}
    assert list(book.stains()) == ["husk", "clear"]
    assert book.bodies() == {"pale": body}
    assert book.chips() == (CHIP,)
    assert book.guide() == (tab,)
    assert book.readings() == (SPECTRUM, COLOUR)
    assert book.imports() == (Import("chips.csv", "0" * 64),)
    assert book.counts() == {"body": 1, "chip": 1, "import": 1, "reading": 2, "stain": 2, "tab": 1}


def test_an_empty_book_answers_with_nothing(book: Book) -> None:
    assert (book.stains(), book.bodies(), book.chips(), book.guide()) == ({}, {}, (), ())
    assert (book.readings(), book.find_reading("x"), book.fit("x"), book.fits(), book.counts()) == (
        (),
        None,
        None,
        (),
        {},
    )
    assert book.add_readings([]) == 0


def test_the_newest_revision_of_a_stain_holds_and_keeps_its_place(book: Book) -> None:
    assert book.add_stains([HUSK, Stain("teasel")]) == 2
    new_lot = replace(HUSK, lot="24-131")
    assert book.add_stains([new_lot, Stain("teasel")]) == 1
    assert list(book.stains().values()) == [new_lot, Stain("teasel")]


def test_going_back_to_an_older_lot_is_a_revision_too(book: Book) -> None:
    for lot in ("a", "b", "a"):
        assert book.add_stains([replace(HUSK, lot=lot)]) == 1
    assert book.stains()["husk"].lot == "a"


def test_the_same_reading_twice_changes_nothing_from_whatever_file(book: Book) -> None:
    assert book.add_readings([SPECTRUM, SPECTRUM]) == 1
    assert book.add_readings([replace(SPECTRUM, source="copy.csv row 1"), COLOUR]) == 1
    assert book.readings("P1-03") == (SPECTRUM,)


def test_whole_numbers_are_the_same_content_as_floats(book: Book) -> None:
    one = Reading("x", lab=(50, 0, 0), viewing=Viewing())
    assert book.add_readings([one]) == 1
    assert book.add_readings([replace(one, lab=(50.0, 0.0, 0.0))]) == 0


def test_many_names_at_once(book: Book) -> None:
    many = [replace(COLOUR, sample=f"s{n}") for n in range(1203)]
    assert book.add_readings(many) == 1203
    assert book.add_readings([*many, replace(COLOUR, sample="one more")]) == 1


def test_readings_by_sample_and_stage(book: Book) -> None:
    before, after = (replace(COLOUR, stage=stage) for stage in ("blasted", "glazed"))
    book.add_readings([before, after, SPECTRUM])
    assert book.readings(COLOUR.sample) == (before, after)
    assert book.readings(COLOUR.sample, "glazed") == (after,)
    assert book.readings(stage="glazed") == (after, SPECTRUM)
    assert book.find_reading(COLOUR.sample, "blasted") == before
    assert book.find_reading(COLOUR.sample, "delivered") is None


@pytest.mark.parametrize(
    ("times", "meant"),
    [
        ([None, None], 1),
        (["2026-03-02T10:40:00Z", None], 0),
        (["2026-03-02T12:00:00+02:00", "2026-03-02T11:00:00Z"], 1),  # 10:00Z, 11:00Z: instants, not text
        (["2026-03-03", "2026-03-02T23:59:00"], 0),
        (["2026-03-02", "2026-03-02"], 1),
        (["last Tuesday", "2026-03-02"], 1),
    ],
)
def test_a_sample_means_its_newest_reading_else_the_last(book: Book, times: list[str | None], meant: int) -> None:
    readings = [replace(COLOUR, taken_at=time, lab=(50.0 + n, 0.0, 0.0)) for n, time in enumerate(times)]
    book.add_readings(readings)
    assert book.find_reading(COLOUR.sample) == readings[meant]


def test_fits_are_numbered_within_their_scope_and_all_kept(book: Book) -> None:
    blob = bytes(range(256)) * 40
    assert book.add_fit("zirconia", {"stains": ["husk"], "u": 1 / 3}, data=blob) == 1
    assert book.add_fit("zirconia", {"stains": ["husk"], "u": 1 / 3}, data=blob) == 2  # equal, and still a fit
    assert book.add_fit("lithium disilicate", {"note": None}) == 1
    newest, oldest = book.fit("zirconia"), book.fit("zirconia", 1)
    assert newest is not None
    assert oldest is not None
    assert (newest.revision, newest.document, newest.data) == (2, {"stains": ["husk"], "u": 1 / 3}, blob)
    assert (oldest.revision, oldest.author) == (1, "bench-2")
    assert book.fit("zirconia", 3) is None
    assert [fit.revision for fit in book.fits("zirconia")] == [1, 2]
    assert [fit.scope for fit in book.fits()] == ["zirconia", "zirconia", "lithium disilicate"]


def test_a_fit_names_when_and_who(book_url: str) -> None:
    with open_book(book_url) as book:
        book.add_fit("zirconia", {})
        fit = book.fit("zirconia")
    assert fit is not None
    assert fit.author == "the lab"
    assert abs(datetime.now(UTC) - datetime.fromisoformat(fit.created_at)) < timedelta(minutes=5)


def test_a_transaction_sees_its_own_writes_and_others_do_not(book: Book) -> None:
    with book.transaction() as tx:
        tx.add_stains([HUSK])
        assert tx.add_fit("zirconia", {}) == 1
        assert tx.add_fit("zirconia", {}) == 2
        assert list(tx.stains()) == ["husk"]
        assert book.stains() == {}
    assert list(book.stains()) == ["husk"]


def test_an_error_inside_a_transaction_stores_nothing(book: Book) -> None:
    def half() -> None:
        with book.transaction() as tx:
            tx.add_stains([HUSK])
            tx.add_fit("zirconia", {"u": float("nan")})

    with pytest.raises(InputError):
        half()
    assert book.counts() == {}


@pytest.mark.parametrize("document", [{"a": float("nan")}, {"a": {1, 2}}, {"a": b"x"}])
def test_a_document_that_json_cannot_hold_is_refused(book: Book, document: dict[str, object]) -> None:
    with pytest.raises(InputError, match=r"cannot be stored: .*expected finite numbers"):
        book.add_fit("zirconia", document)
    assert book.counts() == {}


def test_a_name_that_is_no_text_is_refused(book: Book) -> None:
    with pytest.raises(InputError, match=r"'W-\\udcff': found the character U\+DCFF"):
        book.add_readings([replace(COLOUR, sample="W-\udcff")])
    assert book.counts() == {}


def test_a_damaged_row_is_named(book: Book) -> None:
    book.add_stains([HUSK])
    with book._writing() as connection:
        connection.exec_driver_sql('UPDATE records SET content = \'{"kind":"surface"}\'')
    with pytest.raises(BookError, match="damaged stain"):
        book.stains()
