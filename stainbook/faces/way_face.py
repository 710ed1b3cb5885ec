"""``lab.case(what).way``: a case brought in and written out, and the steps of its piece's way."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from stainbook.faces.lab_view import CaseTopic
from stainbook.kept import BY_MISTAKE

if TYPE_CHECKING:
    from stainbook.work.case.current_case import CurrentCase
    from stainbook.work.case.way import WayStrip
    from stainbook.work.documents.book_schemas import CaseResult


class WayFace(CaseTopic):
    """What was done to one piece."""

    def open(self) -> CaseResult:
        """Bring a case file into the book; of a known case targets and limits become a new wish.

        Raises FileError for a file that cannot be used.

        >>> from pathlib import Path
        >>> lab.case(Path("recipes/W-1063.yaml")).way.open().case
        'W-1063'
        """
        from stainbook.work.case.open_case import open_file

        return self._told(open_file(self._book, Path(self.what)))

    def write(self, path: Path) -> CaseResult:
        """Write the case as it is now into a file; raises InputError where it cannot be written.

        >>> from pathlib import Path
        >>> lab.case("W-1063").way.write(Path("today.yaml")).zones
        2
        """
        from stainbook.work.case.open_case import write_today

        write_today(self._book, str(self.what), path)
        return self.now()

    def now(self) -> CaseResult:
        """Give the case as it is now; raises InputError for a case that cannot be used.

        >>> now = lab.case("W-0971").way.now()
        >>> now.stage, [step.what for step in now.way]
        ('delivered', ['opened', 'fired', 'fired', 'delivered'])
        """
        from stainbook.work.case.current_case import current_case

        return self._told(current_case(self._book, self.what))

    def strip(self) -> WayStrip:
        """Give the way so far and ahead, and what may be noted now.

        >>> strip = lab.case("W-1051").way.strip()
        >>> strip.next, [one.word for one in strip.way if one.ahead]
        (('polished', 'ground'), ['stained', 'glazed', 'try-in', 'delivered'])
        """
        from stainbook.work.case.current_case import known_case
        from stainbook.work.case.way import strip_of
        from stainbook.work.stains.known_stains import liquids_for

        def drawn() -> WayStrip:
            current = known_case(self._book, self._code)
            return strip_of(current, liquids=bool(liquids_for(self._book, current.case.material)))

        return self._kept("strip", drawn)

    def did(
        self,
        step: str,
        *,
        zones: str = "",
        at: str | None = None,
        mix: str = "",
        operator: str | None = None,
        run: str | None = None,
    ) -> CaseResult:
        """Note what was done to the piece.

        zones, mix : as typed; at : when, None for now; run : of sintering
        Raises UnknownNameError for a word that is no step, InputError for one that cannot follow.

        >>> lab.case("W-1063").way.did("coloured", mix="1 coat of bracken undiluted", operator="bench-1").stage
        'green'
        """
        from stainbook.work.case.way import did, zones_named
        from stainbook.work.stains.painted import painted_layers

        layers, told = painted_layers(mix), zones_named(zones)
        return self._told(
            did(self._book, self.what, step, zones=told, at=at, operator=operator, layers=layers, run=run)
        )

    def undo_did(self, step: str, *, why: str = BY_MISTAKE) -> CaseResult:
        """Note that the newest such step was not done; raises InputError where there is none.

        >>> way = lab.case("W-1063").way
        >>> way.did("sintered").stage, way.undo_did("sintered").stage
        ('sintered', 'green')
        """
        from stainbook.work.case.way import undo_did

        return self._told(undo_did(self._book, str(self.what), step, why=why))

    def undo_received(self, *, why: str) -> CaseResult:
        """Undo the newest acceptance, delivery or return; raises InputError where there is none.

        >>> lab.case("W-0988").way.undo_received(why="not sent yet").way[-1].what
        'fired'
        """
        from stainbook.work.case.delivery import undo_received

        undo_received(self._book, str(self.what), why=why)
        return self.now()

    def take_back_firing(self, fired_at: str, *, why: str) -> CaseResult:
        """Take a whole firing back; it stays in the history. Raises UnknownNameError for an unknown firing.

        >>> case = lab.case("W-1017")
        >>> _ = case.way.take_back_firing(case.firing.all()[0].fired_at, why="another piece")
        >>> case.firing.all()
        ()
        """
        from stainbook.work.firing.corrections import take_back_firing

        take_back_firing(self._book, str(self.what), fired_at, why=why)
        return self.now()

    def _told(self, current: CurrentCase) -> CaseResult:
        from stainbook.work.case.case_told import case_result

        return case_result(self._book, current)
