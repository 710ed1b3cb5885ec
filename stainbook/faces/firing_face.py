"""``lab.case(code).firing``: what was painted, fired and read after, recorded and corrected."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.faces.lab_view import CaseTopic
from stainbook.kept import Firing
from stainbook.work.case.typed_readings import Given
from stainbook.work.documents.book_schemas import RecordResult
from stainbook.work.firing import corrections, results
from stainbook.work.reading.typed_colour import Light, asked_under


class FiringFace(CaseTopic):
    """The firings of one case."""

    def now(self) -> results.FiringNow:
        """What a form of its next firing starts from."""
        return self._kept("now", lambda: results.firing_now(self._book, self._code))

    def unknown_stains(self, zones: Sequence[results.ZoneResult]) -> list[str]:
        """Stains that were painted and that the lab does not list; raises InputError for mixes that cannot be read."""
        return self._kept(("unknown", *zones), lambda: results.unknown_stains(self._book, zones))

    def paint(self, zones: Sequence[results.ZoneResult], operator: str | None = None) -> None:
        """Note what lies on it unfired; without zones that it was wiped off."""
        results.note_painted(self._book, self._code, zones, operator)

    def record(self, told: results.FiringResult, given: Given | None = None) -> RecordResult:
        """Store a firing with the readings ``given`` after it, and learn from it."""
        return results.record_result(self._book, self._code, told, given)

    def zones(self) -> tuple[corrections.RecordedZone, ...]:
        """The zones of all its firings, the newest first."""
        return self._kept("zones", lambda: corrections.recorded_zones(self._book, self._code))

    def all(self) -> tuple[Firing, ...]:
        """Its firings, the newest first."""
        return self._kept("all", lambda: corrections.firings_of(self._book, self._code))

    def correct_zone(self, name: str, *, painted: str, lab: str, why: str, light: Light) -> None:
        """Correct what was painted on a zone and, where ``lab`` is not empty, what was read after."""
        asked = asked_under(self._book, light)
        corrections.correct_zone(self._book, self._code, name, painted=painted, lab=lab, why=why, asked=asked)

    def take_back_zone(self, name: str, *, why: str) -> None:
        """Let what was recorded of a zone hold no longer."""
        corrections.take_back_zone(self._book, self._code, name, why=why)

    def correct(self, fired_at: str, told: corrections.ToldFiring, *, why: str) -> None:
        """Correct who fired, by which programme, in which furnace, how long."""
        corrections.correct_firing(self._book, self._code, fired_at, told, why=why)
