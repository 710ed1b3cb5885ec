"""The demonstration book holds the shipped lab, a fit learnt from its chips, and what was finished before."""

from pathlib import Path

from stainbook.book import open_book
from stainbook.book.location import data_folder
from stainbook.files import read_case, read_chips, read_guide, read_stains
from stainbook.work.app.demo import make_demo_book, new_demo_folder
from stainbook.work.app.shipped import shipped
from stainbook.work.case.case_list import case_list
from stainbook.work.case.current_case import known_case
from stainbook.work.case.zones import zone_colours
from stainbook.work.stains.outcome_learning import SCOPE as LEARNT


def test_it_holds_the_shipped_lab(tmp_path):
    lab = shipped("recipes")
    with open_book(make_demo_book(tmp_path)) as book:
        assert list(book.stains()) == [stain.name for stain in read_stains(lab / "stains.yaml").records]
        assert len(book.chips()) == len(read_chips(lab / "chips.csv").records)
        assert book.guide() == read_guide(lab / "guide.csv").records
        assert book.find_reading("house/oat-pale/cervical") is not None
        assert len(book.fits("optics")) == 1
        assert "plate-pale" in book.bodies()


def test_it_holds_what_the_lab_finished_before(tmp_path):
    with open_book(make_demo_book(tmp_path)) as book:
        assert len(book.outcomes()) == 33
        assert all(one.expected is not None for one in book.outcomes())
        stages = {code: known_case(book, code).case.stage for code in book.cases()}
        assert {stage for code, stage in stages.items() if book.firings_of(code)} == {"delivered"}
        assert case_list(book).newest(out=True) == ["W-1017", "W-1003", "W-0988", "W-0979", "W-0971", "W-0964"]
        states = {name: [one.record.state for one in book.entered("recipe", name)] for name in book.recipes()}
        assert states["warm neck"] == ["draft", "tried", "approved"]
        assert {life[-1] for life in states.values()} == {"draft", "tried", "approved", "retired"}
        assert {name for what, name, _ in _factors(book) if what == "operator"} == {"bench-1", "bench-2"}
        assert book.verify().faults == ()


def test_it_holds_its_open_cases(tmp_path):
    """Where they stand as their files have it; read from the book, with the files gone."""
    with open_book(make_demo_book(tmp_path)) as book:
        assert case_list(book).newest(out=False) == ["W-1063", "W-1051", "W-1042"]
        for code in case_list(book).newest(out=False):
            (case,) = read_case(shipped("recipes") / f"{code}.yaml", guide=book.guide()).records
            current = known_case(book, code)
            assert current.case.stage == case.stage
            assert [zone.key for zone in current.case.zones] == [zone.key for zone in case.zones]
            found = zone_colours(current.case, current.library(book), optics=False)
            assert all(one.seen is not None for one in found)


def _factors(book):
    return [(row["what"], row["name"], row["stain"]) for row in book.fit(LEARNT).document["factors"]]


def test_the_same_is_made_once_and_then_copied(tmp_path):
    first = Path(make_demo_book(_new(tmp_path / "one")).removeprefix("sqlite:///"))
    (kept,) = data_folder().glob("demo-*.db")
    second = Path(make_demo_book(_new(tmp_path / "two")).removeprefix("sqlite:///"))
    assert second.read_bytes() == kept.read_bytes()
    with open_book(f"sqlite:///{first}") as one, open_book(f"sqlite:///{second}") as other:
        assert one.counts() == other.counts()


def _new(folder):
    folder.mkdir()
    return folder


def test_each_has_a_folder_of_its_own(tmp_path, monkeypatch):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    first, second = new_demo_folder(), new_demo_folder()
    assert first != second
    assert first.parent == tmp_path
