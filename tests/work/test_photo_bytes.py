"""What a page brings of photos is read from its bytes: nothing lies in a folder for it."""

import tempfile
from dataclasses import replace

import pytest

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.work.photo.photo_chart import keep_chart
from stainbook.work.photo.photo_desk import earlier, look
from stainbook.work.reading.dropped import Dropped

ROWS = b"".join(b"p%d,50,0,0,D65,10\n" % number for number in range(4))
TABLE = Dropped("our chart.csv", b"sample,L,a,b,illuminant,observer\n" + ROWS)
ZONES = "zones:\n  - {tooth: 11, zone: middle, polygon: [[0, 0], [9, 0], [9, 9]]}\n"
SCENE = Dropped("before/scene.yaml", f"reference: chart.csv\nrows: 2\ncolumns: 2\n{ZONES}".encode())


@pytest.fixture(autouse=True)
def no_folder(monkeypatch):
    def refuse(*_, **__):
        raise AssertionError("a folder was made")

    monkeypatch.setattr(tempfile, "TemporaryDirectory", refuse)


def test_a_chart_is_kept_from_its_table(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as book:
        assert keep_chart(book, TABLE) == 4
        assert all(one.source.startswith("our chart.csv: row ") for one in book.readings())


def test_an_earlier_scene_is_read_and_what_is_wrong_with_it_is_told_by_its_name():
    picture = Dropped("before.jpg", b"")
    desk = earlier(picture, TABLE, None, SCENE)
    assert desk.scene.zones[0].tooth == 11
    with pytest.raises(InputError, match=r"^before\.jpg: found an empty file"):
        look(desk)
    with pytest.raises(InputError, match=r"^our chart\.csv: found 4 patches"):
        look(replace(desk, scene=replace(desk.scene, rows=3)))
    with pytest.raises(InputError, match=r"^scene\.yaml"):
        earlier(picture, TABLE, None, Dropped(SCENE.name, SCENE.data + b"rows: 3\n"))
