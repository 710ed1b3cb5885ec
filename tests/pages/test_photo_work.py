"""Work on a picture beside the page: how far it is, stopped, over page switches, what it was about, and its errors."""

import threading
import time

import pytest
from streamlit.testing.v1 import AppTest

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.faces import photo_face
from stainbook.faces.reading_types import Light
from stainbook.faces.wish_types import Aim
from stainbook.pages.case import case_texts
from stainbook.pages.photo import photo_texts as texts
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_list import page_file
from stainbook.work.reading.dropped import Dropped
from tests.pages.driving import press, show
from tests.photo.shots import by_kind, table, write_jpeg
from tests.worlds.photo_scenes import FILL, render

LONG = 60  # seconds that a busy machine may take


@pytest.fixture(scope="module")
def scene():
    return render(4, "test", polarised=True)


@pytest.fixture(scope="module")
def state(tmp_path_factory, scene):
    """A picture with its table and drawn zones, as a session keeps them."""
    folder = tmp_path_factory.mktemp("desk")
    image, chart = write_jpeg(folder / "p.jpg", scene), table(folder / "target.txt", scene)
    zones = {f"{tooth} {zone}": truth.polygon.tolist() for (tooth, zone), truth in by_kind(scene, "patient")}
    return {
        "photo image": Dropped("p.jpg", image.read_bytes()), "photo table": Dropped("target.txt", chart.read_bytes()),
        "photo fill": FILL, "photo subject": "patient", "photo zones": zones,
    }  # fmt: skip


class Held:
    """Each step of the photo waits here until it is let go on; it can be stopped meanwhile."""

    def __init__(self, monkeypatch):
        self._monkeypatch, self._go_on, self.begun = monkeypatch, threading.Event(), []
        self.jobs = []
        made = photo_face.Job
        monkeypatch.setattr(photo_face, "Job", lambda work: self.jobs.append(made(work)) or self.jobs[-1])

    def hold(self, name, fails=None):
        step = getattr(photo_face, name)

        def held(*given, watch, **named):
            watch.step("measure", 1, 3)
            self.begun.append(name)
            while not self._go_on.wait(0.01):
                watch.go_on()
            if fails is not None:
                raise fails
            return step(*given, watch=watch, **named)

        self._monkeypatch.setattr(photo_face, name, held)

    def let_go(self):
        self._go_on.set()
        assert self.jobs[-1].wait(LONG)


@pytest.fixture
def held(monkeypatch):
    return Held(monkeypatch)


@pytest.fixture
def page(tmp_path, monkeypatch, state):
    """The photo page of a lab with one case, on which all but what is held is done at once."""
    monkeypatch.setenv("STAINBOOK_BOOK", f"sqlite:///{tmp_path / 'none.db'}")
    monkeypatch.setattr(case_source, "PATIENCE", LONG)
    case = tmp_path / "W-7.yaml"
    case.write_text("case: W-7\nstage: glazed\nzones:\n  - {tooth: 11, zone: cervical}\n")
    assert case_source.lab().cases.bring_in([case]) == []
    app = AppTest.from_file(str(page_file("photo")), default_timeout=LONG)
    app.session_state["kept"] = dict(state)
    return app.run()


def measure(page, monkeypatch):
    """Press Measure; the page does not wait for it."""
    monkeypatch.setattr(case_source, "PATIENCE", 0.0)
    return press(page, texts.MEASURE)


def labels(page):
    return [one.label for one in page.button]


def pace(page):
    return [str(one.proto.text) for one in page.get("progress")]


def titles(page):
    return [one.value for one in page.subheader]


def test_the_page_says_how_far_the_work_is_and_shows_what_comes_of_it(page, held, monkeypatch):
    held.hold("measured")
    measure(page, monkeypatch)
    while not held.begun:
        time.sleep(0.01)
    page.run()
    assert pace(page) == ["Measuring: 1 of 3 …"]
    assert case_texts.STOP in labels(page)
    assert not titles(page)
    press(page, texts.MEASURE)  # once more: it goes on already
    assert held.begun == ["measured"]
    held.let_go()
    page.run()
    assert titles(page) == [texts.COLOURS]
    assert not pace(page)


