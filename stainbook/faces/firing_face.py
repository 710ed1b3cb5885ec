"""``lab.case(code).firing``: what was painted, fired and read after, recorded and corrected."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stainbook.faces.lab_view import CaseTopic
from stainbook.kept import Firing
from stainbook.records import Layers
from stainbook.work.case.typed_readings import Given
from stainbook.work.documents.book_schemas import RecordResult
from stainbook.work.documents.plan_schemas import PlanResult
from stainbook.work.firing import corrections, read_one, results, tried_piece, witness_desk
from stainbook.work.reading.typed_colour import Light, asked_under

Key = tuple[int, str]


class FiringFace(CaseTopic):
    """The firings of one case."""

    def now(self) -> results.FiringNow:
        """Give what a form of the next firing starts from.

        >>> lab.case("W-1051").firing.now().programmes
        ('glaze', 'stain')
        """
        return self._kept("now", lambda: results.firing_now(self._book, self._code))

    def unknown_stains(self, zones: Sequence[results.ZoneResult]) -> list[str]:
        """List the painted stains that the lab does not list; raises InputError for mixes that cannot be read.

        >>> from stainbook.faces.firing_types import ZoneResult
        >>> lab.case("W-1051").firing.unknown_stains([ZoneResult(11, "middle", "1 part barley + 1 part teasel")])
        ['teasel']
        """
        return self._kept(("unknown", *zones), lambda: results.unknown_stains(self._book, zones))

    def paint(
        self,
        zones: Sequence[results.ZoneResult],
        operator: str | None = None,
        *,
        new_stains: Sequence[str] = (),
    ) -> None:
        """Note what lies on the piece unfired; without zones, that it was wiped off.

        new_stains : to be entered into the lab's list

        Raises InputError for mixes that cannot be read, unknown stains, or a piece that cannot be painted now.

        >>> from stainbook.faces.firing_types import ZoneResult
        >>> mix = "2 coats of (1 part barley + 3 parts clear)"
        >>> lab.case("W-1051").firing.paint([ZoneResult(11, "middle", mix)], "bench-1")
        >>> lab.case("W-1051").way.now().unfired  # zones
        1
        """
        results.note_painted(self._book, self._code, zones, operator, new_stains=new_stains)

    def to_read(self, plan: PlanResult | None) -> tuple[read_one.ZoneToRead, ...]:
        """List the zones to be read after the firing, expected as ``plan``, what the sheet said, has it.

        >>> case = lab.case("W-1051")
        >>> [one.zone for one in case.firing.to_read(case.sheet_desk.sheet_plan())]
        ['cervical', 'middle', 'incisal']
        """
        made = ("reads", plan is not None)  # what the sheet said stays as it was until the piece is fired
        return self._kept(made, lambda: read_one.zones_to_read_after(self._book, self._code, plan))

    def lay(self, zones: Mapping[Key, Layers], operator: str | None = None) -> None:
        """Note what lies on the piece unfired, by zone; the rest is as it was, and a zone without layers bare.

        Raises InputError for another zone, or a piece that cannot be painted now.

        >>> from stainbook.records import Layer, Pot
        >>> firing = lab.case("W-1051").firing
        >>> firing.lay({(11, "middle"): (Layer(Pot.of({"barley": 1 / 4}), 2),)}, "bench-1")
        >>> firing.now().painted[11, "middle"]
        '2 coats of (1 part barley + 3 parts clear)'
        """
        results.lay(self._book, self._code, zones, operator)

    def record(self, told: results.FiringResult, given: Given | None = None) -> RecordResult:
        """Store a firing with the readings ``given`` after it, and learn from it.

        Raises InputError for what cannot be read, or a piece that cannot have been fired.

        >>> from stainbook.faces.firing_types import FiringResult, ZoneResult
        >>> zone = ZoneResult(11, "middle", "1 part barley + 3 parts clear", lab="74.0 1.0 17.0")
        >>> fired = FiringResult((zone,), "bench-1", "stain", illuminant="D65", observer=10)
        >>> lab.case("W-1051").firing.record(fired).outcomes[0].got.L
        74.0
        """
        return results.record_result(self._book, self._code, told, given)

    def piece(self) -> tried_piece.PieceView:
        """Give a piece of a tab and a tooth: as it was read first, as painted, and after the glaze.

        >>> [one.zone for one in lab.case("W-1051").firing.piece().before]
        ['cervical', 'middle', 'incisal']
        """
        return self._kept("piece", lambda: tried_piece.piece_view(self._book, self._code))

    def record_piece(self, typed: Mapping[str, str], light: Light) -> RecordResult:
        """Store what was read after the glaze on a painted piece: three numbers by zone.

        Raises InputError for numbers that are no colour, and where nothing was painted or read.

        >>> from stainbook.faces.firing_types import ZoneResult
        >>> from stainbook.faces.reading_types import Light
        >>> from stainbook.faces.wish_types import TabAndTooth
        >>> tab, tooth = {"middle": "72,4 1,2 15,0"}, {"middle": "74,1 0,8 12,6"}
        >>> firing = lab.case(lab.cases.make_piece(TabAndTooth(tab, tooth, Light("D65", 10)))).firing
        >>> firing.paint([ZoneResult(11, "middle", "1 part barley + 3 parts clear")])
        >>> firing.record_piece({"middle": "74,0 1,0 17,0"}, Light("D65", 10)).outcomes[0].got.L
        74.0
        """
        return tried_piece.record_piece(self._book, self._code, typed, light)

    def discs(self) -> witness_desk.WitnessView:
        """Give the witness discs of the case's sintering, and whether it may be sintered with some.

        >>> found = lab.case("W-1063").firing.discs()
        >>> found.may, found.blank, dict(found.discs)
        (True, 'weir', {})
        """
        return self._kept("discs", lambda: witness_desk.witness_view(self._book, self._code))

    def sinter_with_discs(self, told: witness_desk.DiscRun) -> None:
        """Record the sintering of the piece and two discs beside it, one bare, one coloured.

        Raises InputError for a piece that is sintered already or names no blank, and a mix that is no liquid.

        >>> from stainbook.faces.firing_types import DiscRun
        >>> lab.case("W-1051").firing.sinter_with_discs(DiscRun("2 coats of bracken undiluted", run="monday"))
        Traceback (most recent call last):
            ...
        stainbook.errors.InputError: W-1051 is no unsintered piece of a blank, expected one
        """
        witness_desk.sinter_with_discs(self._book, self._code, told)

    def read_discs(self, typed: Mapping[str, str], light: Light) -> None:
        """Store what was read of the discs: three numbers by disc.

        Raises InputError for numbers that are no colour, and where a disc is missing.

        >>> from stainbook.faces.firing_types import DiscRun
        >>> from stainbook.faces.reading_types import Light
        >>> firing = lab.case("W-1063").firing
        >>> firing.sinter_with_discs(DiscRun("2 coats of bracken undiluted", run="monday"))
        >>> firing.discs().unread
        ('W-1063-disc-bare', 'W-1063-disc-coloured')
        >>> numbers = ("80,1 0,4 9,2", "72,3 3,1 17,8")
        >>> firing.read_discs(dict(zip(firing.discs().unread, numbers)), Light("D65", 10))
        >>> firing.discs().unread
        ()
        """
        witness_desk.read_discs(self._book, self._code, typed, light)

    def zones(self) -> tuple[corrections.RecordedZone, ...]:
        """List the zones of all firings of the case, the newest first.

        >>> zone = lab.case("W-0979").firing.zones()[0]
        >>> zone.tooth, zone.zone, zone.painted
        (13, 'margin', '1 coat of (1 part thrift + 3 parts clear)')
        """
        return self._kept("zones", lambda: corrections.recorded_zones(self._book, self._code))

    def all(self) -> tuple[Firing, ...]:
        """List the firings of the case, the newest first.

        >>> [one.fired_at for one in lab.case("W-0971").firing.all()]
        ['2026-02-03T16:05:00Z', '2026-02-03T14:05:00Z']
        """
        return self._kept("all", lambda: corrections.firings_of(self._book, self._code))

    def correct_zone(self, name: str, *, painted: str, lab: str, why: str, light: Light) -> None:
        """Correct what was painted on a zone, and what was read after.

        lab : L*, a*, b* as typed; empty: the reading stands
        name : the outcome, as `zones` names it
        Raises InputError for what cannot be read or changes nothing.

        >>> from stainbook.faces.reading_types import Light
        >>> firing = lab.case("W-0971").firing
        >>> zone = firing.zones()[0]
        >>> firing.correct_zone(zone.name, painted="pollen", lab="", why="a slip", light=Light())
        >>> [one.painted for one in firing.zones() if one.name == zone.name]
        ['1 coat of pollen undiluted']
        """
        asked = asked_under(self._book, light)
        corrections.correct_zone(self._book, self._code, name, painted=painted, lab=lab, why=why, asked=asked)

    def take_back_zone(self, name: str, *, why: str) -> None:
        """Take back what was recorded of a zone; it stays in the history.

        >>> firing = lab.case("W-0971").firing
        >>> before = firing.zones()
        >>> firing.take_back_zone(before[0].name, why="another piece")
        >>> len(before) - len(firing.zones())
        1
        """
        corrections.take_back_zone(self._book, self._code, name, why=why)

    def correct(self, fired_at: str, told: corrections.ToldFiring, *, why: str) -> None:
        """Correct who fired, by which programme, in which furnace, how long.

        Raises InputError for an unknown firing.

        >>> from stainbook.faces.firing_types import ToldFiring
        >>> firing = lab.case("W-0971").firing
        >>> firing.correct(firing.all()[0].fired_at, ToldFiring("bench-2", minutes="14"), why="asked the bench")
        >>> firing.all()[0].operator
        'bench-2'
        """
        corrections.correct_firing(self._book, self._code, fired_at, told, why=why)
