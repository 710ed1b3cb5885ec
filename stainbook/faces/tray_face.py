"""``lab.tray``: several pieces in one firing, from when they go in until they are out and recorded."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stainbook.faces.lab_view import LabFace
from stainbook.kept import BY_MISTAKE

if TYPE_CHECKING:
    from stainbook.apparatus import FurnaceTray
    from stainbook.faces.tray_types import TrayRow, TrayShown, TrayWish
    from stainbook.work.documents.book_schemas import RecordResult
    from stainbook.work.firing.tray_firing import TrayPiece


class TrayFace(LabFace):
    """Trays of the lab."""

    def in_furnace(self) -> tuple[TrayShown, ...]:
        """List the trays that are in the furnace, the first one first, with who put them in.

        >>> lab.tray.in_furnace()
        ()
        """
        from stainbook.work.firing.tray_firing import trays

        return self._kept("in", lambda: trays(self._book))

    def newest_out(self) -> TrayShown | None:
        """Give the tray that was taken out last, whose record can be undone; None where there is none.

        >>> lab.tray.newest_out() is None
        True
        """
        from stainbook.work.firing.tray_firing import newest_out

        return self._kept("out", lambda: newest_out(self._book))

    def rows(self, wish: TrayWish, ticked: Sequence[str] = ()) -> tuple[TrayRow, ...]:
        """List the pieces in the lab, those that may go in first; each that may not says why.

        ticked : those that are meant to go in: others have to fit them

        >>> from stainbook.faces.tray_types import TrayWish
        >>> {row.case: row.why for row in lab.tray.rows(TrayWish("sinter"))}["W-1063"]
        'W-1063 was not dried for sintering, expected it fully dry: moisture cracks it'
        """
        from stainbook.work.firing.tray_firing import tray_rows

        return tray_rows(self._pieces(), wish, self._liquids(), ticked)

    def _pieces(self) -> tuple[TrayPiece, ...]:
        from stainbook.work.firing.tray_firing import pieces_in_the_lab

        return self._kept("pieces", lambda: pieces_in_the_lab(self._book, self._in_the_lab()))

    def _liquids(self) -> frozenset[str]:
        from stainbook.work.stains.painted import liquids_of

        return self._kept("liquids", lambda: liquids_of(self._book.stains().values()))

    def put_in(self, cases: Sequence[str], wish: TrayWish) -> FurnaceTray:
        """Note that pieces went into the furnace together, now.

        Raises InputError for no piece, one that may not go in, and one that another bench put in meanwhile.

        >>> from stainbook.faces.tray_types import TrayWish
        >>> lab.tray.put_in([], TrayWish())
        Traceback (most recent call last):
            ...
        stainbook.errors.InputError: found no piece ticked, expected one or more
        """
        from stainbook.work.firing.tray_firing import put_in

        return put_in(self._book, cases, wish)

    def not_in(self, name: str, case: str | None = None) -> None:
        """Note that a tray never went in, or that one piece was not on it; raises InputError for one not in there.

        >>> from stainbook.faces.tray_types import TrayWish
        >>> from stainbook.faces.firing_types import ZoneResult
        >>> lab.case("W-1051").firing.paint([ZoneResult(11, "middle", "1 coat of pollen undiluted")])
        >>> tray = lab.tray.put_in(["W-1051"], TrayWish())
        >>> lab.tray.not_in(tray.tray)
        >>> lab.tray.in_furnace()
        ()
        """
        from stainbook.work.firing.tray_firing import not_in

        not_in(self._book, name, case)

    def taken_out(self, name: str) -> RecordResult:
        """Record one firing of all pieces of a tray, and that it is out.

        Raises InputError for a tray that is not in the furnace, and for a piece that was told otherwise meanwhile.

        >>> from stainbook.faces.tray_types import TrayWish
        >>> from stainbook.faces.firing_types import ZoneResult
        >>> lab.case("W-1051").firing.paint([ZoneResult(11, "middle", "1 coat of pollen undiluted")])
        >>> tray = lab.tray.put_in(["W-1051"], TrayWish())
        >>> lab.tray.taken_out(tray.tray).painted[0].zone
        'middle'
        """
        from stainbook.work.firing.tray_firing import taken_out

        return taken_out(self._book, name)

    def back_in(self, name: str, *, why: str = BY_MISTAKE) -> None:
        """Undo that a tray was taken out: its firings hold no longer, and it is in the furnace again.

        Raises InputError for a tray that is not out, and where a later step rests on one of its firings.

        >>> lab.tray.back_in("tray of yesterday")
        Traceback (most recent call last):
            ...
        stainbook.errors.InputError: found no such tray that is out, expected one whose pieces were recorded
        """
        from stainbook.work.firing.tray_firing import back_in

        back_in(self._book, name, why=why)