def test_stopped_work_brings_nothing_and_stores_nothing_until_it_is_asked_for_again(page, held, monkeypatch, tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'none.db'}") as book:
        before = book.newest_row()
    held.hold("measured")
    measure(page, monkeypatch)
    press(page, case_texts.STOP)
    assert held.jobs[-1].wait(LONG)
    held.let_go()
    page.run()
    assert [one.value for one in page.info] == [case_texts.STOPPED_BEFORE]
    assert not titles(page)
    assert not [one for one in labels(page) if one.startswith("Store")]
    press(page, texts.MEASURE)
    held.let_go()
    page.run()
    assert titles(page) == [texts.COLOURS]
    with open_book(f"sqlite:///{tmp_path / 'none.db'}") as book:
        assert book.newest_row() == before


def test_a_switch_of_pages_loses_nothing(page, held, monkeypatch):
    held.hold("measured")
    measure(page, monkeypatch)
    show(page, "settings")
    held.let_go()
    show(page, "photo")
    assert titles(page) == [texts.COLOURS]
    assert held.begun == ["measured"]


def test_a_result_belongs_to_its_drawing_picture_and_target(page, held, monkeypatch, state):
    held.hold("measured")
    measure(page, monkeypatch)
    first = held.jobs[-1]
    zones = dict(list(state["photo zones"].items())[:2])
    page.session_state["kept"] = page.session_state["kept"] | {"photo zones": zones}
    page.run()
    assert not pace(page)  # of what is drawn now nothing was asked
    press(page, texts.MEASURE)
    assert first.wait(LONG)
    assert first.was_stopped
    held.let_go()
    page.run()
    assert any(text.value.startswith("**2 zones") for text in page.markdown)
    case_source.case("W-7").wish.aim([(11, "cervical")], Aim("lab", "70 2 16"), Light("D65", 10))
    page.run()
    assert not titles(page)  # it was judged without this target


def test_what_goes_wrong_is_one_line_under_the_button_that_began_it(page, held, monkeypatch):
    held.hold("measured", fails=InputError("p.jpg: the chart is bent"))
    measure(page, monkeypatch)
    assert not page.warning
    held.let_go()
    page.run()
    assert [one.value for one in page.warning] == [texts.CANNOT.format(reason="p.jpg: the chart is bent")]
    page.run()
    assert not page.warning
    assert texts.MEASURE in labels(page)


def test_another_picture_stops_what_was_done_on_the_last_one(page, held, monkeypatch, state):
    held.hold("measured")
    measure(page, monkeypatch)
    (uploader,) = [one for one in page.file_uploader if one.label == texts.PICTURE]
    uploader.upload("other.jpg", state["photo image"].data + b"\0", "image/jpeg").run()
    assert held.jobs[-2].wait(LONG) or held.jobs[-1].wait(LONG)
    assert [job.was_stopped for job in held.jobs if job.watch.stopped] == [True]
    assert page.session_state["kept"]["photo zones"] == {}


def test_looking_can_be_stopped_and_goes_on_when_asked(page, held, monkeypatch, state):
    held.hold("look")
    monkeypatch.setattr(case_source, "PATIENCE", 0.0)
    second = Dropped("q.jpg", state["photo image"].data + b"\0")
    page.session_state["kept"] = page.session_state["kept"] | {"photo image": second}
    page.run()
    assert len(pace(page)) == 1
    assert texts.MEASURE not in labels(page)
    press(page, case_texts.STOP)
    assert held.jobs[-1].wait(LONG)
    page.run()
    assert [one.value for one in page.info] == [case_texts.STOPPED_BEFORE]
    press(page, case_texts.GO_ON)
    held.let_go()
    page.run()
    assert texts.MEASURE in labels(page)


def test_outlines_are_suggested_beside_the_page(page, held, monkeypatch):
    held.hold("suggested")
    monkeypatch.setattr(case_source, "PATIENCE", 0.0)
    press(page, texts.SUGGEST)
    assert len(pace(page)) == 1
    assert texts.MEASURE in labels(page)  # all else can be done
    press(page, case_texts.STOP)
    assert held.jobs[-1].wait(LONG)
    page.run()
    assert not pace(page)
    assert "photo suggested" not in page.session_state["kept"]
    press(page, texts.SUGGEST)
    held.let_go()
    page.run()
    assert not pace(page)
    assert page.session_state["kept"]["photo said"]
