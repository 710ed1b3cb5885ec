"""What was fired is stored whole or not at all, against what was expected and wanted."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from stainbook.apparatus import Instrument
from stainbook.book import Book, open_book
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import LabRecipe
from stainbook.records import UNKNOWN_VIEWING, Case, CaseZone, Layer, Pot, Viewing
from stainbook.work.firing.record import record_files
from stainbook.work.lab.exchange import import_
from stainbook.work.lab.verify_book import verify
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains import outcome_learning
from tests.work.benches import calibrated, fired, reading
from tests.work.opened import opened


@pytest.fixture(scope="module")
def taught(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("taught")
    with open_book(f"sqlite:///{folder / 'lab.db'}") as book:
        calibrated(book, folder)
    return folder / "lab.db"


@pytest.fixture
def book(taught: Path, tmp_path: Path) -> Iterator[Book]:
    (tmp_path / "lab.db").write_bytes(taught.read_bytes())
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-1") as found:
        yield found


def test_an_honest_outcome_is_near_what_was_expected(book: Book, tmp_path: Path) -> None:
    result = record_files(book, [fired(tmp_path)])
    (one,) = result.outcomes
    assert one.dE00 is not None
    assert one.dE00 < 0.5  # of these chips, which the model meets to about 0.2
    assert (one.zone, one.tooth, one.held, result.warnings) == ("cervical", 11, False, [])
    assert {(told.what, told.name) for told in result.learnt} <= {("operator", "bench-1"), ("programme", "glaze-770")}
    (stored,) = book.outcomes()
    assert (stored.operator, stored.programme, stored.layers) == (
        "bench-1",
        "glaze-770",
        (Layer(Pot.of({"husk": 0.25})),),
    )
    assert stored.expected is not None
    assert stored.got is not None


def test_a_wrong_sample_is_held_back_and_shown(book: Book, tmp_path: Path) -> None:
    (one,) = record_files(book, [fired(tmp_path, husk=2.0)]).outcomes
    assert one.held


def test_case_operator_and_programme_that_are_new_are_added(book: Book, tmp_path: Path) -> None:
    record_files(book, [fired(tmp_path, extra="minutes: 48\nclinic: Harbour\n")])
    assert list(book.cases()) == ["W-1042"]
    assert list(book.operators()) == ["bench-1"]
    assert list(book.programmes()) == ["glaze-770"]
    (firing,) = book.firings()
    assert (firing.minutes, firing.clinic) == (48.0, "Harbour")
    assert book.find_reading("W-1042-11-cervical-f1") is not None


def test_an_outcome_has_the_finish_of_its_zone(book: Book, tmp_path: Path) -> None:
    own = CaseZone(11, "cervical", "tooth", finish="polish")
    opened(book, Case("W-1042", (own, CaseZone(11, "middle", "tooth")), "zirconia", "blasted"))
    record_files(book, [fired(tmp_path)])
    assert [one.finish for one in book.outcomes()] == ["polish"]


def test_a_stain_that_is_not_known_stores_nothing(book: Book, tmp_path: Path) -> None:
    before = book.last_change()
    path = fired(tmp_path)
    path.write_text(path.read_text().replace("husk", "huks"))
    with pytest.raises(UnknownNameError, match=r"row 6.*'huks'.*husk"):
        record_files(book, [path])
    assert book.last_change() == before


def test_the_same_again_changes_nothing_also_after_a_new_fit(book: Book, tmp_path: Path) -> None:
    path = fired(tmp_path)
    record_files(book, [path])
    calibrated(book, tmp_path)
    before = book.last_change()
    again = record_files(book, [path])
    assert (again.stored, again.told_by, again.outcomes) == (
        False,
        book.entered("firing", "W-1042 2026-03-02T10:40:00Z")[0].author,
        [],
    )
    assert "told before" in again.warnings[0]
    assert book.last_change() == before


def test_what_another_session_records_meanwhile_is_learnt_too(book: Book, tmp_path: Path, monkeypatch) -> None:
    learnt_again, calls = outcome_learning.learnt_again, []

    def interrupted(then: Book) -> Any:
        found = learnt_again(then)
        calls.append(then)
        if len(calls) == 1:
            book.add_outcomes([replace(book.outcomes()[0], fired_at="2026-03-03T10:40:00Z")])
        return found

    monkeypatch.setattr(outcome_learning, "learnt_again", interrupted)
    record_files(book, [fired(tmp_path)])
    assert len(calls) == 2
    assert {one["outcomes"] for one in book.fit(outcome_learning.SCOPE).document["factors"] if one["outcomes"]} == {2}
    assert verify(book).faults == []


def test_a_contradiction_needs_a_reason_an_addition_none(book: Book, tmp_path: Path) -> None:
    record_files(book, [fired(tmp_path)])
    record_files(book, [fired(tmp_path, extra="accepted_by: clinic\n")])
    assert book.outcomes()[0].accepted is True
    record_files(book, [fired(tmp_path, extra="accepted_by: clinic\nreturned: shade\n")])
    assert book.outcomes()[0].accepted is False
    path = fired(tmp_path, extra="accepted_by: clinic\nreturned: shade\n")
    path.write_text(path.read_text().replace("0.25", "0.5"))
    with pytest.raises(InputError, match="--because"):
        record_files(book, [path])
    record_files(book, [path], because="the note said a half")
    (stored,) = book.outcomes()
    assert stored.layers[0].pot.as_dict() == {"husk": 0.5}
    assert [one.why for one in book.corrections().values()] == ["the note said a half"]


def test_before_is_the_newest_reading_of_the_zone_when_none_is_named(book: Book, tmp_path: Path) -> None:
    first = fired(tmp_path)
    record_files(book, [first])
    second = fired(tmp_path, husk=0.9, fired_at="2026-03-03T10:40:00Z")
    second.write_text(second.read_text().replace("before: {file: fired.csv, sample: W-1042-11-cervical},", ""))
    record_files(book, [second])
    then, now = book.outcomes()
    assert now.before == then.after
    before = book.last_change()
    record_files(book, [second])
    assert book.last_change() == before


def test_a_case_with_targets_says_how_far_it_still_is(book: Book, tmp_path: Path) -> None:
    case = tmp_path / "W-1042.yaml"
    case.write_text(
        "case: W-1042\nmaterial: zirconia\nstage: stained\nzones:\n  - {tooth: 11, zone: cervical, "
        "target: {L: 75, a: 3, b: 15, illuminant: D65, observer: 2}}\n"
    )
    import_(book, case)
    (one,) = record_files(book, [fired(tmp_path)]).outcomes
    assert one.to_target is not None
    assert one.accepted is (one.to_target <= 1.8)
    assert (one.got.illuminant, one.got.observer) == ("D65", 2)
    assert book.outcomes()[0].material == "zirconia"


def test_without_a_fit_it_is_stored_and_said(tmp_path: Path) -> None:
    from stainbook.records import Stain

    with open_book(f"sqlite:///{tmp_path / 'new.db'}") as book:
        book.add_stains([Stain("husk")])
        result = record_files(book, [fired(tmp_path)])
        assert len(book.outcomes()) == 1
    assert result.outcomes[0].expected is None
    assert "calibrate" in result.warnings[0]


def test_a_recipe_that_was_fired_is_tried(book: Book, tmp_path: Path) -> None:
    book.revise_recipe(LabRecipe("warm neck", (Layer(Pot.of({"husk": 0.25})),)))
    path = fired(tmp_path)
    path.write_text(path.read_text().replace("tooth: 11,", "tooth: 11, recipe: warm neck,"))
    record_files(book, [path])
    assert book.recipes()["warm neck"].state == "tried"
    assert book.find_reading("pale") == reading("pale", source=book.find_reading("pale").source)  # type: ignore[union-attr]


def test_colours_written_in_the_outcome_are_of_the_instrument_that_is_named(book: Book, tmp_path: Path) -> None:
    path = tmp_path / "typed.yaml"
    zone = "{tooth: 11, zone: cervical, layers: [{pot: {husk: 0.25}}], after: {L: 71, a: 2, b: 18}}"
    path.write_text(f"case: W-9\nfired_at: 2026-03-02T10:40:00Z\nzones:\n- {zone}\n", encoding="utf-8")
    book.add_instruments([Instrument("hand", Viewing("D50", 2))])
    record_files(book, [path], Asked(instrument="hand", instruments=book.instruments()))
    (stored,) = book.outcomes()
    assert (stored.after.instrument, stored.after.viewing) == ("hand", Viewing("D50", 2))


def test_a_row_of_another_instrument_keeps_its_own_light() -> None:
    profiles = {"hand": Instrument("hand", Viewing("D50", 2))}
    defaults = Asked(instrument="hand", instruments=profiles).defaults
    assert defaults.viewing == UNKNOWN_VIEWING
