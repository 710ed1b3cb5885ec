"""The photo page: files in, target found or tapped, zones drawn, colours with their doubt."""

from types import SimpleNamespace

import cv2
import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from stainbook.book import open_book
from stainbook.colour import delta_e_2000
from stainbook.files.scene import read_scene
from stainbook.kept import Firing
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_list import page_file
from stainbook.work.photo.photo_desk import drafted, look, scene_text
from stainbook.work.reading.dropped import Dropped
from tests.pages.driving import cards, markup
from tests.photo.shots import by_kind, scene_yaml, table, write_jpeg
from tests.worlds.photo_scenes import FILL, Faults, cells, developed, pair, render
from tests.worlds.photo_spectra import lab_of
from tests.worlds.photo_teeth import render_row
from tests.worlds.photo_two_shots import two_shots

PAGE = page_file("photo")
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
    monkeypatch.setattr(case_source, "PATIENCE", 60)
    return AppTest.from_file(str(PAGE), default_timeout=60)


def kept(page, **values):
    page.session_state["kept"] = values
    return page


def press(page, words):
    """Press the button whose label begins so, and run."""
    (button,) = [one for one in page.button if one.label.startswith(words)]
    return button.click().run()


def drawn(scene):
    return {f"{tooth} {zone}": truth.polygon.tolist() for (tooth, zone), truth in by_kind(scene, "patient")}


def test_the_empty_page_says_what_to_bring(page):
    page.run()
    assert not page.exception
    assert any("chart" in info.value for info in page.info)


def test_zones_that_were_drawn_are_measured(page, files, scene):
    image, chart = files
    state = {"photo image": image, "photo table": chart, "photo fill": FILL, "photo subject": "patient"}
    kept(page, **state, **{"photo zones": drawn(scene)}).run()
    assert not page.exception
    press(page, "Measure")
    assert not page.exception
    shown = cards(page, "photo colours")
    truth = lab_of(np.array([zone.curve for _, zone in by_kind(scene, "patient")]))
    np.testing.assert_allclose([row["L*"] for row in shown], truth[:, 0], atol=3.0)
    assert all(row["± ΔE00"] > 1.0 for row in shown)
    assert any("95 of 100" in caption.value for caption in page.caption)
    other = Dropped("target.txt", chart.data + b"\n")
    page.session_state["kept"] = {**page.session_state["kept"], "photo table": other}
    page.run()
    assert not page.exception
    assert not page.subheader  # they were measured by another table


def test_a_tab_beside_the_piece_is_typed_outlined_and_used(page, files, scene):
    image, chart = files
    state = {"photo image": image, "photo table": chart, "photo fill": FILL, "photo subject": "patient"}
    kept(page, **state, **{"photo zones": drawn(scene)}).run()
    (zone,) = [one for one in page.selectbox if one.label == "Zone to draw"]
    assert "tab" not in zone.options  # until its colour is known
    press(page, "Measure")
    alone = cards(page, "photo colours")
    assert any("as much light as the chart" in caption.value for caption in page.caption)
    for name, value in zip(("L*", "a*", "b*"), lab_of(scene.tab.curve), strict=True):
        page.text_input(key=f"photo-tab-{name}").set_value(f"{value:.1f}")
    page.run()
    (zone,) = [one for one in page.selectbox if one.label == "Zone to draw"]
    assert zone.options[-1] == "tab"
    zone.set_value("tab").run()
    zones = {**drawn(scene), "tab": scene.tab.polygon.tolist()}
    page.session_state["kept"] = {**page.session_state["kept"], "photo zones": zones}
    page.run()
    press(page, "Measure")
    assert not page.exception
    assert any("tabs used" in text.value for text in [*page.markdown, *page.caption])
    assert not any("as much light as the chart" in caption.value for caption in page.caption)
    used = cards(page, "photo colours")
    assert len(used) == len(alone)  # the tab is no zone
    assert used[0]["± ΔE00"] < alone[0]["± ΔE00"]
    page.text_input(key="photo-tab-b*").set_value("").run()
    assert not page.exception  # and the zone to draw is one of the piece again


