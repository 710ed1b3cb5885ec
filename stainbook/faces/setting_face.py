"""``lab.settings``: what the lab decided once for all its work, its instruments, people and programmes."""

from __future__ import annotations

from pathlib import Path

from stainbook.apparatus import Programme
from stainbook.faces.lab_view import LabFace
from stainbook.work.case.undo import Undo, undo_settings, undoable_settings
from stainbook.work.documents.day_schemas import MixesResult, ProgrammeResult
from stainbook.work.firing.firing_programmes import load_programmes, shown
from stainbook.work.lab import standing_mixes
from stainbook.work.lab.settings import (
    LabSettings,
    OwnLimits,
    keep_instrument,
    keep_lab,
    keep_limits,
    keep_mixing,
    keep_person,
    keep_programme,
    keep_shadow,
    keep_viewing,
    settings_of,
)
from stainbook.work.reading.instruments import Stated
from stainbook.work.reading.lab_settings import scale_step_in


class SettingsFace(LabFace):
    """What is set up once."""

    def now(self) -> LabSettings:
        """What is set up."""
        return self._kept("now", lambda: settings_of(self._book))

    def scale_step(self) -> float:
        """The step of the lab's scale, in grams."""
        return self._kept("scale step", lambda: scale_step_in(self._book))

    def keep_limits(self, tissue: str, chosen: OwnLimits) -> None:
        """Judge a tissue by another set, or by own figures."""
        keep_limits(self._book, tissue, chosen)

    def keep_viewing(self, illuminant: str, observer: int) -> None:
        """Compare spectra with spectra under this light."""
        keep_viewing(self._book, illuminant=illuminant, observer=observer)

    def keep_lab(self, name: str) -> None:
        """The lab's name, as reports carry it."""
        keep_lab(self._book, name)

    def keep_shadow(self, shadow: bool) -> None:
        """Keep what the program would have done beside what the hand did, or not."""
        keep_shadow(self._book, shadow=shadow)

    def keep_mixing(self, *, strengths: str, scale_step: float, together: str = "") -> None:
        """The shares that the lab mixes, the step of its scale, and systems or forms that it mixes."""
        keep_mixing(self._book, strengths=strengths, scale_step=scale_step, together=together)

    def keep_instrument(self, name: str, stated: Stated) -> None:
        """Set an instrument up."""
        keep_instrument(self._book, name, stated)

    def keep_person(self, name: str) -> None:
        """Enter someone whose hand lays stain on."""
        keep_person(self._book, name)

    def keep_programme(self, programme: Programme) -> None:
        """Enter a firing programme as its maker's sheet has it."""
        keep_programme(self._book, programme)

    def mixes(self) -> MixesResult:
        """The mixes that stand ready."""
        return self._kept("mixes", lambda: standing_mixes.shown(self._book))

    def load_mixes(self, path: Path) -> MixesResult:
        """Let the mixes of a file be those that stand ready."""
        return standing_mixes.load_mixes(self._book, path)

    def programmes(self) -> ProgrammeResult:
        """The firing programmes that the book holds."""
        return self._kept("programmes", lambda: shown(self._book))

    def load_programmes(self, path: Path) -> ProgrammeResult:
        """Firing programmes of a file into the book."""
        return load_programmes(self._book, path)

    def undoable(self) -> Undo | None:
        """The newest change of the settings that can be taken back."""
        return undoable_settings(self._book)

    def undo(self) -> Undo | None:
        """Take the newest change of the settings back."""
        return undo_settings(self._book)
