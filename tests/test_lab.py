"""Lab: one open book for all its views, results kept until something newer is stored, and five lines of a notebook."""

import doctest
import re
import shutil
import threading
from pathlib import Path

import pandas as pd
import pytest

import stainbook
from stainbook import lab as lab_module
from stainbook.book import open_book, store, upgrade
from stainbook.errors import InputError, UnknownNameError
from stainbook.faces.recipe_types import LookedFor
from stainbook.kept import Operator

ROOT = Path(__file__).parents[1]


@pytest.fixture
def lab(tmp_path):
    with stainbook.Lab.open(tmp_path / "lab.db", author="bench-1") as found:
        yield found


@pytest.fixture
def opens(monkeypatch):
    """How often a book is opened."""
    counted = []
    made = upgrade.ready
    monkeypatch.setattr(upgrade, "ready", lambda url, **more: (counted.append(url), made(url, **more))[1])
    return counted


@pytest.fixture
def queries(monkeypatch):
    """How often the newest row is asked for."""
    counted = []
    newest = store.Book.newest_row
    monkeypatch.setattr(store.Book, "newest_row", lambda book: (counted.append(book), newest(book))[1])
    return counted


def test_the_notebook_of_the_docstring_runs(tmp_path, monkeypatch):
    shutil.copytree(ROOT / "recipes", tmp_path / "recipes")
    monkeypatch.chdir(tmp_path)
    (notebook,) = (one for one in doctest.DocTestFinder().find(lab_module) if one.name == lab_module.__name__)
    results = doctest.DocTestRunner().run(notebook)
    stainbook.Lab.close_all()
    assert results.attempted == 5
    assert results.failed == 0


def test_readme_shows_that_notebook():
    shown = re.search(r"^```python\n(>>> .*?)^```", (ROOT / "README.md").read_text(encoding="utf-8"), re.M | re.S)
    assert shown is not None
    told = [line for line in shown[1].splitlines() if not line.startswith(">>>")][:4]  # what both of them print
    assert all(line in (lab_module.__doc__ or "") for line in told)


def test_all_views_of_a_place_share_one_open_book(lab, tmp_path, opens):
    for author in ("bench-1", "bench-2", None):
        other = stainbook.Lab.open(f"sqlite:///{tmp_path / 'lab.db'}", author=author)
        other.book.add_operators([Operator(f"of {author}")])
    assert len(opens) == 1
    assert set(lab.book.operators()) == {"of bench-1", "of bench-2", "of None"}
    assert [one.author for one in lab.book.newest_entered("operator")][:2] == ["bench-1", "bench-2"]


def test_making_a_view_opens_nothing(tmp_path, opens):
    view = stainbook.Lab.open(tmp_path / "none.db")
    assert view.book_if_there() is None
    view.close()
    assert opens == []
    assert not (tmp_path / "none.db").exists()


def test_what_is_shown_twice_asks_one_query_and_reads_nothing(lab, queries, opens, monkeypatch):
    def shown():
        with lab.look():
            return lab.recipes.look_up(LookedFor()), lab.stains.rows(), lab.settings.now(), lab.cases.listed()

    first = shown()
    queries.clear()
    opens.clear()
    newest = lab.newest()
    queries.clear()
    monkeypatch.setattr(store.Book, "newest_row", lambda book: (queries.append(book), newest)[1])
    monkeypatch.setattr(store.Book, "_reading", None)  # whatever else reads fails
    again = shown()
    assert (len(queries), opens) == (1, [])
    assert all(one is other for one, other in zip(first, again, strict=True))


def test_what_is_stored_meanwhile_is_seen(lab):
    with lab.look():
        assert lab.settings.now().people == ()
        lab.settings.keep_person("bench-2")
        assert lab.settings.now().people == ("bench-2",)
    other = open_book(lab.url)  # as another process would
    other.add_operators([Operator("bench-3")])
    other.close()
    assert lab.settings.now().people == ("bench-2", "bench-3")


def test_threads_share_a_lab(lab):
    found, faults = [], []

    def work(number):
        try:
            lab.settings.keep_person(f"bench-{number}")
            found.append(len(lab.settings.now().people))
        except Exception as error:
            faults.append(error)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(6)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert faults == []
    assert max(found) == len(lab.settings.now().people) == 6


def test_a_closed_lab_opens_again_and_a_book_that_was_taken_away_is_made_anew(lab, tmp_path):
    lab.settings.keep_person("bench-2")
    lab.close()
    assert lab.settings.now().people == ("bench-2",)
    for file in tmp_path.glob("lab.db*"):
        file.unlink()
    assert lab.settings.now().people == ()


def test_tables_come_as_frames_and_arrays(lab):
    recipes = ROOT / "recipes"
    frames = {name: pd.read_csv(recipes / f"{name}.csv", comment="#") for name in ("chips", "readings", "bodies")}
    learnt = lab.calibrate(frames["chips"], frames["readings"], stains=recipes / "stains.yaml", bodies=frames["bodies"])
    assert len(learnt.to_frame()) == 17
    bare = lab.book.find_reading("plate-pale")
    by_name = lab.predict({"barley": 1 / 8}, coats=2, on="plate-pale")
    by_array = lab.predict([({"barley": 1 / 8}, 2)], on=bare.reflectance)
    assert len(by_array.spectrum) == 31  # an array names neither surface nor thickness: read as a glazed piece
    assert len(by_name.to_frame()) == len(by_name.spectrum) == 31
    assert lab.predict({"barley": 1 / 8}, on=(74, 1, 14)).doubt > 0.0
    with pytest.raises(UnknownNameError, match="plate-pale"):
        lab.predict({"barley": 1 / 8}, on="plate-pail")
    with pytest.raises(InputError, match="expected a path, a data frame"):
        lab.calibrate(3, 4)
    with pytest.raises(InputError, match="at most 1 in all"):
        lab.predict({"barley": 1.5}, on="plate-pale")
    with pytest.raises(InputError, match="found 2 values"):
        lab.predict({"barley": 0.5}, on=(74, 1))
    assert len(lab.search(near=(74, 1, 14), within=3.0)) == 0


def test_what_something_newer_took_the_place_of_is_not_kept_in_memory(lab):
    for number in range(20):
        lab.book.add_operators([Operator(f"bench-{number}")])
        assert lab.kept(("words of", number), lambda number=number: [number]) == [number]
    assert len(lab.store._results) == 1
