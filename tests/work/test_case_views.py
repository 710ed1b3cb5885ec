"""A case for its page: found, marked by its content, and shown with the spectra behind it."""

import shutil

import numpy as np
import pytest

from stainbook.book import open_book
from stainbook.errors import FileError
from stainbook.records import Stain
from stainbook.work.case_views import case_files_in, case_mark, view_case
from stainbook.work.demo import make_demo_book
from stainbook.work.shipped import shipped


@pytest.fixture(scope="module")
def url(tmp_path_factory):
    return make_demo_book(tmp_path_factory.mktemp("book"))


@pytest.fixture
def folder(tmp_path):
    return shutil.copytree(shipped("recipes"), tmp_path / "lab")


def test_only_case_files_are_found(folder):
    (folder / "notes.yaml").write_text("- a list\n", encoding="utf-8")
    assert [path.name for path in case_files_in(folder)] == ["W-1042.yaml", "W-1051.yaml", "W-1063.yaml"]
    assert case_files_in(folder / "none") == []


def test_mark_changes_with_case_readings_and_book(url, folder):
    path = folder / "W-1051.yaml"
    marks = [case_mark(url, path)]
    assert case_mark(url, path) == marks[0]
    path.write_text(path.read_text(encoding="utf-8").replace("coats: 2", "coats: 1"), encoding="utf-8")
    marks.append(case_mark(url, path))
    with (folder / "W-1051.csv").open("a", encoding="utf-8") as file:
        file.write("# one more line\n")
    marks.append(case_mark(url, path))
    with open_book(url) as book:
        book.add_stains([Stain("rye")])
    marks.append(case_mark(url, path))
    assert len(set(marks)) == 4


def test_broken_case_names_its_file(url, folder):
    (folder / "W-1051.yaml").write_text("case: W-1\nzones: nothing\n", encoding="utf-8")
    with pytest.raises(FileError, match=r"W-1051\.yaml"):
        case_mark(url, folder / "W-1051.yaml")


def test_every_move_has_its_spectrum_and_doubt(url, folder):
    view = view_case(url, folder / "W-1051.yaml")
    assert view.case.case == view.advised.case == "W-1051"
    for zone in view.advised.zones:
        curves = view.curves[zone.tooth, zone.zone]
        assert len(curves.moves) == len(zone.moves) > 0
        for curve in (curves.now, *curves.moves):
            low, middle, high = (np.array(one) for one in (curve.low, curve.reflectance, curve.high))
            assert np.all(low < middle)
            assert np.all(middle < high)
    assert view.curves[11, "incisal"].target is None  # written into the case as L*a*b*
    assert view.curves[11, "middle"].target is not None


def test_predicted_spectrum_has_the_predicted_colour(url, folder):
    from stainbook.colour import delta_e_2000, spectrum_to_lab
    from stainbook.work.views import lab_of

    view = view_case(url, folder / "W-1051.yaml")
    zone = view.advised.zones[0]
    for move, curve in zip(zone.moves, view.curves[zone.tooth, zone.zone].moves, strict=True):
        lab = spectrum_to_lab(np.array(curve.reflectance), curve.wavelengths, illuminant="D65", observer=10)
        assert delta_e_2000(lab, lab_of(move.colour)) < 0.05  # the same forecast, by another way
