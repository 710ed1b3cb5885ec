"""A photo on paper, no larger than it may be, with what is said of it."""

from __future__ import annotations

import io

from stainbook.language import shown
from stainbook.report.content import PhotoReport
from stainbook.report.paper import SMALL, SOFT, Paper


def size_of(photo: PhotoReport, width: float, height: float) -> tuple[float, float]:
    """Width and height in mm that a photo takes within so much room.

    >>> from stainbook.report.content import PhotoReport
    >>> from stainbook.report.photo_on_paper import size_of
    >>> size_of(PhotoReport(b"", 1000, 500, ""), 80.0, 60.0)
    (80.0, 40.0)
    """
    scale = min(width / photo.width, height / photo.height)
    return scale * photo.width, scale * photo.height


def draw_photo(paper: Paper, photo: PhotoReport, width: float, height: float) -> None:
    """Draws it in the middle of the page, and under it what is said of it."""
    wide, high = size_of(photo, width, height)
    left, top = paper.l_margin + 0.5 * (paper.epw - wide), paper.get_y()
    put_photo(paper, photo, left, top, wide, high)
    paper.set_y(top + high + 1.5)
    paper.write_line(photo.said, SMALL, grey=SOFT)


def put_photo(paper: Paper, photo: PhotoReport, left: float, top: float, width: float, height: float) -> None:
    """Draws it at a place of the page."""
    paper.image(io.BytesIO(photo.jpeg), left, top, width, height, alt_text=shown(photo.said))
