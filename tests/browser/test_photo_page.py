"""The photo page in a real Chromium: a picture in, its target found, zones outlined by mouse and by finger."""

import cv2
import pytest

from tests.browser.conftest import BENCH, DIM, settle, turn_to
from tests.photo.dng import mosaic_of, write_dng
from tests.photo.shots import by_kind, table, write_jpeg
from tests.worlds.photo_scenes import render

SECONDS = 30_000


@pytest.fixture(scope="module")
def scene():
    return render(4, "test", polarised=True)


@pytest.fixture
def brought(opened, app_url, scene, tmp_path):
    """A function that opens the page with a picture and its table in it."""
    image, chart = write_jpeg(tmp_path / "p.jpg", scene), table(tmp_path / "target.txt", scene)

    def bring(theme=BENCH, size=(1280, 800), touch=False):
        page = opened(app_url, theme, size, touch)
        page.goto(f"{app_url}/photo")
        drop(page, "Picture", image)
        drop(page, "Table of the chart", chart)
        page.locator(".outlines svg").wait_for(timeout=SECONDS)
        settle(page)
        return page

    return bring


def drop(page, label, path):
    """Put a file into the uploader of that label."""
    uploader = page.locator("[data-testid=stFileUploader]").filter(has=page.get_by_text(label, exact=True))
    field = uploader.locator("input[type=file]").last
    field.wait_for(state="attached", timeout=SECONDS)
    field.set_input_files(path)
    settle(page)


def choose(page, label, words):
    page.get_by_role("combobox", name=label).click()
    page.get_by_role("option", name=words).click()
    settle(page)


def labels(page):
    return page.locator(".outlines text").all_text_contents()


def outline(page, name):
    """The points of an outline, in the picture's pixels."""
    at = labels(page).index(name)
    d = page.locator(".outlines path.done").nth(at).get_attribute("d")
    return [tuple(map(float, pair.split())) for pair in d.strip("MZ").split("L")]


def on_screen(page, x, y, of=600):
    """Where a pixel of a picture is that is ``of`` pixels wide."""
    page.locator(".outlines svg").scroll_into_view_if_needed()
    box = page.locator(".outlines svg").bounding_box()
    scale = box["width"] / of
    return box["x"] + (x + 0.5) * scale, box["y"] + (y + 0.5) * scale


def drag(page, start, end, of=600):
    (x0, y0), (x1, y1) = on_screen(page, *start, of), on_screen(page, *end, of)
    page.mouse.move(x0, y0)
    page.mouse.down()
    page.mouse.move((x0 + x1) / 2, (y0 + y1) / 2)
    page.mouse.move(x1, y1)
    page.mouse.up()
    settle(page)


def finger(page, *places):
    """A finger put down at the first place, drawn over the others, lifted at the last."""
    session = page.context.new_cdp_session(page)
    points = [on_screen(page, *place) for place in places]

    def send(kind, points):
        touches = [{"x": x, "y": y} for x, y in points]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})

    send("touchStart", points[:1])
    for point in points[1:]:
        send("touchMove", [point])
    send("touchEnd", [])
    settle(page)


