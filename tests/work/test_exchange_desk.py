"""Handing on and taking in as the page does it: names that are safe, one case alone."""

import io
import zipfile

import pytest

from stainbook.book import open_book
from stainbook.errors import UnknownNameError
from stainbook.lab import Lab
from stainbook.work.app.demo import make_demo_book
from stainbook.work.lab import exchange_desk as desk
from stainbook.work.lab.folder import bare
from stainbook.work.reading.dropped import Dropped


@pytest.mark.parametrize(
    ("name", "safe"),
    [
        ("W-1", "W-1.zip"),
        ("../../etc/x", "etc_x.zip"),
        ('a"b\r\nc', "a_b_c.zip"),
        ("…", "file.zip"),
        ("x" * 99, "x" * 60 + ".zip"),
    ],
)
def test_download_names_are_safe(name, safe):
    assert desk.safe_name(name, "zip") == safe


def test_one_case_leaves_alone_and_comes_into_another_book(tmp_path):
    url, other = make_demo_book(tmp_path), f"sqlite:///{tmp_path / 'other.db'}"
    data = desk.packed_case(Lab.open(url).book, "W-0971")
    names = zipfile.ZipFile(io.BytesIO(data)).namelist()
    assert sorted(names) == ["cases/W-0971.yaml", "manifest.json", "outcomes/W-0971.yaml", "readings.csv"]
    dropped = Dropped("W-0971.zip", data)
    items = desk.preview(Lab.open(other).book, dropped)
    assert {item.status for item in items} == {"new"}
    desk.take_in(Lab.open(other).book, dropped, [])
    with open_book(url) as one, open_book(other) as two:
        assert two.outcomes_of("W-0971") == tuple(map(bare, one.outcomes_of("W-0971")))
        assert list(two.cases()) == ["W-0971"]
    with pytest.raises(UnknownNameError):
        desk.packed_case(Lab.open(url).book, "W-1")
