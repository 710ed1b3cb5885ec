"""What the lab decided once is used by its work: advice, verdicts, results, the report, the light of spectra."""

from contextlib import suppress
from dataclasses import replace
from threading import Barrier, BrokenBarrierError, Thread

import pytest

from stainbook.book import open_book
from stainbook.book.shelves import Shelves
from stainbook.colour import own_set, threshold_set
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import Settings
from stainbook.lab import Lab
from stainbook.records import Viewing
from stainbook.work.app.demo import make_demo_book, make_demo_folder
from stainbook.work.case.case_gaps import case_gaps
from stainbook.work.case.library import Library
from stainbook.work.case.problems import AdviceAsked, prepare_case
from stainbook.work.firing.record import record_files
from stainbook.work.lab import settings as desk
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.sheets.case_report import report_of


@pytest.fixture
def lab(tmp_path):
    """The demonstration lab, judging teeth by 0.2 and 9 of its own."""
    url, folder = make_demo_book(tmp_path), make_demo_folder(tmp_path)
    desk.keep_limits(Lab.open(url).book, "tooth", desk.OwnLimits(None, 0.2, 9.0))
    return url, folder


def test_own_figures_are_a_name_that_says_them():
    assert threshold_set("own-tooth-0.2-9") == own_set("tooth", 0.2, 9.0)
    for name in ("own-tooth-2-1", "own-tooth-a-1", "own-bone-1-2", "own-tooth-0-1", "own-tooth-1-99"):
        with pytest.raises(UnknownNameError):
            threshold_set(name)


def test_figures_that_no_name_can_say_are_refused(tmp_path):
    url = make_demo_book(tmp_path)
    with pytest.raises(InputError, match=r"expected 0\.01"):
        desk.keep_limits(Lab.open(url).book, "tooth", desk.OwnLimits(None, 0.00001, 2.0))  # would be named 1e-05
    desk.keep_limits(Lab.open(url).book, "gingiva", desk.OwnLimits(None, 0.01, 20.0))
    assert desk.settings_of(Lab.open(url).book).limits["gingiva"] == own_set("gingiva", 0.01, 20.0)


def test_sessions_that_set_other_things_at_once_both_count(tmp_path, monkeypatch):
    url, read = make_demo_book(tmp_path), Shelves.settings
    all_there = Barrier(2)

    def both_look_first(self):
        found = read(self)
        with suppress(BrokenBarrierError):  # one waits for the other to be done: they do not look at once
            all_there.wait(0.3)
        return found

    monkeypatch.setattr(Shelves, "settings", both_look_first)
    sessions = [
        Thread(target=desk.keep_lab, args=(Lab.open(url).book, "north")),
        Thread(target=desk.keep_viewing, args=(Lab.open(url).book,), kwargs={"illuminant": "A", "observer": 2}),
    ]
    for one in sessions:
        one.start()
    for one in sessions:
        one.join()
    monkeypatch.undo()
    found = desk.settings_of(Lab.open(url).book)
    assert (found.lab, found.viewing) == ("north", Viewing("A", 2))


def test_gaps_advice_and_report_go_by_the_labs_thresholds(lab):
    url, folder = lab
    with open_book(url) as book:
        zones = case_gaps(book, folder / "W-1051.yaml").shown.zones
        assert {zone.gap.grade for zone in zones} == {"within"}
        ready = prepare_case(book, folder / "W-1051.yaml", AdviceAsked())
        assert {one.thresholds.acceptable for one in ready.problems} == {9.0}
        named = prepare_case(book, folder / "W-1051.yaml", AdviceAsked(threshold_names=("tooth-2010",)))
        assert {one.thresholds.acceptable for one in named.problems} == {2.25}
        book.add_settings(replace(book.settings(), lab="Lab by the river"))
        report, _ = report_of(book, folder / "W-1051.yaml")
    assert report.lab == "Lab by the river"
    assert any("9" in str(fact) and "own-tooth" in str(fact) for fact in report.facts)


def test_what_is_recorded_is_judged_by_them(lab, tmp_path):
    url, _ = lab
    file = tmp_path / "outcome.yaml"
    file.write_text(
        "case: W-1051\nzones:\n  - tooth: 11\n    zone: incisal\n    layers: [{pot: {wagtail: 0.125}}]\n"
        "    after: {L: 70, a: 0.9, b: 13.2, illuminant: D65, observer: 10}\n"
    )
    with open_book(url) as book:
        (told,) = record_files(book, [file]).outcomes
    assert 1.8 < told.to_target < 9.0
    assert told.accepted


def test_the_light_and_the_shares_of_the_lab(lab):
    url, folder = lab
    with open_book(url) as book:
        book.add_settings(Settings(viewing=Viewing("D50", 2), strengths=(1 / 3, 1.0)))
        assert Library(book, Asked()).asked.usual == Viewing("D50", 2)
        ready = prepare_case(book, folder / "W-1051.yaml", AdviceAsked())
        assert ready.bench.limits.strengths == (1 / 3, 1.0)
        viewings = {one.viewing for one in ready.problems}
    assert viewings == {Viewing("D50", 2), Viewing("D65", 10)}  # one target is L*a*b* under D65, 10°
