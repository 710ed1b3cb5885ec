"""``lab.photo``: a picture to the colours of its zones, by files or at the desk of the page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from stainbook.book import Book
from stainbook.faces.lab_view import LabFace
from stainbook.work.documents.photo_schemas import PhotoResult
from stainbook.work.photo.photo_case import fired_at
from stainbook.work.photo.photo_chart import LabChart, keep_chart, lab_chart
from stainbook.work.photo.photo_colours import PhotoAsked, photo
from stainbook.work.photo.photo_desk import (
    Measured,
    OpenedPhoto,
    ShownPhoto,
    drafted,
    earlier,
    look,
    measured,
    scene_text,
    store,
)
from stainbook.work.photo.photo_suggest import Outlines, suggested, tapped
from stainbook.work.reading.dropped import Dropped


class PhotoFace(LabFace):
    """Colours from calibrated photos."""

    def measure(self, image: Path, scene: Path, wish: PhotoAsked | None = None) -> PhotoResult:
        """Colours of the zones of a photo with their doubt; with an earlier photo also their change."""
        return photo(self._known(wish), image, scene, wish)

    def look(self, desk: OpenedPhoto) -> ShownPhoto:
        """Decode a picture, look for its target, and check the shot."""
        return look(desk)

    def measured(
        self, desk: OpenedPhoto, wish: PhotoAsked, before: OpenedPhoto | None = None, *, mapped: bool = False
    ) -> Measured:
        """As `measure`, of what is on the desk."""
        return measured(self._known(wish), desk, wish, before, mapped=mapped)

    def _known(self, wish: PhotoAsked | None) -> Book | None:
        """The book where a case is named; else what there is: looking makes no book."""
        return self._book if wish is not None and wish.case is not None else self._lab.book_if_there()

    def drafted(
        self,
        files: tuple[Dropped, Dropped, Dropped | None, Dropped | None],
        given: Mapping[str, Any],
        corners: Sequence[Sequence[float]] | None,
        zones: Mapping[str, Sequence[Sequence[float]]],
    ) -> OpenedPhoto:
        """The desk with picture, table, grey frame and second shot, and what was typed and drawn."""
        image, table, flat, second = files
        return drafted(image, table, flat, given, corners, zones, second)

    def chart(self) -> LabChart | None:
        """The lab's own chart, where its patches were read as chart-1, chart-2 …"""
        book = self._lab.book_if_there()
        return None if book is None else self._kept("chart", lambda: lab_chart(book))

    def earlier(self, image: Dropped, table: Dropped, flat: Dropped | None, scene: Dropped) -> OpenedPhoto:
        """An earlier picture with the scene.yaml that was kept of it."""
        return earlier(image, table, flat, scene)

    def scene_text(self, desk: OpenedPhoto) -> str:
        """The scene.yaml of what is on the desk."""
        return scene_text(desk)

    def keep_chart(self, table: Dropped) -> int:
        """Store the readings of a chart's patches as the lab's own chart; gives their number."""
        return keep_chart(self._book, table)

    def suggested(
        self, desk: OpenedPhoto, corners: Sequence[Sequence[float]], wanted: Sequence[tuple[int, str]]
    ) -> Outlines:
        """Outlines for zones, only where they are reliable."""
        return suggested(desk, corners, wanted)

    def tapped(
        self, desk: OpenedPhoto, corners: Sequence[Sequence[float]], name: str, tap: Sequence[float]
    ) -> Outlines:
        """The outline of what has the colour under a tap."""
        return tapped(desk, corners, name, tap)

    def store(self, desk: OpenedPhoto, result: PhotoResult, what: str | Path) -> PhotoResult:
        """The usable zones of a result into the book as readings of a case."""
        return store(self._book, desk, result, what)

    def fired_at(self, what: str | Path) -> str | None:
        """When a case was last fired; None for one that was not, or not recorded."""
        book = self._lab.book_if_there()
        return None if book is None else fired_at(book, what)
