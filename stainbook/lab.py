"""``Lab``: the one object that commands, pages and notebooks talk to, and nothing below it.

Five lines calibrate, predict and advise; the demonstration lab's files are simulated:

>>> import stainbook
>>> lab = stainbook.Lab.open("lab.db")
>>> lab.calibrate("recipes/chips.csv", "recipes/readings.csv",
...               stains="recipes/stains.yaml", bodies="recipes/bodies.csv")
16 stains learnt from stripes, their stripes described to ΔE00 0.3
>>> lab.predict({"barley": 1 / 8}, coats=2, on="plate-pale")
L* 85.0, a* -2.0, b* 5.7 (D65/10°), 9 in 10 within ΔE00 1.1
>>> lab.case("recipes/W-1051.yaml").advise()
11 cervical: stain it: 1 coat of (1 part plover + 1 part pollen + 2 parts clear), then ΔE00 1.2 (0.4 to 2.2)
11 middle: stain it: 1 coat of (2 parts barley + 1 part kettle + 5 parts clear), then ΔE00 0.8 (0.3 to 1.7)
11 incisal: stain it: 1 coat of (1 part moss + 2 parts plover + 5 parts clear), then ΔE00 0.9 (0.3 to 1.8)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stainbook.faces.app_face import AppFace
from stainbook.faces.case_face import CaseFace, advised, planned
from stainbook.faces.lab_store import close_all
from stainbook.faces.lab_view import LabView, url_of
from stainbook.faces.notebook_results import CasePlan, FoundBefore, LearntStains, NextSteps, Prediction, Recorded
from stainbook.faces.notebook_tables import Brought, layers_of, reading_of, source_of
from stainbook.faces.reading_face import ReadingsFace
from stainbook.faces.shelf_face import ShelfFace

if TYPE_CHECKING:
    from stainbook.faces.cases_face import CasesFace
    from stainbook.faces.exchange_face import ExchangeFace
    from stainbook.faces.number_face import NumbersFace
    from stainbook.faces.photo_face import PhotoFace
    from stainbook.faces.recipe_face import RecipesFace
    from stainbook.faces.setting_face import SettingsFace
    from stainbook.faces.stain_face import StainsFace
    from stainbook.records import Reading
    from stainbook.work.case.case_plan import PlanAsked
    from stainbook.work.case.problems import AdviceAsked
    from stainbook.work.documents.book_schemas import RecordResult
    from stainbook.work.documents.plan_schemas import TrayResult
    from stainbook.work.documents.schemas import AdviseResult
    from stainbook.work.reading.viewing_conditions import Asked
    from stainbook.work.stains.predict import Meant

__all__ = ["CasePlan", "FoundBefore", "Lab", "LabCase", "LearntStains", "NextSteps", "Prediction", "Recorded"]


class LabCase(CaseFace):
    """A case as a notebook asks for it; all else as commands and pages do."""

    def advise(self, wish: AdviceAsked | None = None) -> NextSteps:
        """Where each zone is, and the next steps in order, with their odds."""
        return NextSteps(self.advised(wish))

    def plan(self, *, mixes: int | None = None) -> CasePlan:
        """One set of few mixes for the whole case in one firing."""
        from stainbook.work.case.case_plan import PlanAsked

        return CasePlan(self.planned(PlanAsked(most=mixes)))


class Lab(LabView):
    """A light view of a lab's book, for one author, role, laboratory and language; threads may share it.

    All views of one place share one open book and what was worked out from it; nothing is opened before it is asked.
    """

    @classmethod
    def open(
        cls,
        url_or_path: str | Path | None = None,
        *,
        author: str | None = None,
        role: str | None = None,
        laboratory: str = "",
        language: str = "en",
    ) -> Lab:
        """A view of the book of a URL or file; of the environment's, else in the user's data folder when None."""
        return cls(url_of(url_or_path), author=author, role=role, laboratory=laboratory, language=language)

    def __enter__(self) -> Lab:
        return self

    def __repr__(self) -> str:
        from stainbook.book.location import locate, shown

        return f"<Lab {', '.join(filter(None, (shown(locate(self.url)), self.author, self.laboratory)))}>"

    @staticmethod
    def close_all() -> None:
        """Close every book that this process opened so."""
        close_all()

    # ------------------------------------------------------------ faces

    @property
    def cases(self) -> CasesFace:
        """All cases: listed, how each stands, brought in, made."""
        from stainbook.faces.cases_face import CasesFace

        return CasesFace(self)

    @property
    def readings(self) -> ReadingsFace:
        """Readings converted, compared and taken in; instruments and guides."""
        return ReadingsFace(self)

    @property
    def stains(self) -> StainsFace:
        """Chips learnt from, layers predicted, plates laid out."""
        from stainbook.faces.stain_face import StainsFace

        return StainsFace(self)

    @property
    def recipes(self) -> RecipesFace:
        """What was done last time and the lab's recipes."""
        from stainbook.faces.recipe_face import RecipesFace

        return RecipesFace(self)

    @property
    def photo(self) -> PhotoFace:
        """Pictures to the colours of their zones."""
        from stainbook.faces.photo_face import PhotoFace

        return PhotoFace(self)

    @property
    def exchange(self) -> ExchangeFace:
        """The book handed on and taken in."""
        from stainbook.faces.exchange_face import ExchangeFace

        return ExchangeFace(self)

    @property
    def settings(self) -> SettingsFace:
        """What the lab decided once."""
        from stainbook.faces.setting_face import SettingsFace

        return SettingsFace(self)

    @property
    def numbers(self) -> NumbersFace:
        """First firings that did, returns, minutes."""
        from stainbook.faces.number_face import NumbersFace

        return NumbersFace(self)

    @property
    def shelf(self) -> ShelfFace:
        """What the book holds, by name."""
        return ShelfFace(self)

    @property
    def app(self) -> AppFace:
        """What starting the app needs."""
        return AppFace(self)

    def case(self, what: str | Path) -> LabCase:
        """A case by its code, or by its file."""
        return LabCase(self, what)

    # ------------------------------------------------------------ whole cases and firings

    def planned(
        self, cases: Sequence[str | Path], wish: PlanAsked | None = None, *, html: Path | None = None
    ) -> TrayResult:
        """Several cases in one firing: one set of mixes; also saved as a page to print."""
        return planned(self, cases, wish, html=html)

    def advised(self, cases: Sequence[str | Path], wish: AdviceAsked | None = None) -> AdviseResult:
        """Several cases at once."""
        return advised(self, cases, wish)

    def recorded(
        self,
        outcomes: Sequence[Path],
        asked: Asked | None = None,
        *,
        because: str | None = None,
        shadow: bool | None = None,
    ) -> RecordResult:
        """Store what was fired and what came out, and learn from it."""
        from stainbook.work.firing.record import record_files

        return record_files(self.book, outcomes, asked, because=because, shadow=shadow)

    # ------------------------------------------------------------ notebooks

    def calibrate(
        self, chips: Brought, readings: Brought, *, stains: Brought = None, bodies: Brought = None
    ) -> LearntStains:
        """Learn the stains from fired chips; tables are paths, data frames, or (readings) values by sample.

        Raises InputError for tables that cannot be used; then nothing is stored.
        """
        from stainbook.work.stains.stain_calibration import ChipFiles

        more = [None if one is None else source_of(one, name) for one, name in ((stains, "stains"), (bodies, "bodies"))]
        files = ChipFiles(source_of(chips, "chips"), source_of(readings, "readings"), *more)
        return LearntStains(self.stains.calibrate(files))

    def predict(
        self,
        layers: Mapping[str, float] | Sequence[tuple[Mapping[str, float], int]],
        *,
        on: str | Sequence[float],
        coats: int = 1,
        asked: Asked | None = None,
        meant: Meant | None = None,
    ) -> Prediction:
        """The colour of a mix (shares by stain) after the furnace, or of several layers as (mix, coats), bottom first.

        on : a sample of the book, or the bare piece as L, a, b (D65, 10°) or 31 reflectances from 400 to 700 nm

        Raises UnknownNameError for a sample or stain that is not known, InputError where nothing was calibrated.
        """
        from stainbook.work.stains.predict import predict_layers

        body = self._read(on) if isinstance(on, str) else reading_of("the piece", on)
        return Prediction(predict_layers(self.book, layers_of(layers, coats), body, asked, meant))

    def _read(self, sample: str) -> Reading:
        from stainbook.errors import UnknownNameError

        found = self.book.find_reading(sample)
        if found is None:
            raise UnknownNameError("sample", sample, {one.sample for one in self.book.readings()})
        return found

    def record(self, *outcomes: str | Path, because: str | None = None) -> Recorded:
        """Store what was fired and what came out, from outcome files, and learn from it."""
        return Recorded(self.recorded([Path(one) for one in outcomes], because=because))

    def search(
        self, words: str = "", *, near: Any = None, within: float = 2.0, limit: int = 20, **conditions: str
    ) -> FoundBefore:
        """What was done before: near L, a, b (nearest first), by words and conditions, as ``material="zirconia"``."""
        colour = None if near is None else ",".join(repr(float(one)) for one in near)
        return FoundBefore(
            self.shelf.search(colour, [words] if words else (), list(conditions.items()), radius=within, limit=limit)
        )
