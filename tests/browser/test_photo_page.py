"""The photo page in a real Chromium: a picture in, its target found, a zone drawn, its colour with its doubt."""

from tests.browser.conftest import settle
from tests.photo.shots import by_kind, table, write_jpeg
from tests.worlds.photo_scenes import render


def test_from_a_picture_to_a_colour_with_its_doubt(app_url, opened, tmp_path):
    scene = render(4, "test", polarised=True)
    image, chart = write_jpeg(tmp_path / "p.jpg", scene), table(tmp_path / "target.txt", scene)
    page = opened(app_url)
    page.goto(f"{app_url}/photo")
    uploads = page.locator("[data-testid=stFileUploader] input[type=file]")
    uploads.first.wait_for(state="attached", timeout=30_000)
    page.get_by_text("How to set up the shot").click()
    page.get_by_role("img", name="lamp at about 45°").wait_for()
    page.screenshot(path=tmp_path / "shot.png")

    uploads.nth(0).set_input_files(image)
    settle(page)
    uploads.nth(1).set_input_files(chart)
    canvas = page.locator(".outlines svg")
    canvas.wait_for(timeout=30_000)
    settle(page)
    assert canvas.locator("text").all_text_contents() == ["target"]  # found by itself
    box = canvas.bounding_box()
    scale = box["width"] / 600
    corner = canvas.locator("path.done").get_attribute("d").removeprefix("M").split("L")[0].split()
    assert abs(float(corner[0]) - scene.corners[0][0]) < 3
    assert abs(float(corner[1]) - scene.corners[0][1]) < 3

    polygon = by_kind(scene, "piece")[0][1].polygon
    (left, top), (right, low) = polygon.min(axis=0) + 4, polygon.max(axis=0) - 4
    page.mouse.move(box["x"] + left * scale, box["y"] + top * scale)
    page.mouse.down()
    page.mouse.move(box["x"] + (left + right) / 2 * scale, box["y"] + (top + low) / 2 * scale)
    page.mouse.move(box["x"] + right * scale, box["y"] + low * scale)
    page.mouse.up()
    page.locator(".outlines text", has_text="11 cervical").wait_for()
    page.get_by_role("button", name="Measure the colours").click()
    page.locator("[data-testid=stDataFrame]").wait_for(timeout=30_000)
    settle(page)
    cells = page.locator("[data-testid=stDataFrame] [role=gridcell]").all_text_contents()
    heads = page.locator("[data-testid=stDataFrame] [role=columnheader]").all_text_contents()
    shown = dict(zip(heads, cells, strict=False))
    assert shown["zone"] == "cervical"
    assert 1.0 < float(shown["± ΔE00"]) < 6.0
    assert 40 < float(shown["L*"]) < 95
