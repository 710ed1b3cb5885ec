"""``lab.cases``: the cases of the book, how each stands, case files brought in, and a new one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from pathlib import Path

from stainbook.faces.lab_view import LabFace
from stainbook.work.app.to_do import ToDo, to_do
from stainbook.work.app.waiting import Board, Waiting
from stainbook.work.case.case_files import new_case_files
from stainbook.work.case.case_list import CaseList, case_list
from stainbook.work.case.new_case import NamesOffered, NewCase, make_case, names_offered
from stainbook.work.case.open_case import open_files
from stainbook.work.case.tab_and_tooth import TabAndTooth, gaps_typed, make_piece
from stainbook.work.documents.schemas import AdvisedZone


class CasesFace(LabFace):
    """All cases."""

    def listed(self) -> CaseList:
        """List the cases, the one that changed last first.

        >>> lab.cases.listed().newest("W-10")[:2]
        ['W-1063', 'W-1051']
        """
        return self._kept("listed", lambda: case_list(self._book))

    def standing(self, codes: Sequence[str]) -> tuple[Waiting, ...]:
        """Give how some cases stand; each is worked out once until something concerns it.

        >>> [(one.case, one.job, one.waiting) for one in lab.cases.standing(["W-1051", "W-0971"])]
        [('W-1051', 'step', 3), ('W-0971', 'delivered', 0)]
        """
        board = self._lab.lasting("board", Board)
        return self._kept(("standing", tuple(codes)), lambda: tuple(board.standing(self._book, codes)))

    def to_do(self) -> tuple[ToDo, ...]:
        """List what else waits: chips, jars, results that are held back, pieces to be read, try-ins; at this moment.

        >>> [(one.kind, one.name) for one in lab.cases.to_do() if one.kind == "chip-due"]
        [('chip-due', 'weekly-plate')]
        """
        hour = datetime.now(UTC).replace(minute=0, second=0, microsecond=0)  # what is due changes with the time too
        return self._kept(("to do", hour), lambda: to_do(self._book, self._in_the_lab()))

    def files_to_bring_in(self, folder: Path) -> list[Path]:
        """List the case files of a folder whose cases the book does not know.

        >>> from pathlib import Path
        >>> lab.cases.files_to_bring_in(Path("recipes"))
        []
        """
        return new_case_files(folder, self.listed().newest())

    def bring_in(self, paths: Iterable[Path]) -> list[str]:
        """Bring case files into the book; gives a line for each that cannot be used.

        >>> from pathlib import Path
        >>> lab.cases.bring_in([Path("recipes/W-1051.yaml")])
        []
        """
        return open_files(self._book, paths)

    def make(self, asked: NewCase) -> str:
        """Open a new case; gives its code.

        Raises InputError for what makes no case, and a code that is taken.

        >>> from stainbook.faces.wish_types import NewCase, TypedTarget
        >>> target = {"tooth": TypedTarget(tab="house/oat-mid")}
        >>> lab.cases.make(NewCase("W-1070", "11, 21", targets=target, material="zirconia", stage="sintered"))
        'W-1070'
        """
        return make_case(self._book, asked)

    def make_piece(self, asked: TabAndTooth) -> str:
        """Open a case of a tab and a tooth that were read; it codes itself.

        Raises InputError for numbers that are no colour, and a zone that was read of one of the two alone.

        >>> from stainbook.faces.reading_types import Light
        >>> from stainbook.faces.wish_types import TabAndTooth
        >>> tab, tooth = {"middle": "72,4 1,2 15,0"}, {"middle": "74,1 0,8 12,6"}
        >>> lab.cases.make_piece(TabAndTooth(tab, tooth, Light("D65", 10)))
        'piece-1'
        """
        return make_piece(self._book, asked)

    def gaps_typed(self, asked: TabAndTooth) -> tuple[AdvisedZone, ...]:
        """Give how far a tooth is from a tab, zone by zone, before anything is stored; raises as `make_piece` does.

        >>> from stainbook.faces.reading_types import Light
        >>> from stainbook.faces.wish_types import TabAndTooth
        >>> tab, tooth = {"middle": "72,4 1,2 15,0"}, {"middle": "74,1 0,8 12,6"}
        >>> round(lab.cases.gaps_typed(TabAndTooth(tab, tooth, Light("D65", 10)))[0].gap.dE00, 1)
        2.0
        """
        return gaps_typed(self._book, asked)

    def names_offered(self) -> NamesOffered:
        """Give what the forms of a case offer: tabs, trial pieces, blanks, stains.

        >>> lab.cases.names_offered().tabs["gingiva"]
        ('house/gum-pale', 'house/gum-mid', 'house/gum-deep')
        """
        return self._kept("names offered", lambda: names_offered(self._book))
