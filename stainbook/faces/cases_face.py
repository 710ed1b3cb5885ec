"""``lab.cases``: the cases of the book, how each stands, case files brought in, and a new one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from stainbook.faces.lab_view import LabFace
from stainbook.work.app.waiting import Board, Waiting
from stainbook.work.case.case_files import new_case_files
from stainbook.work.case.case_views import CaseList, case_list
from stainbook.work.case.new_case import NamesOffered, NewCase, make_case, names_offered
from stainbook.work.case.open_case import open_files


class CasesFace(LabFace):
    """All cases."""

    def listed(self) -> CaseList:
        """The cases, the one told of last first."""
        return self._kept("listed", lambda: case_list(self._book))

    def standing(self, codes: Sequence[str]) -> tuple[Waiting, ...]:
        """How some cases stand; each worked out once until something concerns it."""
        board = self._lab.lasting("board", Board)
        return self._kept(("standing", tuple(codes)), lambda: tuple(board.standing(self._book, codes)))

    def files_to_bring_in(self, folder: Path) -> list[Path]:
        """Case files of a folder whose cases the book does not know."""
        return new_case_files(folder, self.listed().newest())

    def bring_in(self, paths: Iterable[Path]) -> list[str]:
        """Bring case files into the book; gives a line for each that cannot be used."""
        return open_files(self._book, paths)

    def make(self, asked: NewCase) -> str:
        """Open a new case; gives its code."""
        return make_case(self._book, asked)

    def names_offered(self) -> NamesOffered:
        """What the forms of a case offer: tabs, trial pieces, blanks, stains."""
        return self._kept("names offered", lambda: names_offered(self._book))
