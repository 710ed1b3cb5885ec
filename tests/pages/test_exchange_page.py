"""The exchange page: a bundle shown before it is taken, taken thing by thing, and a case that leaves."""

import io
import threading
import time
import zipfile

import pytest

from stainbook.book import open_book
from stainbook.errors import StoppedError
from stainbook.faces import exchange_face
from stainbook.kept import LabRecipe, Operator
from stainbook.lab import Lab
from stainbook.match import Watch
from stainbook.pages.case import case_texts
from stainbook.pages.lab import exchange_texts as words
from stainbook.pages.shell import case_source
from stainbook.records import Layer, Pot, Stain
from stainbook.work.lab.exchange import import_
from tests.pages.driving import press


@pytest.fixture(autouse=True)
def patient(monkeypatch):
    """Pages wait for work that is done beside them."""
    monkeypatch.setattr(case_source, "PATIENCE", 60)


@pytest.fixture
def bundle(tmp_path):
    """The bundle of a small book: no chips in it, whose fit would be computed again before it is taken."""
    url = f"sqlite:///{tmp_path / 'north.db'}"
    with open_book(url) as book:
        book.add_stains([Stain("saddle", family="brown"), Stain("pollen", family="yellow")])
        book.add_operators([Operator("bench-9")])
        for name in ("warm neck", "cool edge"):
            book.revise_recipe(LabRecipe(name, (Layer(Pot.of({"saddle": 1 / 8})),)))
    return Lab.open(url).exchange.packed_book("zip")


@pytest.fixture
def empty(monkeypatch, tmp_path):
    url = f"sqlite:///{tmp_path / 'empty.db'}"
    monkeypatch.setenv("STAINBOOK_BOOK", url)
    return url


def dropped(page, data, name="north.zip"):
    page.file_uploader[0].upload(name, data, "application/zip").run()
    assert not page.exception
    return page


def choose(page, rows):
    page.session_state["choices 0"] = {"edited_rows": rows, "added_rows": [], "deleted_rows": []}
    page.run()
    assert not page.exception


def test_a_bundle_is_shown_before_it_is_taken_and_changes_nothing_twice(open_page, bundle, empty):
    page = dropped(open_page("exchange"), bundle)
    shown = page.data_editor[0].value
    assert {words.STATUS["new"]} == set(shown["status"])
    with open_book(empty) as book:
        assert book.counts() == {}
    press(page, words.TAKE_THEM.of(len(shown)))
    assert page.success[0].value.startswith("Imported:")
    with open_book(empty) as book:
        counts, change = book.counts(), book.last_change()
    assert (counts["recipe"], counts["stain"], counts["operator"]) == (2, 2, 1)
    page = dropped(open_page("exchange"), bundle)
    assert page.info[0].value == words.NOTHING_NEW
    with open_book(empty) as book:
        assert book.last_change() == change


def test_things_are_left_and_taken_under_another_name(open_page, bundle, empty):
    page = dropped(open_page("exchange"), bundle)
    shown = page.data_editor[0].value
    neck = next(i for i in shown.index if shown["name"][i] == "warm neck")
    leave = {i: {"action": words.ACTIONS["skip"]} for i in shown.index if i != neck}
    choose(page, {**leave, neck: {"action": words.ACTIONS["rename"]}})
    press(page, words.TAKE_THEM.of(1))
    assert "has no new name" in page.warning[0].value
    choose(page, {**leave, neck: {"action": words.ACTIONS["rename"], "new_name": "neck of north"}})
    press(page, words.TAKE_THEM.of(1))
    with open_book(empty) as book:
        assert list(book.recipes()) == ["neck of north"]
        assert book.stains() == {}


@pytest.mark.parametrize(
    ("name", "data"), [("north.zip", b"PK\x03\x04 nothing"), ("../../evil.zip", b""), ("case.yaml", b"a: [")]
)
def test_a_hostile_file_is_refused_in_a_sentence(open_page, empty, name, data):
    page = dropped(open_page("exchange"), data, name)
    said = page.warning[0].value
    assert said.startswith("Nothing was imported:")
    assert "/tmp" not in said
    assert "stainbook-exchange" not in said
    with open_book(empty) as book:
        assert book.counts() == {}