def test_with_a_case_its_targets_are_shown_and_zones_become_its_readings(page, files, scene, tmp_path):
    target = "{L: 70, a: 2, b: 16, illuminant: D65, observer: 10}"
    case = tmp_path / "W-7.yaml"
    case.write_text(f"case: W-7\nstage: glazed\nzones:\n  - {{tooth: 11, zone: cervical, target: {target}}}\n")
    assert case_source.lab().cases.bring_in([case]) == []
    image, chart = files
    state = {"photo image": image, "photo table": chart, "photo fill": FILL}
    kept(page, **state, **{"photo zones": drawn(scene)}).run()
    assert any("Target of 11 cervical: L* 70.0" in caption.value for caption in page.caption)
    press(page, "Measure")
    shown = cards(page, "photo colours")[0]
    assert shown["tolerance"] in ("cannot tell", "out")
    assert any(text.value.startswith("**1 zone: 0 in tolerance, ") for text in page.markdown)
    assert shown["± target"] >= shown["± ΔE00"]
    press(page, "Store")
    assert not page.exception
    with open_book(f"sqlite:///{tmp_path / 'none.db'}") as book:
        (reading,) = book.readings("W-7-11-cervical")
    assert round(reading.u, 1) == shown["± ΔE00"]
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


def test_outlines_are_suggested_and_count_once_taken(page, tmp_path):
    row = render_row(1)
    assert cv2.imwrite(str(tmp_path / "r.tif"), row.pixels[..., ::-1])
    curves = SimpleNamespace(chart=row.chart)
    image = Dropped("r.tif", (tmp_path / "r.tif").read_bytes())
    chart = Dropped("target.txt", table(tmp_path / "target.txt", curves).read_bytes())
    state = {"photo image": image, "photo table": chart, "photo fill": FILL, "photo subject": "patient"}
    kept(page, **state, **{"photo encoding": "linear", "photo corners": row.corners.tolist()}).run()
    press(page, "Suggest")
    assert not page.exception
    state = page.session_state["kept"]
    assert len(state["photo suggested"]) == 20
    assert not state.get("photo zones")
    press(page, "Use the 20 suggested")
    assert set(state["photo zones"]) == {f"{tooth} {zone}" for tooth, zone in row.zones}
    assert state["photo suggested"] == {}
    (teeth,) = [one for one in page.text_input if one.label == "Teeth in the picture"]
    teeth.set_value("11 21").run()
    press(page, "Suggest")
    assert any("4 teeth stand out clearly in the picture, 2 are asked for" in caption.value for caption in page.caption)


def test_what_changed_comes_before_the_colours(page, tmp_path):
    """Two pictures of one setting: the page compares them by the drawing that was kept, as numbers and as a map."""
    first, second = pair(3, "test", polarised=True, alike=True)
    chart = Dropped("target.txt", table(tmp_path / "target.txt", first).read_bytes())
    pictures = [write_jpeg(tmp_path / f"{name}.jpg", scene) for name, scene in (("then", first), ("now", second))]
    one, other = (Dropped(path.name, path.read_bytes()) for path in pictures)
    desk = drafted(one, chart, None, GIVEN, first.corners.tolist(), drawn(first))
    state = {"photo image": other, "photo table": chart, "photo fill": FILL, "photo subject": "patient"}
    then = {"photo then image": one, "photo then scene": Dropped("scene.yaml", scene_text(desk).encode())}
    kept(page, **state, **then, **{"photo zones": drawn(second)}).run()
    press(page, "Measure")
    assert not page.exception
    assert [title.value for title in page.subheader] == ["What changed", "Colours"]
    changes = cards(page, "photo changes")
    for row, (_, was), (_, now) in zip(changes, by_kind(first, "patient"), by_kind(second, "patient"), strict=True):
        true = float(delta_e_2000(lab_of(was.curve), lab_of(now.curve)))
        assert abs(row["change ΔE00"] - true) < row["± change"]
    assert {row["seen"] for row in changes} <= {"changed", "cannot tell"}
    assert "data:image/jpeg" in markup(page, "photo side")  # both side by side
    assert "data:image/png" in markup(page, "photo map")
    assert 'class="well"' in markup(page, "photo swatches")
    assert any("4 zones: " in text.value and "changed for certain" in text.value for text in page.markdown)
    assert any("(CIE D65), 10°" in caption.value for caption in page.caption)  # numbers never stand without their light


