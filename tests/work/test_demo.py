"""The demonstration book holds the shipped lab, and a fit learnt from its chips."""

from stainbook.book import open_book
from stainbook.files import read_chips, read_guide, read_stains
from stainbook.work.demo import make_demo_book, new_demo_folder
from stainbook.work.shipped import shipped


def test_it_holds_the_shipped_lab(tmp_path):
    lab = shipped("recipes")
    with open_book(make_demo_book(tmp_path)) as book:
        assert list(book.stains()) == [stain.name for stain in read_stains(lab / "stains.yaml").records]
        assert len(book.chips()) == len(read_chips(lab / "chips.csv").records)
        assert book.guide() == read_guide(lab / "guide.csv").records
        assert book.find_reading("house/oat-1/cervical") is not None
        assert len(book.fits()) == 1
        assert "plate-pale" in book.bodies()


def test_each_has_a_folder_of_its_own(tmp_path, monkeypatch):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    first, second = new_demo_folder(), new_demo_folder()
    assert first != second
    assert first.parent == tmp_path
