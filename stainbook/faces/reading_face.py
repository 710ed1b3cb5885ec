"""``lab.readings``: readings converted, compared and taken in; instruments, guides and the weekly chip."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from stainbook.faces.lab_view import LabFace

if TYPE_CHECKING:
    from stainbook.records import Viewing
    from stainbook.work.documents.day_schemas import (
        AgreeResult,
        ControlResult,
        GuideResult,
        InstrumentResult,
        ReadResult,
    )
    from stainbook.work.documents.schemas import CompareResult, ConvertResult
    from stainbook.work.reading.instruments import Stated
    from stainbook.work.reading.typed_colour import Light
    from stainbook.work.reading.typing_slips import Slip
    from stainbook.work.reading.viewing_conditions import Asked


class ReadingsFace(LabFace):
    """Colours as they are read."""

    def asked(
        self,
        illuminant: str | None = None,
        observer: int | None = None,
        *,
        adapt: bool = False,
        instrument: str | None = None,
    ) -> Asked:
        """State light, observer and instrument, with the lab's profiles, which are looked up when they are needed.

        Raises UnknownNameError for a light, observer or instrument that is not known.

        >>> lab.readings.asked("F11", 10).viewing
        Viewing(illuminant='F11', observer=10)
        """
        from stainbook.work.reading.instruments import Profiles
        from stainbook.work.reading.viewing_conditions import Asked

        return Asked(illuminant, observer, adapt, instrument, Profiles(self._lab.book_if_there))

    def convert(self, readings: Path, asked: Asked | None = None, *, save: Path | None = None) -> ConvertResult:
        """Give the colours of a readings file; ``save`` also writes them in the format of its name.

        Raises FileError for a file that cannot be read, ConditionsError for L*, a*, b* of another light.

        >>> from pathlib import Path
        >>> one = lab.readings.convert(Path("recipes/W-1051.csv")).readings[0]
        >>> one.sample, round(one.L, 1), round(one.C, 1), round(one.h)
        ('W-1051-11-cervical', 69.9, 14.5, 85)
        """
        from stainbook.work.reading.convert import convert, save_readings

        result = convert(readings, asked)
        if save is not None:
            save_readings(readings, save, asked)
        return result

    def compare(
        self,
        samples: Path,
        targets: Path,
        asked: Asked | None = None,
        *,
        thresholds: Iterable[str] = (),
        pieces: bool = False,
    ) -> CompareResult:
        """Give each sample against the target of the same name.

        thresholds : sets of limits by name; pieces : take instrument offsets of pieces into account
        Raises InputError for files that cannot be used or share no name.

        >>> from pathlib import Path
        >>> pairs = lab.readings.compare(Path("recipes/W-1051.csv"), Path("recipes/W-1051.csv")).pairs
        >>> pairs[0].sample, pairs[0].dE00, pairs[0].visibility
        ('W-1051-11-cervical', 0.0, 'imperceptible')
        """
        from stainbook.work.reading.compare import compare

        return compare(samples, targets, asked, threshold_names=thresholds, pieces=pieces)

    def light_of_last(self) -> Viewing | None:
        r"""Give under which light and observer L*, a*, b* were typed last, None where that is not known.

        >>> lab.readings.take_in("70.1 2.0 18.0\n72.0 1.0 16.0\n73.5 0.8 14.0", lab.readings.asked("D50", 2),
        ...     order="W-1051").stored
        3
        >>> lab.readings.light_of_last()
        Viewing(illuminant='D50', observer=2)
        """
        from stainbook.work.reading.typed_colour import light_of_last

        return self._kept("last_light", lambda: light_of_last(self._book))

    def take_in(
        self,
        source: Path | str,
        asked: Asked | None = None,
        *,
        order: str | Path | None = None,
        stage: str | None = None,
    ) -> ReadResult:
        r"""Store readings from a file, or typed text, in the book.

        order : a case or a sheet whose n-th row is row n; stage : of the piece
        Raises FileError for readings that cannot be used.

        >>> under = lab.readings.asked("D65", 10)
        >>> lab.readings.take_in("70.1 2.0 18.0\n72.0 1.0 16.0\n73.5 0.8 14.0", under, order="W-1051").stored
        3
        """
        from stainbook.work.case.measuring_sheet import order_in
        from stainbook.work.case.swap_check import asked_of_new
        from stainbook.work.firing.late_readings import join_firings
        from stainbook.work.reading.take_in import take_in

        book = self._book
        names = order_in(book, order) if order else ()
        told = take_in(book, source, asked, order=names, stage=stage, ask=lambda read: asked_of_new(book, read))
        join_firings(book, told.samples)
        return told

    def agree(
        self, first: Path, second: Path, asked: Asked | None = None, *, convert: tuple[Path, Path] | None = None
    ) -> AgreeResult:
        """Give how two instruments agree on three or more samples of the same names.

        convert : readings to bring to the second's scale, and where to save them
        Raises InputError for files that cannot be used or share too few names.

        >>> from pathlib import Path
        >>> agreed = lab.readings.agree(Path("recipes/W-1051.csv"), Path("recipes/W-1051.csv"))
        >>> agreed.dE00_median, len(agreed.pairs)
        (0.0, 3)
        """
        from stainbook.work.reading.instrument_agreement import agree, convert_readings

        result, way = agree(first, second, asked)
        if convert is not None:
            convert_readings(*convert, way, asked)
        return result

    def keep_piece_offset(self, instrument: str, found: AgreeResult) -> None:
        """Store pieces minus plates as an instrument's offset; raises UnknownNameError for an unknown instrument.

        >>> from pathlib import Path
        >>> from stainbook.faces.reading_types import Stated
        >>> _ = lab.readings.set_up("north", Stated(illuminant="D65", observer=10))
        >>> same = lab.readings.agree(Path("recipes/W-1051.csv"), Path("recipes/W-1051.csv"))
        >>> lab.readings.keep_piece_offset("north", same)
        >>> lab.readings.instruments().instruments[0].piece_offset.L
        0.0
        """
        from stainbook.work.reading.instrument_agreement import keep_piece_offset

        keep_piece_offset(self._book, instrument, found)

    def instruments(self) -> InstrumentResult:
        """Give all instruments of the book.

        >>> [one.instrument for one in lab.readings.instruments().instruments]
        []
        """
        from stainbook.work.reading.instruments import shown

        return self._kept("instruments", lambda: shown(self._book))

    def question(self, text: str, light: Light, what: str, *, tissue: str = "sample") -> Slip | None:
        """Ask about typed L*, a*, b* of a tab, a plate or a disc, before they are kept; None where they may stand.

        tissue : ``tooth``, ``gingiva``, or ``sample`` for a stripe or disc. Raises InputError for what is no colour.

        >>> from stainbook.faces.reading_types import Light
        >>> lab.readings.question("774 1,2 15,0", Light("D65", 10), "bare").question
        'bare: 774, did you mean 77.4?'
        """
        from stainbook.work.reading.typed_colour import asked_under
        from stainbook.work.reading.typing_slips import Slip, typed_reading

        found = typed_reading(text, asked_under(self._book, light), what, tissue=tissue)
        return found if isinstance(found, Slip) else None

    def set_up(self, name: str, stated: Stated) -> InstrumentResult:
        """Store what is stated of an instrument, and give all of them; what is not stated stays.

        >>> from stainbook.faces.reading_types import Stated
        >>> made = lab.readings.set_up("sphere", Stated(illuminant="D65", observer=10, geometry="8:d"))
        >>> [one.geometry for one in made.instruments if one.instrument == "sphere"]
        ['8:d']
        """
        from stainbook.work.reading.instruments import set_up

        return set_up(self._book, name, stated)

    def guide(self, asked: Asked | None = None) -> GuideResult:
        """Give all tabs of the lab's guides with their colours.

        >>> zone = lab.readings.guide().zones[0]
        >>> zone.guide, zone.tab, zone.zone, round(zone.L, 1)
        ('house', 'oat-pale', 'cervical', 74.0)
        """
        from stainbook.work.reading.guides import shown

        return shown(self._book, asked)

    def load_guide(self, guide: Path, readings: Path | None = None, asked: Asked | None = None) -> GuideResult:
        """Store a guide and, of its readings, those that are of its tabs.

        Raises FileError for a file that cannot be read.

        >>> from pathlib import Path
        >>> len(lab.readings.load_guide(Path("recipes/guide.csv")).zones)
        32
        """
        from stainbook.work.reading.guides import load_guide

        return load_guide(self._book, guide, readings, asked)

    def weekly_chips(self) -> Sequence[str]:
        """List samples with enough dated readings for a control chart, the most read first.

        >>> lab.readings.weekly_chips()
        ('weekly-plate',)
        """
        from stainbook.work.stains.stain_desk import weekly_chips

        return self._kept("weekly chips", lambda: tuple(weekly_chips(self._book)))

    def control(self, chip: str, asked: Asked | None = None) -> ControlResult:
        """Give the control chart of a sample that is read every week.

        Raises InputError for fewer than three dated readings, several instruments, or several lights.

        >>> chart = lab.readings.control("weekly-plate")
        >>> len(chart.points), chart.in_control, round(chart.sigma.L, 2)
        (18, True, 0.19)
        """
        from stainbook.work.reading.control_chart import control

        return control(self._book, chip, asked)