def test_after_a_firing_the_picture_from_before_is_asked_for_below_todays(page, tmp_path):
    case = tmp_path / "W-7.yaml"
    case.write_text("case: W-7\nstage: glazed\nzones:\n  - {tooth: 11, zone: cervical}\n")
    assert case_source.lab().cases.bring_in([case]) == []
    with open_book(f"sqlite:///{tmp_path / 'none.db'}") as book:
        book.add_firings([Firing("W-7", "2026-03-02T10:40:00Z")])
    kept(page).run()
    assert not page.exception
    assert any("W-7 was fired on 2026-03-02" in text.value for text in page.markdown)
    assert [one.label for one in page.file_uploader][:2] == ["Picture", "Picture from before"]


def test_a_picture_can_be_the_one_that_later_ones_are_compared_with(page, files, scene):
    image, chart = files
    state = {"photo image": image, "photo table": chart, "photo fill": FILL, "photo subject": "patient"}
    kept(page, **state, **{"photo zones": drawn(scene)}).run()
    press(page, "Measure")
    press(page, "Compare later pictures")
    assert not page.exception
    assert any("Compared with p.jpg, 4 zones" in caption.value for caption in page.caption)
    press(page, "Compare with another")
    assert page.session_state["kept"]["photo before"] is None


def test_the_shot_is_checked(page, files):
    image, chart = files
    kept(page, **{"photo image": image, "photo table": chart, "photo fill": FILL}).run()
    told = "\n".join(text.value for text in page.markdown)
    assert "Exposure: the lightest patch is at" in told
    assert "Focus: edges of patches are sharp." in told
    assert "a grey frame tells how even it is" in told


def test_another_picture_begins_anew(page, files, scene):
    image, chart = files
    state = {"photo image": image, "photo table": chart, "photo fill": FILL, "photo zones": drawn(scene)}
    kept(page, **state).run()
    (uploader,) = [one for one in page.file_uploader if one.label == "Picture"]
    uploader.upload("other.jpg", image.data + b"\0", "image/jpeg").run()
    assert not page.exception
    assert page.session_state["kept"]["photo zones"] == {}


def test_the_second_shots_corners_are_tapped_where_its_chart_is_not_found(page, tmp_path):
    """As those of the first: three patches lie under fingers, and nothing is measured before the corners are there."""
    first, second = two_shots(2, "test", Faults(highlights=0.0))
    chart = Dropped("target.txt", table(tmp_path / "target.txt", first).read_bytes())
    one = Dropped("one.jpg", write_jpeg(tmp_path / "one.jpg", first).read_bytes())
    hidden = developed(second)
    for number in (0, 5, 23):
        cv2.fillPoly(hidden, [np.round(cells(second.corners)[number]).astype(np.int32)], (40, 40, 40))
    two = Dropped("two.png", cv2.imencode(".png", hidden[..., ::-1])[1].tobytes())
    state = {"photo image": one, "photo table": chart, "photo fill": FILL, "photo subject": "patient"}
    kept(page, **state, **{"photo second": two, "photo zones": drawn(first)}).run()
    assert not page.exception
    assert any("not found in the second shot" in info.value for info in page.info)
    assert not [one for one in page.button if one.label.startswith("Measure")]
    page.session_state["kept"] = page.session_state["kept"] | {"photo second corners": second.corners.tolist()}
    page.run()
    press(page, "Measure")
    assert not page.exception
    assert any("six channels" in text.value for text in page.markdown)


def test_a_second_shot_through_a_filter_measures_gum_by_six_channels(page, tmp_path):
    first, second = two_shots(2, "test", Faults(highlights=0.0))
    chart = Dropped("target.txt", table(tmp_path / "target.txt", first).read_bytes())
    paths = [write_jpeg(tmp_path / f"{name}.jpg", scene) for name, scene in (("one", first), ("two", second))]
    one, two = (Dropped(path.name, path.read_bytes()) for path in paths)
    state = {"photo image": one, "photo table": chart, "photo fill": FILL, "photo subject": "patient"}
    kept(page, **state, **{"photo second": two, "photo zones": drawn(first)}).run()
    press(page, "Measure")
    assert not page.exception
    assert any("filter cyan: six channels" in text.value for text in page.markdown)
    assert any("4 zones measured" in text.value for text in page.markdown)


def test_the_labs_own_chart_needs_no_table(page, files, tmp_path):
    image, chart = files
    kept(page, **{"photo table": chart}).run()
    press(page, "Save this chart")
    assert not page.exception
    page.session_state["kept"] = {"photo image": image, "photo fill": FILL}
    page.run()
    assert not page.exception
    assert any("own chart, 24 patches" in one.label for one in page.expander)
    assert any("Exposure: the lightest patch" in text.value for text in page.markdown)  # the target was found
