"""``lab.readings``: readings converted, compared and taken in; instruments, guides and the weekly chip."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from stainbook.faces.lab_view import LabFace

if TYPE_CHECKING:
    from stainbook.work.documents.day_schemas import (
        AgreeResult,
        ControlResult,
        GuideResult,
        InstrumentResult,
        ReadResult,
    )
    from stainbook.work.documents.schemas import CompareResult, ConvertResult
    from stainbook.work.reading.instruments import Stated
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
        """What is said of light, observer and instrument, with the lab's profiles, looked up when they are needed."""
        from stainbook.work.reading.instruments import Profiles
        from stainbook.work.reading.viewing_conditions import Asked

        return Asked(illuminant, observer, adapt, instrument, Profiles(self._lab.book_if_there))

    def convert(self, readings: Path, asked: Asked | None = None, *, save: Path | None = None) -> ConvertResult:
        """The colours of a readings file; ``save`` also writes them in the format of its name."""
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
        """Each sample against the target of the same name."""
        from stainbook.work.reading.compare import compare

        return compare(samples, targets, asked, threshold_names=thresholds, pieces=pieces)

    def take_in(
        self,
        source: Path | str,
        asked: Asked | None = None,
        *,
        order: str | Path | None = None,
        stage: str | None = None,
    ) -> ReadResult:
        """Readings from a file, or typed text, into the book; ``order``: a case or a sheet whose n-th row is row n."""
        from stainbook.work.case.measuring_sheet import order_in
        from stainbook.work.case.swap_check import asked_of_new
        from stainbook.work.reading.take_in import take_in

        book = self._book
        names = order_in(book, order) if order else ()
        return take_in(book, source, asked, order=names, stage=stage, ask=lambda read: asked_of_new(book, read))

    def agree(
        self, first: Path, second: Path, asked: Asked | None = None, *, convert: tuple[Path, Path] | None = None
    ) -> AgreeResult:
        """How two instruments agree on shared samples; ``convert``: readings to take to the other's scale, and to."""
        from stainbook.work.reading.instrument_agreement import agree, convert_readings

        result, way = agree(first, second, asked)
        if convert is not None:
            convert_readings(*convert, way, asked)
        return result

    def keep_piece_offset(self, instrument: str, found: AgreeResult) -> None:
        """Keep pieces minus plates as an instrument's offset."""
        from stainbook.work.reading.instrument_agreement import keep_piece_offset

        keep_piece_offset(self._book, instrument, found)

    def instruments(self) -> InstrumentResult:
        """All instruments of the book."""
        from stainbook.work.reading.instruments import shown

        return self._kept("instruments", lambda: shown(self._book))

    def set_up(self, name: str, stated: Stated) -> InstrumentResult:
        """Store what is stated of an instrument, and show all of them."""
        from stainbook.work.reading.instruments import set_up

        return set_up(self._book, name, stated)

    def guide(self, asked: Asked | None = None) -> GuideResult:
        """All tabs of the lab's guides with their colours."""
        from stainbook.work.reading.guides import shown

        return shown(self._book, asked)

    def load_guide(self, guide: Path, readings: Path | None = None, asked: Asked | None = None) -> GuideResult:
        """Store a guide and, of its readings, those that are its tabs'."""
        from stainbook.work.reading.guides import load_guide

        return load_guide(self._book, guide, readings, asked)

    def weekly_chips(self) -> Sequence[str]:
        """Samples with enough dated readings for a control chart, the most read first."""
        from stainbook.work.stains.stain_desk import weekly_chips

        return self._kept("weekly chips", lambda: tuple(weekly_chips(self._book)))

    def control(self, chip: str, asked: Asked | None = None) -> ControlResult:
        """The control chart of a chip."""
        from stainbook.work.reading.control_chart import control

        return control(self._book, chip, asked)
