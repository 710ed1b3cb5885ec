"""The camera of a phone at the photo page: a field with capture beside each uploader of a picture."""

import pytest

from tests.browser.conftest import BENCH, settle
from tests.browser.test_photo_page import SECONDS, drop, labels
from tests.photo.shots import table, write_jpeg
from tests.worlds.photo_scenes import render

sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

PHONE, DESK = (390, 844), (1280, 800)
TAKE = "Take it with this camera"
PICTURES = ("Picture", "Second shot", "Grey frame", "Picture from before", "Its grey frame")
FOLDED = {  # under which words, by the field that shows that it is unfolded
    "Second shot": "Gum more surely: a second shot through a filter",
    "Grey frame": "Grey frame",
    "Picture from before": "Compare with a picture from before",
}


@pytest.fixture(scope="module")
def shots(tmp_path_factory):
    """The chart's table, and two pictures under the one name that a phone gives to each."""
    folder = tmp_path_factory.mktemp("shots")
    first = render(4, "test", polarised=True)
    names = [folder / which / "image.jpg" for which in ("one", "two")]
    for name, scene in zip(names, (first, render(6, "test", polarised=True)), strict=True):
        name.parent.mkdir()
        write_jpeg(name, scene)
    return table(folder / "target.txt", first), *names


@pytest.fixture
def phone(opened, app_url):
    page = opened(app_url, BENCH, PHONE, touch=True)
    page.goto(f"{app_url}/photo")
    settle(page)
    return page


def unfold(page):
    for label, words in FOLDED.items():
        if not uploader(page, label).is_visible():
            page.locator("summary").filter(has_text=words).click()
            settle(page)


def camera(page, label):
    return page.get_by_label(f"{label}: {TAKE}", exact=True)


def uploader(page, label):
    return page.locator("[data-testid=stFileUploader]").filter(has=page.get_by_text(label, exact=True))


def take(page, label, path):
    """Press the field, and let the phone's camera give that picture."""
    with page.expect_file_chooser() as asked:
        camera(page, label).tap()
    asked.value.set_files(path)
    uploader(page, label).get_by_text(path.name).wait_for(timeout=SECONDS)
    settle(page)
    return asked.value


def test_each_picture_can_be_taken_with_the_phones_camera(phone, shots, tmp_path):
    chart, one, two = shots
    unfold(phone)
    for label in PICTURES:
        assert camera(phone, label).get_attribute("capture") == "environment"
        assert camera(phone, label).get_attribute("accept") == "image/*"
        assert uploader(phone, label).locator("input").get_attribute("accept").startswith("image/*")
        assert camera(phone, label).bounding_box()["height"] >= 44
    assert phone.get_by_text(TAKE, exact=True).count() == len(PICTURES)  # tables and drawings are no pictures
    phone.screenshot(path=tmp_path / "fields.png", full_page=True)

    take(phone, "Picture", one)
    drop(phone, "Table of the chart", chart)
    phone.locator(".outlines svg").wait_for(timeout=SECONDS)
    assert labels(phone) == ["colour chart"]
    seen = phone.locator(".outlines image").get_attribute("href")
    take(phone, "Picture", two)  # the page was drawn anew, and a phone calls each picture the same
    sync_api.expect(phone.locator(".outlines image")).not_to_have_attribute("href", seen, timeout=SECONDS)
    assert uploader(phone, "Picture").get_by_text("image.jpg").count() == 1
    unfold(phone)
    for label in PICTURES[1:]:
        take(phone, label, two)
    drop(phone, "Picture", one)  # from the files, as ever
    phone.screenshot(path=tmp_path / "taken.png", full_page=True)


def test_a_picture_waits_while_the_phone_has_cut_the_connection(opened, app_url, shots):
    page = opened(app_url, BENCH, PHONE, touch=True)
    lines, cut = [], []

    def pass_on(line):
        if cut:
            line.close()
        else:
            line.connect_to_server()
            lines.append(line)

    page.route_web_socket("**/_stcore/stream", pass_on)
    page.goto(f"{app_url}/photo")
    settle(page)
    cut.append(True)
    lines[-1].close()
    page.locator("[data-testid=stFileUploaderDropzone][aria-disabled=true]").first.wait_for(timeout=SECONDS)
    camera(page, "Picture").set_input_files(shots[1])
    page.get_by_text("Waiting until the app can be reached").wait_for(timeout=SECONDS)
    cut.clear()
    uploader(page, "Picture").get_by_text("image.jpg").wait_for(timeout=SECONDS)
    settle(page)
    assert page.get_by_text("Waiting until the app can be reached").count() == 0


def test_with_a_mouse_the_page_stays_as_it_is(opened, app_url):
    page = opened(app_url, BENCH, DESK)
    page.goto(f"{app_url}/photo")
    settle(page)
    unfold(page)
    assert not any(one.is_visible() for one in page.get_by_text(TAKE).all())
    assert page.locator("[data-testid=stFileUploader] input[capture]").count() == 0
