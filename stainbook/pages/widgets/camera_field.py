"""A picture from a file or, where the page is touched, from the camera: an uploader with a file field that asks for it.

Streamlit's uploader does not ask for a camera, and phones then offer stored pictures alone. Where scripts do not run,
and with a mouse, the uploader stands by itself.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import streamlit as st

from stainbook.faces.reading_types import Dropped
from stainbook.language import say
from stainbook.pages.shell.plain import bare

TAKE, WAITS = say("Take it with this camera"), say("Waiting until the app can be reached")
# raw files are no pictures to a browser
PICTURES = ["image/*", "dng", "nef", "cr2", "cr3", "arw", "raf", "orf", "rw2", "pef", "srw", "3fr", "iiq"]
_HERE = Path(__file__).parent


@cache
def _component() -> Callable[..., Any]:
    return st.components.v2.component(
        "stainbook_camera",
        html='<label hidden><input type="file" accept="image/*" capture="environment"><span></span></label>',
        css=(_HERE / "camera_field.css").read_text(encoding="utf-8"),
        js=(_HERE / "camera_field.js").read_text(encoding="utf-8"),
    )


def file_field(label: str, *, key: str, help: str) -> Dropped | None:
    """The file of any kind that was chosen last."""
    return _dropped(st.file_uploader(label, help=help, key=key))


def picture_field(label: str, *, key: str, help: str) -> Dropped | None:
    """The picture that was chosen or taken last; ``key`` is of the uploader."""
    file = st.file_uploader(label, help=help, key=key, type=PICTURES)
    data = {"uploader": key, "what": bare(label), "take": bare(TAKE), "waits": bare(WAITS)}
    _component()(key=f"{key} camera-field", data=data)
    return _dropped(file)


def _dropped(file: Any) -> Dropped | None:
    return None if file is None else Dropped(file.name, file.getvalue())
