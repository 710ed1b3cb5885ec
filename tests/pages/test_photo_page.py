"""The photo page: files in, target found or tapped, zones drawn, colours with their doubt."""

from pathlib import Path

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from stainbook.book import open_book
from stainbook.files.scene import read_scene
from stainbook.pages import case_source
from stainbook.work.photo_desk import Dropped, drafted, look, scene_text
from tests.photo.shots import by_kind, scene_yaml, table, write_jpeg
from tests.worlds.photo_scenes import FILL, render
from tests.worlds.photo_spectra import lab_of

PAGE = Path(case_source.__file__).with_name("photo_page.py")
GIVEN = {"rows": 4, "columns": 6, "patch_fill": FILL, "subject": "patient", "encoding": "auto"}


@pytest.fixture(scope="module")
def scene():
    return render(4, "test", polarised=True)


@pytest.fixture(scope="module")
def files(tmp_path_factory, scene):
    folder = tmp_path_factory.mktemp("desk")
    image, chart = write_jpeg(folder / "p.jpg", scene), table(folder / "target.txt", scene)
    return Dropped("p.jpg", image.read_bytes()), Dropped("target.txt", chart.read_bytes())


@pytest.fixture
def page(tmp_path, monkeypatch):
    monkeypatch.setenv("STAINBOOK_BOOK", f"sqlite:///{tmp_path / 'none.db'}")
    return AppTest.from_file(str(PAGE), default_timeout=60)


def kept(page, **values):
    page.session_state["kept"] = values
    return page


def drawn(scene):
    return {f"{tooth} {zone}": truth.polygon.tolist() for (tooth, zone), truth in by_kind(scene, "patient")}


def test_the_empty_page_says_what_to_bring(page):
    page.run()
    assert not page.exception
    assert any("target" in info.value for info in page.info)


def test_zones_that_were_drawn_are_measured(page, files, scene):
    image, chart = files
    state = {"photo image": image, "photo table": chart, "photo fill": FILL, "photo subject": "patient"}
    kept(page, **state, **{"photo zones": drawn(scene)}).run()
    assert not page.exception
    page.button[-1].click().run()
    assert not page.exception
    shown = page.dataframe[0].value
    truth = lab_of(np.array([zone.curve for _, zone in by_kind(scene, "patient")]))
    np.testing.assert_allclose(shown["L*"], truth[:, 0], atol=3.0)
    assert (shown["± ΔE00"] > 1.0).all()
    assert any("95 of 100" in caption.value for caption in page.caption)


def test_with_a_case_its_targets_are_shown_and_zones_become_its_readings(page, files, scene, tmp_path, monkeypatch):
    target = "{L: 70, a: 2, b: 16, illuminant: D65, observer: 10}"
    case = tmp_path / "W-7.yaml"
    case.write_text(f"case: W-7\nstage: glazed\nzones:\n  - {{tooth: 11, zone: cervical, target: {target}}}\n")
    monkeypatch.setenv("STAINBOOK_FOLDER", str(tmp_path))
    image, chart = files
    state = {"photo image": image, "photo table": chart, "photo fill": FILL, "photo case": str(case)}
    kept(page, **state, **{"photo zones": drawn(scene)}).run()
    assert any("Target of 11 cervical: L* 70.0" in caption.value for caption in page.caption)
    page.button[-1].click().run()
    shown = page.dataframe[0].value
    assert shown["acceptable"][0] in ("cannot tell", "beyond")
    assert shown["± target"][0] >= shown["± ΔE00"][0]
    page.button[-1].click().run()
    assert not page.exception
    with open_book(f"sqlite:///{tmp_path / 'none.db'}") as book:
        (reading,) = book.readings("W-7-11-cervical")
    assert round(reading.u, 1) == shown["± ΔE00"][0]
    assert reading.stage == "glazed"


def test_what_was_brought_survives(page, files):
    image, chart = files
    kept(page, **{"photo image": image, "photo table": chart, "photo fill": FILL}).run()
    assert not page.exception
    assert {"p.jpg", "target.txt"} <= {caption.value for caption in page.caption}


def test_a_table_that_does_not_fit_is_one_sentence(page, files):
    image, chart = files
    kept(page, **{"photo image": image, "photo table": chart, "photo rows": 5}).run()
    assert not page.exception
    assert any("24 patches" in warning.value for warning in page.warning)


def test_a_broken_picture_is_told_by_its_own_name(page, files):
    _, chart = files
    kept(page, **{"photo image": Dropped("x.jpg", b"no picture"), "photo table": chart}).run()
    assert not page.exception
    (warning,) = page.warning
    assert "x.jpg" in warning.value
    assert "/tmp" not in warning.value


def test_the_desk_finds_the_target_and_its_scene_can_be_kept(tmp_path, files, scene):
    image, chart = files
    shown = look(drafted(image, chart, None, GIVEN, None, {}))
    assert (shown.width, shown.height) == (600, 400)
    assert np.abs(np.array(shown.corners) - scene.corners).max() < 3.0
    desk = drafted(image, chart, None, GIVEN, shown.corners, drawn(scene))
    (tmp_path / "s.yaml").write_text(scene_text(desk))
    found = read_scene(tmp_path / "s.yaml")
    theirs = read_scene(scene_yaml(tmp_path / "t.yaml", scene, subject="patient"))
    assert found.zones == theirs.zones
    assert found.reference == tmp_path / "target.txt"


def test_another_picture_begins_anew(page, files, scene):
    image, chart = files
    state = {"photo image": image, "photo table": chart, "photo fill": FILL, "photo zones": drawn(scene)}
    kept(page, **state).run()
    page.file_uploader[0].upload("other.jpg", image.data + b"\0", "image/jpeg").run()
    assert not page.exception
    assert page.session_state["kept"]["photo zones"] == {}