def test_from_a_picture_to_a_colour_with_its_doubt(brought, scene, tmp_path):
    page = brought()
    assert page.locator("input[type=file]").first.get_attribute("accept").startswith("image/*")
    page.get_by_text("How to set up the shot").click()
    page.get_by_role("img", name="lamp at about 45°").wait_for()
    page.screenshot(path=tmp_path / "shot.png")
    assert labels(page) == ["colour chart"]  # found by itself
    corner = outline(page, "colour chart")[0]
    assert max(abs(corner[0] - scene.corners[0][0]), abs(corner[1] - scene.corners[0][1])) < 3

    polygon = by_kind(scene, "piece")[0][1].polygon
    low, high = polygon.min(axis=0) + 4, polygon.max(axis=0) - 4
    drag(page, low, high)
    assert labels(page) == ["colour chart", "11 cervical"]
    assert abs(outline(page, "11 cervical")[0][0] - low[0]) < 1.5
    page.get_by_role("radio", name="move", exact=True).click()
    settle(page)
    drag(page, (low + high) / 2, (low + high) / 2 + 3)
    assert abs(outline(page, "11 cervical")[0][0] - low[0] - 3) < 1.5
    drag(page, low + 3, low)  # one corner
    moved = outline(page, "11 cervical")
    assert abs(moved[0][0] - low[0]) < 1.5
    assert abs(moved[2][0] - high[0] - 3) < 1.5

    turn_to(page, "Settings")
    turn_to(page, "Photo")
    page.locator(".outlines text", has_text="11 cervical").wait_for(timeout=SECONDS)
    assert outline(page, "11 cervical") == moved  # nothing is lost by looking at another page

    page.get_by_role("button", name="Measure the colours").click()
    page.locator(".table.cards").wait_for(timeout=SECONDS)
    settle(page)
    page.screenshot(path=tmp_path / "measured.png", full_page=True)
    cells = page.locator(".cards [role=cell]").all_text_contents()
    heads = page.locator(".cards [role=columnheader]").all_text_contents()
    shown = dict(zip(heads, cells, strict=False))
    assert shown["zone"] == "cervical"
    assert 1.0 < float(shown["± ΔE00"]) < 6.0
    assert 40 < float(shown["L*"]) < 95

    page.get_by_role("radio", name="remove").click()
    settle(page)
    page.mouse.click(*on_screen(page, *(low + high) / 2))
    settle(page)
    assert labels(page) == ["colour chart"]


def test_outlines_by_finger_on_a_tablet(brought, scene, tmp_path):
    page = brought(DIM, (1024, 768), touch=True)
    polygon = by_kind(scene, "piece")[0][1].polygon
    low, high = polygon.min(axis=0) + 4, polygon.max(axis=0) - 4
    before = page.evaluate("scrollY")
    finger(page, low, (low + high) / 2, high)  # a rectangle, and the page does not scroll away under the finger
    assert labels(page) == ["colour chart", "11 cervical"]
    assert page.evaluate("scrollY") == before
    found = outline(page, "11 cervical")
    assert max(abs(found[2][0] - high[0]), abs(found[2][1] - high[1])) < 2

    choose(page, "Zone to draw", "middle")
    other = by_kind(scene, "piece")[1][1].polygon
    for point in (other[0] + 5, (other[1] + other[0]) / 2 + [0, 8], other[2] - 5, other[0] + 5):
        finger(page, point)
    assert labels(page) == ["colour chart", "11 cervical", "11 middle"]
    assert len(outline(page, "11 middle")) == 3
    page.get_by_role("radio", name="tap", exact=True).click()
    settle(page)
    finger(page, (other[0] + other[2]) / 2)
    assert len(outline(page, "11 middle")) > 3  # grown over the tooth
    page.screenshot(path=tmp_path / "touch.png", full_page=True)


def test_a_raw_picture_is_read_and_measured_while_other_pages_are_looked_at(opened, app_url, scene, tmp_path):
    write_dng(tmp_path / "p.dng", mosaic_of(cv2.resize(scene.raw, (3000, 2000))))
    page = opened(app_url, BENCH, (1280, 800), False)
    page.goto(f"{app_url}/photo")
    drop(page, "Table of the chart", table(tmp_path / "target.txt", scene))
    drop(page, "Picture", tmp_path / "p.dng")
    turn_to(page, "Settings")
    turn_to(page, "Photo")
    page.locator(".outlines svg").wait_for(timeout=SECONDS)
    settle(page)
    polygon = by_kind(scene, "piece")[0][1].polygon * 5
    drag(page, polygon.min(axis=0) + 20, polygon.max(axis=0) - 20, of=3000)
    page.get_by_role("button", name="Measure the colours").click()
    begun = page.get_by_text("Measuring").or_(page.locator(".table.cards"))
    begun.first.wait_for(timeout=SECONDS)  # a press that was not heard yet is lost with its page
    page.screenshot(path=tmp_path / "measuring.png", full_page=True)
    turn_to(page, "Settings")
    turn_to(page, "Photo")
    page.locator(".table.cards").wait_for(timeout=SECONDS)
    page.screenshot(path=tmp_path / "measured.png", full_page=True)
    assert page.locator(".outlines text", has_text="11 cervical").is_visible()
