"""``lab.settings``: what the lab decided once for all its work, its instruments, people and programmes."""

from __future__ import annotations

from collections.abc import Sequence
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
    keep_annex,
    keep_edges,
    keep_host,
    keep_instrument,
    keep_lab,
    keep_limits,
    keep_mixing,
    keep_person,
    keep_prices,
    keep_programme,
    keep_roles,
    keep_shadow,
    keep_viewing,
    settings_of,
)
from stainbook.work.reading.instruments import Stated
from stainbook.work.reading.lab_settings import scale_step_in


class SettingsFace(LabFace):
    """What is set up once."""

    def now(self) -> LabSettings:
        """Give what is set up.

        >>> now = lab.settings.now()
        >>> now.programmes[0].programme, now.people[0], now.in_a_file
        ('glaze', 'bench-1', True)
        """
        return self._kept("now", lambda: settings_of(self._book))

    def scale_step(self) -> float:
        """Give the step of the lab's scale, in grams.

        >>> lab.settings.keep_mixing(strengths="1/4, 1", scale_step=0.02)
        >>> lab.settings.scale_step()
        0.02
        """
        return self._kept("scale step", lambda: scale_step_in(self._book))

    def keep_limits(self, tissue: str, chosen: OwnLimits) -> None:
        """Judge a tissue by another set of limits, or by own figures in ΔE00.

        Raises InputError for figures that are none.

        >>> from stainbook.faces.setting_types import OwnLimits
        >>> lab.settings.keep_limits("tooth", OwnLimits(perceptible=0.7, acceptable=1.6))
        >>> lab.settings.now().limits["tooth"].acceptable
        1.6
        """
        keep_limits(self._book, tissue, chosen)

    def keep_viewing(self, illuminant: str, observer: int) -> None:
        """Compare spectra with spectra under this light; raises UnknownNameError for one that is not known.

        >>> lab.settings.keep_viewing("D50", 2)
        >>> lab.settings.now().viewing
        Viewing(illuminant='D50', observer=2)
        """
        keep_viewing(self._book, illuminant=illuminant, observer=observer)

    def keep_lab(self, name: str) -> None:
        """Store the lab's name, as reports carry it; raises InputError for one of more than 80 letters.

        >>> lab.settings.keep_lab("Demonstration lab")
        >>> lab.settings.now().lab
        'Demonstration lab'
        """
        keep_lab(self._book, name)

    def keep_host(self, host: str) -> None:
        """Store where other devices reach the app, as labels name it; raises InputError for what is no address.

        >>> lab.settings.keep_host("bench.local:8501")
        >>> lab.settings.now().host
        'http://bench.local:8501'
        """
        keep_host(self._book, host)

    def keep_edges(self, count: bool) -> None:
        """Store whether incisal thirds and papillae of a translucent piece count as other zones do.

        >>> lab.settings.keep_edges(True)
        >>> lab.settings.now().edges
        True
        """
        keep_edges(self._book, count=count)

    def keep_shadow(self, shadow: bool) -> None:
        """Store what the program would have done beside what the hand did, or not.

        >>> lab.settings.keep_shadow(True)
        >>> lab.settings.now().shadow
        True
        """
        keep_shadow(self._book, shadow=shadow)

    def keep_annex(self, annex: bool) -> None:
        """Let the clinic's page be followed by the zones' numbers, or not.

        >>> lab.settings.keep_annex(False)
        >>> lab.settings.now().annex
        False
        """
        keep_annex(self._book, annex=annex)

    def keep_roles(
        self, *, leads: Sequence[str] = (), lead_sees_all: bool = False, apprentices: Sequence[str] = ()
    ) -> None:
        """Store who leads the lab, whether a lead sees all numbers, and who paints as an apprentice.

        Raises UnknownNameError for somebody who is no technician, InputError for one who is both.

        >>> lab.settings.keep_roles(leads=["bench-1"], lead_sees_all=True, apprentices=["bench-2"])
        >>> lab.settings.now().apprentices
        ('bench-2',)
        """
        keep_roles(self._book, leads=leads, lead_sees_all=lead_sees_all, apprentices=apprentices)

    def keep_prices(self, *, firing: str = "", blank: str = "", hour: str = "", currency: str = "") -> None:
        """Store the price of a firing, a blank and an hour as typed, and the text that stands for the currency.

        Raises InputError for what is no price.

        >>> lab.settings.keep_prices(firing="9,50", blank="38", hour="60", currency="EUR")
        >>> lab.settings.now().prices.firing
        9.5
        """
        keep_prices(self._book, firing=firing, blank=blank, hour=hour, currency=currency)

    def keep_mixing(self, *, strengths: str, scale_step: float, together: str = "") -> None:
        """Store the shares that the lab mixes, the step of its scale (g), and systems or forms that it mixes.

        strengths : as typed, ``1/8, 1/4``; together : pairs as ``one + other; paste + powder``
        Raises InputError for what is none.

        >>> lab.settings.keep_mixing(strengths="1/8, 1/4, 1/2, 1", scale_step=0.05)
        >>> lab.settings.scale_step()
        0.05
        """
        keep_mixing(self._book, strengths=strengths, scale_step=scale_step, together=together)

    def keep_instrument(self, name: str, stated: Stated) -> None:
        """Set an instrument up; what is not stated stays.

        >>> from stainbook.faces.reading_types import Stated
        >>> lab.settings.keep_instrument("ring", Stated(illuminant="D65", observer=10, geometry="45:0"))
        >>> lab.settings.now().instruments[0].geometry
        '45:0'
        """
        keep_instrument(self._book, name, stated)

    def keep_person(self, name: str) -> None:
        """Enter a technician; raises InputError for an empty name.

        >>> lab.settings.keep_person("bench-3")
        >>> lab.settings.now().people
        ('bench-1', 'bench-2', 'bench-3')
        """
        keep_person(self._book, name)

    def keep_programme(self, programme: Programme) -> None:
        """Enter a firing programme as its maker's sheet has it.

        >>> lab.settings.keep_programme(Programme("low", furnace="small", minutes=18.0))
        >>> [one.programme for one in lab.settings.now().programmes]
        ['glaze', 'stain', 'low']
        """
        keep_programme(self._book, programme)

    def mixes(self) -> MixesResult:
        """Give the mixes that stand ready.

        >>> with type(lab).open("new.db") as new:
        ...     new.settings.mixes().mixes
        []
        """
        return self._kept("mixes", lambda: standing_mixes.shown(self._book))

    def load_mixes(self, path: Path) -> MixesResult:
        r"""Let the mixes of a file be those that stand ready.

        Raises FileError for a file that cannot be used, UnknownNameError for a stain that the lab does not have.

        >>> from pathlib import Path
        >>> _ = Path("mixes.yaml").write_text("- {mix: thin barley, pot: {barley: 1/8}}\n")
        >>> [one.mix for one in lab.settings.load_mixes(Path("mixes.yaml")).mixes]
        ['thin barley']
        """
        return standing_mixes.load_mixes(self._book, path)

    def programmes(self) -> ProgrammeResult:
        """Give the firing programmes that the book holds.

        >>> [one.programme for one in lab.settings.programmes().programmes][:2]
        ['glaze', 'stain']
        """
        return self._kept("programmes", lambda: shown(self._book))

    def load_programmes(self, path: Path) -> ProgrammeResult:
        r"""Store the firing programmes of a file; raises FileError for one that cannot be used.

        >>> from pathlib import Path
        >>> _ = Path("ovens.yaml").write_text("- {programme: slow, source_sheet: sheet 4}\n")
        >>> [one.programme for one in lab.settings.load_programmes(Path("ovens.yaml")).programmes][-1]
        'slow'
        """
        return load_programmes(self._book, path)

    def undoable(self) -> Undo | None:
        """Give the newest change of the settings that can be undone, None where there is none.

        >>> lab.settings.keep_lab("North lab")
        >>> lab.settings.undoable().what
        "the lab's name"
        """
        return undoable_settings(self._book)

    def undo(self) -> Undo | None:
        """Undo the newest change of the settings; gives it, None where there is none.

        >>> lab.settings.keep_lab("South lab")
        >>> lab.settings.undo().what
        "the lab's name"
        """
        return undo_settings(self._book)