def test_a_case_is_erased_once_the_duty_was_looked_at(open_page, own_demo):
    page = open_page("exchange")
    code = page.selectbox(key="leaving").value
    button = next(one for one in page.button if one.label == words.ERASE.format(case=code))
    assert button.disabled
    assert any(words.DUTY in one.value for one in page.markdown)
    page.checkbox(key=f"sure {code}").check().run()
    press(page, words.ERASE.format(case=code))
    assert page.success[0].value.startswith("Erased:")
    with open_book(own_demo) as book:
        assert code not in book.cases()
        assert book.outcomes_of(code) == ()


def test_what_another_lab_gets_holds_no_history(bundle, tmp_path):
    whole = Lab.open(f"sqlite:///{tmp_path / 'north.db'}").exchange.packed_book("zip", history=True)
    names = [set(zipfile.ZipFile(io.BytesIO(data)).namelist()) for data in (bundle, whole)]
    assert names[0] < names[1]
    assert {name.split("/")[0] for name in names[1] - names[0]} == {"history"}


@pytest.fixture
def held(monkeypatch):
    """A function that holds a step of the exchange until it is let go on; it can be stopped meanwhile."""
    go_on, begun = threading.Event(), []

    def hold(name):
        step = getattr(exchange_face, name)

        def waits(*given, watch):
            watch.step("store", 2, 3)
            begun.append(watch)
            while not go_on.wait(0.01):
                watch.go_on()
            return step(*given, watch=watch)

        monkeypatch.setattr(exchange_face, name, waits)
        monkeypatch.setattr(case_source, "PATIENCE", 0.0)
        return begun, go_on

    return hold


def drawn_when(page, true):
    """The page, drawn anew until something is true of it."""
    end = time.monotonic() + 60
    while not true():
        assert time.monotonic() < end
        page.run()
        assert not page.exception
    return page


def labels(page):
    return [one.label for one in page.button]


def test_a_bundle_is_taken_in_beside_the_page_and_said_once(open_page, bundle, empty, held):
    page = dropped(open_page("exchange"), bundle)
    wanted = len(page.data_editor[0].value)
    begun, go_on = held("take_in")
    press(page, words.TAKE_THEM.of(wanted))
    drawn_when(page, lambda: begun)
    page.run()
    assert [str(one.proto.text) for one in page.get("progress")] == ["Taking in: 2 of 3 …"]
    assert not page.data_editor  # what is being taken in is not chosen anew
    go_on.set()
    drawn_when(page, lambda: page.success)
    assert page.success[0].value.startswith("Imported:")
    assert len(begun) == 1
    with open_book(empty) as book:
        assert book.counts()["recipe"] == 2


def test_a_bundle_that_is_stopped_stores_nothing_and_can_be_taken_in_again(open_page, bundle, empty, held):
    page = dropped(open_page("exchange"), bundle)
    wanted = len(page.data_editor[0].value)
    _, go_on = held("take_in")
    press(page, words.TAKE_THEM.of(wanted))
    press(page, case_texts.STOP)
    drawn_when(page, lambda: page.data_editor)
    with open_book(empty) as book:
        assert book.counts() == {}
    go_on.set()
    press(page, words.TAKE_THEM.of(wanted))
    drawn_when(page, lambda: page.success)
    with open_book(empty) as book:
        assert book.counts()["recipe"] == 2


def test_looking_into_a_bundle_is_stopped_and_goes_on_when_asked(open_page, bundle, empty, held):
    page = open_page("exchange")
    _, go_on = held("preview")
    dropped(page, bundle)
    assert not page.data_editor
    press(page, case_texts.STOP)
    drawn_when(page, lambda: case_texts.GO_ON in labels(page))
    go_on.set()
    press(page, case_texts.GO_ON)
    drawn_when(page, lambda: page.data_editor)


@pytest.mark.parametrize("doing", ["bundle", "history", "store"])
def test_an_import_stores_nothing_wherever_it_is_stopped(bundle, empty, tmp_path, doing):
    class Stopping(Watch):
        def step(self, now, done, of):
            if now == doing:
                self.stop()
            super().step(now, done, of)

    path = tmp_path / "north.zip"
    path.write_bytes(bundle)
    with open_book(empty) as book:
        with pytest.raises(StoppedError):
            import_(book, path, watch=Stopping())
        assert book.counts() == {}
        assert import_(book, path).stored
