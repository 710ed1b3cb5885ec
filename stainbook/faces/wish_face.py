"""``lab.case(code).wish``: what is prescribed of a case, changed and changed back."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from stainbook.faces.lab_view import CaseTopic
from stainbook.records import Case, Effect
from stainbook.work.case import case_change, case_edits, prescription
from stainbook.work.case.case_edits import Aim, CaseSettings
from stainbook.work.case.current_case import known_case
from stainbook.work.case.new_case import teeth_of
from stainbook.work.case.tooth_renamed import rename_teeth, teeth_called
from stainbook.work.case.undo import Undo
from stainbook.work.reading.typed_colour import Light, asked_under

Key = tuple[int, str]


class WishFace(CaseTopic):
    """Targets, effects, zones and settings; each change is a revision, and raises InputError for what makes no case."""

    def aim(self, keys: Collection[Key], aim: Aim, light: Light) -> None:
        """Give some zones another target; typed numbers hold under a light.

        Raises InputError for what is no colour, UnknownNameError for an unknown tab or reading.

        >>> from stainbook.faces.reading_types import Light
        >>> from stainbook.faces.wish_types import Aim
        >>> wish = lab.case("W-1051").wish
        >>> wish.aim([(11, "incisal")], Aim("lab", "73.0 1.0 13.5"), Light("D65", 10))
        >>> wish.undoable().what
        'target of 11 incisal'
        """
        self._change(lambda case: case_edits.aimed(case, keys, aim, self._book, asked_under(self._book, light)))

    def groups(self) -> tuple[prescription.GroupWish, ...]:
        """Give what is prescribed by tooth group.

        >>> [one.group for one in lab.case("W-1042").wish.groups()]
        ['front', 'canine', 'back', 'gum']
        """
        return self._kept("groups", lambda: prescription.groups_of(known_case(self._book, self._code).case))

    def prescribe(self, wanted: Mapping[str, str], light: Light) -> None:
        """Set the targets of tooth groups, in one write; zones that differ from their group stay as they are.

        wanted : by group a tab as ``guide/tab``, or L*, a*, b* as typed, which hold under a light
        Raises InputError for what is no colour, UnknownNameError for an unknown tab.

        >>> from stainbook.faces.reading_types import Light
        >>> wish = lab.case("W-1051").wish
        >>> wish.prescribe({"front": "73,0 1,0 13,5"}, Light("D65", 10))
        >>> wish.groups()[0].said
        'L* 73.0, a* 1.0, b* 13.5'
        """
        asked = asked_under(self._book, light)
        self._change(lambda case: prescription.prescribed(case, wanted, self._book, asked))

    def step(self, keys: Collection[Key], *, value: int = 0, chroma: int = 0) -> None:
        """Set the targets of some zones steps lighter (darker below 0) and stronger, each from its own.

        Raises InputError for a zone without a target.

        >>> wish = lab.case("W-1051").wish
        >>> wish.step([(11, "incisal")], value=-1, chroma=1)
        >>> wish.undoable().what
        'target of 11 incisal'
        """
        self._change(lambda case: prescription.stepped(case, keys, value=value, chroma=chroma))

    def as_group(self, keys: Collection[Key]) -> None:
        """Set the targets of some zones to what most of their tooth group have.

        >>> wish = lab.case("W-1051").wish
        >>> wish.step([(11, "incisal")], value=-1)
        >>> wish.as_group([(11, "incisal")])
        >>> (11, "incisal") in wish.groups()[0].differ
        False
        """
        self._change(lambda case: prescription.as_the_group(case, keys))

    def draw(self, teeth: Sequence[int], effect: str, *, place: str, mix: str, note: str) -> None:
        """Add something to be drawn by eye.

        place : in words; mix : as typed
        Raises InputError for what makes no effect, UnknownNameError for a stain that the lab does not know.

        >>> lab.case("W-1051").wish.draw([11], "halo", place="incisal edge", mix="flour", note="thin")
        >>> lab.case("W-1051").wish.undoable().what
        'effects drawn by eye'
        """
        self._change(lambda case: case_edits.drawn(case, teeth, effect, self._book, place, mix, note))

    def undraw(self, effect: Effect) -> None:
        """Take an effect off the list.

        >>> wish = lab.case("W-1042").wish
        >>> wish.undraw(lab.case("W-1042").desk.gaps().case.effects[0])
        >>> wish.undoable().what
        'effects drawn by eye'
        """
        self._change(lambda case: case_edits.undrawn(case, effect))

    def add_zones(self, teeth: str, zones: Sequence[str]) -> None:
        """Add zones of some teeth; teeth : as typed, ``12, 21-23``.

        >>> lab.case("W-1051").wish.add_zones("21", ["middle"])
        >>> lab.case("W-1051").wish.undoable().what
        'added 21 middle'
        """
        self._change(lambda case: case_edits.with_zones(case, teeth_of(teeth), zones))

    def take_out(self, keys: Collection[Key]) -> None:
        """Remove zones from the case; raises InputError where none would stay.

        >>> lab.case("W-1063").wish.take_out([(24, "cervical")])
        >>> lab.case("W-1063").way.now().zones
        1
        """
        self._change(lambda case: case_edits.without_zones(case, keys))

    def rename(self, teeth: Sequence[str]) -> None:
        """Call teeth by other numbers, wrong=right each: targets, readings, what was painted and fired go with them.

        Raises InputError for a tooth that the case has not, and where zones would meet others.

        >>> wish = lab.case("W-1051").wish
        >>> wish.rename(["11=12"])
        >>> wish.undoable().what, wish.undo().what
        ('tooth 11 is 12', 'tooth 11 is 12')
        """
        rename_teeth(self._book, self.what, teeth_called(teeth))

    def settings(self) -> CaseSettings:
        """Give what is set of the case beside its zones.

        >>> lab.case("W-1051").wish.settings().operator
        'bench-1'
        """
        return self._kept("settings", lambda: case_edits.settings_of_case(known_case(self._book, self._code).case))

    def set(self, told: CaseSettings) -> None:
        """Set what holds beside the zones.

        >>> from dataclasses import replace
        >>> wish = lab.case("W-1063").wish
        >>> wish.set(replace(wish.settings(), firings_left=1))
        >>> wish.settings().firings_left
        1
        """
        self._change(lambda case: case_edits.with_settings(case, told))

    def undoable(self) -> Undo | None:
        """Give the newest change that can be undone, None where there is none.

        >>> print(lab.case("W-0971").wish.undoable())
        None
        """
        return self._kept("undoable", lambda: case_change.undoable(self._book, self._code))

    def undo(self) -> Undo | None:
        """Undo the newest change; gives it, None where there is none.

        >>> wish = lab.case("W-0988").wish
        >>> print(wish.undo())
        None
        """
        return case_change.undo(self._book, self._code)

    def _change(self, edit: case_change.Edit) -> Case:
        return case_change.change_case(self._book, self.what, edit)
