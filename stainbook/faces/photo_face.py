"""``lab.photo``: a picture to the colours of its zones, by files or at the desk of the page."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

from stainbook.book import Book
from stainbook.faces.lab_view import LabFace
from stainbook.match import UNWATCHED, Watch
from stainbook.work.app.at_a_time import AtATime
from stainbook.work.app.jobs import Job
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

T = TypeVar("T")
# pictures at a time in this process: a processor stays for the pages, and one of 24 megapixels takes 0.3 GB and more
_PICTURES = AtATime(max(1, (os.cpu_count() or 1) - 1))


class PhotoFace(LabFace):
    """Colours from calibrated photos.

    The examples of methods that take an opened photo use:

    >>> from pathlib import Path
    >>> from stainbook.faces.reading_types import Dropped
    >>> table, scene, image = (Dropped(one.name, one.read_bytes()) for one in sorted(Path("photo").iterdir()))
    >>> opened = lab.photo.earlier(image, table, None, scene)
    """

    def measure(self, image: Path, scene: Path, wish: PhotoAsked | None = None) -> PhotoResult:
        """Give the colours of the zones of a photo with their doubt; with an earlier photo also their change.

        Raises InputError for files that cannot be used, and a target that is not met by its table.

        >>> zone = lab.photo.measure(Path("photo/shot.png"), Path("photo/scene.yaml")).zones[0]
        >>> round(zone.L, 1), round(zone.a, 1), round(zone.b, 1), zone.prior
        (72.2, 3.7, 16.0, 'fired tooth')
        """
        return photo(self._known(wish), image, scene, wish)

    def begin(self, step: Callable[..., T], *given: Any, **named: Any) -> Job[T]:
        """Begin `look`, `measured`, `suggested` or `tapped` in a thread of its own, as one of few at a time.

        The job alone holds what comes of it: nobody else finds it, and it goes with whoever began it.

        >>> job = lab.photo.begin(lab.photo.look, opened)
        >>> job.result().width, job.watch.pace.doing
        (400, 'look')
        """

        def work(watch: Watch) -> T:
            with _PICTURES.taken(watch):
                return step(*given, **named, watch=watch)

        return Job(work)

    def look(self, desk: OpenedPhoto, *, watch: Watch = UNWATCHED) -> ShownPhoto:
        """Decode a picture, look for its target, and check the shot.

        Raises InputError for files that cannot be used, StoppedError when ``watch`` is to stop.

        >>> shown = lab.photo.look(opened)
        >>> shown.width, shown.height, len(shown.corners), shown.check.glints
        (400, 200, 4, 0)
        """
        return look(desk, watch=watch)

    def measured(
        self,
        desk: OpenedPhoto,
        wish: PhotoAsked,
        before: OpenedPhoto | None = None,
        *,
        mapped: bool = False,
        watch: Watch = UNWATCHED,
    ) -> Measured:
        """Give the colours of an opened photo as `measure` does.

        before : an earlier photo, to give the change since; mapped : also a map of ΔE00 over the zones, a PNG
        Raises InputError as `measure`, and for a map without a case or an earlier photo; StoppedError as `look`.

        >>> found = lab.photo.measured(opened, PhotoAsked(case="W-1051"), mapped=True)
        >>> round(found.result.zones[0].u, 1), found.map[1:4]
        (2.8, b'PNG')
        """
        return measured(self._known(wish), desk, wish, before, mapped=mapped, watch=watch)

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
        """Give an opened photo of picture, table, grey frame and second shot, and of what was typed and drawn.

        given : rows, columns, patch_fill, subject, encoding; filter of a second shot; picture, its size in pixels;
            tab, of a shade tab whose outline is named ``tab``: (L*, a*, b*), light and observer
        corners : (4, 2) pixels, TL, TR, BR, BL; zones : outlines (n, 2) in pixels, named as ``11 cervical``
        Raises InputError for a tooth that is none.

        >>> given = {"rows": 4, "columns": 6, "patch_fill": 0.8, "subject": "piece", "encoding": "linear"}
        >>> outline = [[310, 70], [370, 70], [370, 130]]
        >>> lab.photo.drafted((image, table, None, None), given, None, {"11 middle": outline}).scene.zones[0].zone
        'middle'
        """
        image, table, flat, second = files
        return drafted(image, table, flat, given, corners, zones, second)

    def chart(self) -> LabChart | None:
        """Give the lab's own chart, where the book holds readings chart-1, chart-2 …; else None.

        >>> print(lab.photo.chart())
        None
        """
        book = self._lab.book_if_there()
        return None if book is None else self._kept("chart", lambda: lab_chart(book))

    def earlier(self, image: Dropped, table: Dropped, flat: Dropped | None, scene: Dropped) -> OpenedPhoto:
        """Open an earlier picture with the scene.yaml that was saved with it.

        Raises InputError for a scene that cannot be used.

        >>> lab.photo.earlier(image, table, None, scene).scene.rows
        4
        """
        return earlier(image, table, flat, scene)

    def scene_text(self, desk: OpenedPhoto) -> str:
        """Give the scene.yaml of an opened photo.

        >>> lab.photo.scene_text(opened).splitlines()[0]
        'encoding: linear'
        """
        return scene_text(desk)

    def keep_chart(self, table: Dropped) -> int:
        """Store the readings of a chart's patches as the lab's own chart; gives their number.

        Raises InputError for too few or too many patches, and for L*, a*, b* of unknown light.

        >>> lab.photo.keep_chart(table)
        24
        """
        return keep_chart(self._book, table)

    def suggested(
        self,
        desk: OpenedPhoto,
        corners: Sequence[Sequence[float]],
        wanted: Sequence[tuple[int, str]],
        *,
        watch: Watch = UNWATCHED,
    ) -> Outlines:
        """Give outlines for zones, only where they are reliable, and why others are not suggested.

        corners : (4, 2) pixels of the target; wanted : (tooth, zone)

        >>> lab.photo.suggested(opened, opened.scene.corners, [(11, "middle"), (21, "middle")]).why[0]
        '1 tooth stands out clearly in the picture, 2 are asked for'
        """
        return suggested(desk, corners, wanted, watch=watch)

    def tapped(
        self,
        desk: OpenedPhoto,
        corners: Sequence[Sequence[float]],
        name: str,
        tap: Sequence[float],
        *,
        watch: Watch = UNWATCHED,
    ) -> Outlines:
        """Give the outline of what has the colour under a tap.

        corners : (4, 2) pixels of the target; tap : (x, y) in pixels; name : of the zone

        >>> found = lab.photo.tapped(opened, opened.scene.corners, "11 middle", (340, 100))
        >>> len(found.zones["11 middle"]) > 3
        True
        """
        return tapped(desk, corners, name, tap, watch=watch)

    def store(
        self, desk: OpenedPhoto, result: PhotoResult, what: str | Path, shown: ShownPhoto | None = None
    ) -> PhotoResult:
        """Store the usable zones of a result as readings of a case; gives the result with their samples.

        shown : what `look` gave of the picture, so that it need not be decoded once more
        Raises InputError for a case that cannot be used.

        >>> found = lab.photo.measured(opened, PhotoAsked(case="W-1051")).result
        >>> lab.photo.store(opened, found, "W-1051").stored
        ['W-1051-11-middle']
        """
        return store(self._book, desk, result, what, shown)

    def fired_at(self, what: str | Path) -> str | None:
        """Give when a case was last fired, in UTC; None for one that was not, or not recorded.

        >>> lab.photo.fired_at("W-0971")
        '2026-02-03T16:05:00Z'
        """
        book = self._lab.book_if_there()
        return None if book is None else fired_at(book, what)
