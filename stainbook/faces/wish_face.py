"""``lab.case(code).wish``: what is prescribed of a case, changed and changed back."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from stainbook.faces.lab_view import CaseTopic
from stainbook.records import Case, Effect
from stainbook.work.case import case_change, case_edits
from stainbook.work.case.case_edits import Aim, CaseSettings
from stainbook.work.case.current_case import known_case
from stainbook.work.case.new_case import teeth_of
from stainbook.work.case.undo import Undo
from stainbook.work.reading.typed_colour import Light, asked_under

Key = tuple[int, str]


class WishFace(CaseTopic):
    """Targets, effects, zones and settings; each change is a revision, and raises InputError for what makes no case."""

    def aim(self, keys: Collection[Key], aim: Aim, light: Light) -> None:
        """Another target for some zones, typed numbers under a light."""
        self._change(lambda case: case_edits.aimed(case, keys, aim, self._book, asked_under(self._book, light)))

    def draw(self, teeth: Sequence[int], effect: str, *, place: str, mix: str, note: str) -> None:
        """Something to be drawn by eye."""
        self._change(lambda case: case_edits.drawn(case, teeth, effect, place, mix, note))

    def undraw(self, effect: Effect) -> None:
        """Take an effect off the list."""
        self._change(lambda case: case_edits.undrawn(case, effect))

    def add_zones(self, teeth: str, zones: Sequence[str]) -> None:
        """More zones, the teeth as they are typed."""
        self._change(lambda case: case_edits.with_zones(case, teeth_of(teeth), zones))

    def take_out(self, keys: Collection[Key]) -> None:
        """Fewer zones."""
        self._change(lambda case: case_edits.without_zones(case, keys))

    def settings(self) -> CaseSettings:
        """What is set beside the zones."""
        return self._kept("settings", lambda: case_edits.settings_of_case(known_case(self._book, self._code).case))

    def set(self, told: CaseSettings) -> None:
        """Other settings."""
        self._change(lambda case: case_edits.with_settings(case, told))

    def undoable(self) -> Undo | None:
        """The newest change that can be taken back."""
        return self._kept("undoable", lambda: case_change.undoable(self._book, self._code))

    def undo(self) -> Undo | None:
        """Take the newest change back."""
        return case_change.undo(self._book, self._code)

    def _change(self, edit: case_change.Edit) -> Case:
        return case_change.change_case(self._book, self.what, edit)
