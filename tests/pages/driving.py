"""How tests look at a page and press on it."""

import html
import json
import re

from stainbook.pages.shell.page_list import page_file


def markup(page, key):
    """The markup of a component by its key."""
    return next(
        json.loads(one.proto.json)["markup"] for one in page.get("bidi_component") if one.proto.id.endswith(f"-{key}")
    )


def cards(page, key):
    """The rows of a table that becomes cards on a phone, each by its heads; numbers are numbers."""
    rows = markup(page, key).split('<div class="table-row"')[1:]
    cells = [re.findall(r'class="(\w+)" data-head="([^"]*)">([^<]*)</span>', row) for row in rows]
    return [
        {html.unescape(head): float(text.replace("−", "-")) if kind == "number" and text != "–" else html.unescape(text)
         for kind, head, text in row}
        for row in cells
    ]  # fmt: skip


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


def type_reading(app, code, zone, text, *, where="after", number=0):
    """Three numbers and Enter in the field of a zone."""
    tooth, name = zone.split()
    entry = {"id": f"{zone} {number} {text}", "key": f"{code}-{tooth}-{name}", "text": text}
    app.session_state[f"reader {where} {code}"] = {"typed": [entry]}
    app.run()
    assert not app.exception
    return app
