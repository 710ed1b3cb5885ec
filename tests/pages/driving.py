"""How tests look at a page and press on it."""

import json

from stainbook.pages.shell.page_list import page_file


def markup(page, key):
    """The markup of a component by its key."""
    return next(
        json.loads(one.proto.json)["markup"] for one in page.get("bidi_component") if one.proto.id.endswith(f"-{key}")
    )


def press(page, label):
    """Press a button by what stands on it."""
    next(one for one in page.button if one.label == label).click().run()
    assert not page.exception
    return page


def show(app, page):
    """Go to a page of the app by its name."""
    app.switch_page(str(page_file(page))).run()
    assert not app.exception
    return app
