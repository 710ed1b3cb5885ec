"""``lab.stains``: chips learnt from, layers predicted, plates laid out, what was held back of the learning."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from stainbook.faces.lab_view import LabFace
from stainbook.work.case.problems import AdviceAsked
from stainbook.work.documents.book_schemas import ConfirmResult, HeldOutcome
from stainbook.work.documents.day_schemas import NextStripe, PlateResult
from stainbook.work.documents.schemas import CalibrateResult, PredictResult
from stainbook.work.lab.next_stripe import next_stripes, stripes_for_open
from stainbook.work.lab.stain_views import StainRow, StainView, stain_rows, stain_view
from stainbook.work.reading.dropped import Dropped
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.held import decide, held_back, held_now
from stainbook.work.stains.plate import plan_plates, read_back, save
from stainbook.work.stains.predict import Meant, predict_files
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from stainbook.work.stains.stain_desk import learn_from_files, plate_page
from stainbook.work.stains.stripes import PlateOrder


class StainsFace(LabFace):
    """What the lab's stains do."""

    def rows(self) -> tuple[StainRow, ...]:
        """The stains that the lab lists or has stripes of."""
        return self._kept("rows", lambda: tuple(stain_rows(self._book)))

    def view(self, name: str) -> StainView:
        """What one stain does, by its coats, stripes and jars."""
        return self._kept(("view", name), lambda: stain_view(self._book, name))

    def calibrate(self, files: ChipFiles, asked: Asked | None = None) -> CalibrateResult:
        """Learn from the chips of some files and those of the book; store all of it, and the fit."""
        return calibrate_files(self._book, files, asked)

    def learn_from(self, dropped: Sequence[Dropped]) -> CalibrateResult:
        """As `calibrate`, from files that were dropped, told apart by their content."""
        return learn_from_files(self._book, dropped)

    def predict(
        self, recipes: Path, readings: Path, asked: Asked | None = None, meant: Meant | None = None
    ) -> PredictResult:
        """The colour that each recipe of a file will have on the body that it names."""
        return predict_files(self._book, recipes, readings, asked, meant)

    def plates(self, order: PlateOrder, *, csv: Path | None = None, html: Path | None = None) -> PlateResult:
        """Plates of stripes for some stains, also saved as chips.csv and as a page to print."""
        result, laid = plan_plates(self._book, order)
        save(result, laid, csv=csv, html=html)
        return result

    def plate_page(self, stains: Sequence[str]) -> str:
        """Plates of stripes for some stains as a page to print."""
        return plate_page(self._book, stains)

    def read_back(self, chips: Path, readings: Path, *, save: Path | None, asked: Asked | None = None) -> PlateResult:
        """Name readings by the order of their plates' sheet and store both."""
        return read_back(self._book, chips, readings, save, asked)

    def next_stripes(self, cases: Sequence[str | Path], wish: AdviceAsked | None = None) -> tuple[NextStripe, ...]:
        """Which stripe would help some open cases most."""
        return tuple(next_stripes(self._book, cases, wish))

    def stripes_for_open(self, wish: AdviceAsked | None = None) -> tuple[tuple[NextStripe, ...], tuple[str, ...]]:
        """As `next_stripes` for all open cases of the book, and a line for each that could not be counted."""
        found, told = stripes_for_open(self._book, wish)
        return tuple(found), tuple(told)

    def held(self, case: str) -> tuple[HeldOutcome, ...]:
        """The outcomes of a case that the learning holds back."""
        return self._kept(("held", case), lambda: tuple(held_back(self._book, case)))

    def held_now(self) -> ConfirmResult:
        """Learn from what the book holds now, and say what is held back and what is learnt."""
        return held_now(self._book)

    def decide(
        self,
        case: str,
        zone: tuple[int, str],
        verdict: str,
        *,
        why: str | None = None,
        fired_at: str | None = None,
    ) -> ConfirmResult:
        """Say of a zone's outcome that it was really so (``true``), ``wrong``, or is ``open``, and learn again."""
        return decide(self._book, case, zone, verdict, why=why, fired_at=fired_at)
