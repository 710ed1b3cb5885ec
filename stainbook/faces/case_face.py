"""``lab.case(what)``: one case, by its code in the book or by its file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from stainbook.faces.lab_view import CaseTopic, LabView
from stainbook.faces.way_face import WayFace

if TYPE_CHECKING:
    from stainbook.faces.desk_face import DeskFace
    from stainbook.faces.firing_face import FiringFace
    from stainbook.faces.measured_face import MeasuredFace
    from stainbook.faces.wish_face import WishFace
    from stainbook.work.case.case_plan import PlanAsked
    from stainbook.work.case.hand_desk import DeliveryView
    from stainbook.work.case.problems import AdviceAsked
    from stainbook.work.documents.book_schemas import ExplainResult, HandoverResult, RecordResult
    from stainbook.work.documents.day_schemas import BenchResult, SheetResult, TrialResult
    from stainbook.work.documents.plan_schemas import PlanResult, ReportResult, TrayResult
    from stainbook.work.documents.schemas import AdviseResult
    from stainbook.work.reading.viewing_conditions import Asked
    from stainbook.work.sheets.case_report import ReportAsked


class CaseFace(CaseTopic):
    """What happened to one piece, and what may come next."""

    @property
    def way(self) -> WayFace:
        """The case brought in and written out, and the steps of its piece."""
        return WayFace(self._lab, self.what)

    @property
    def desk(self) -> DeskFace:
        """Its next steps, worked out and chosen; the plan and the bench sheet."""
        from stainbook.faces.desk_face import DeskFace

        return DeskFace(self._lab, self.what)

    @property
    def wish(self) -> WishFace:
        """What is prescribed, changed and changed back."""
        from stainbook.faces.wish_face import WishFace

        return WishFace(self._lab, self.what)

    @property
    def measured(self) -> MeasuredFace:
        """Readings typed, pasted or dropped."""
        from stainbook.faces.measured_face import MeasuredFace

        return MeasuredFace(self._lab, self.what)

    @property
    def firing(self) -> FiringFace:
        """Firings recorded and corrected."""
        from stainbook.faces.firing_face import FiringFace

        return FiringFace(self._lab, self.what)

    def __repr__(self) -> str:
        return f"<case {self.what}>"

    def advised(self, wish: AdviceAsked | None = None) -> AdviseResult:
        """Where each zone is, and the next steps in order, with their odds."""
        return advised(self._lab, [self.what], wish)

    def planned(self, wish: PlanAsked | None = None, *, html: Path | None = None) -> PlanResult:
        """One set of few mixes for the whole case; also saved as a page to print."""
        from stainbook.work.case.case_plan import plan_file
        from stainbook.work.sheets.plan_sheet import save_html

        result = plan_file(self._book, self.what, wish)
        if html is not None:
            save_html(result, html)
        return result

    def explain(self, zone: tuple[int, str], wish: AdviceAsked | None = None) -> ExplainResult:
        """Why a zone's odds are what they are."""
        from stainbook.work.case.explain import explain

        return explain(self._book, self.what, *zone, wish)

    def sheet(
        self,
        *,
        instrument: str | None = None,
        gum: int | None = None,
        targets: bool = False,
        guide: Path | None = None,
        csv: Path | None = None,
        html: Path | None = None,
    ) -> SheetResult:
        """Which readings to take, in which order; also saved to fill in and to print."""
        from stainbook.work.case.measuring_sheet import save_csv, save_html, sheet_for

        result = sheet_for(self._book, self.what, instrument=instrument, gum=gum, targets=targets, guide=guide)
        if csv is not None:
            save_csv(result, csv)
        if html is not None:
            save_html(result, html)
        return result

    def bench(
        self,
        asked: Asked | None = None,
        *,
        guide: Path | None = None,
        readings: Sequence[Path] = (),
        thresholds: Sequence[str] = (),
        html: Path | None = None,
    ) -> BenchResult:
        """The bench sheet: the gap in value, chroma and hue, the next step; also saved as a page to print."""
        from stainbook.work.sheets.bench import bench, save_html

        result = bench(self._book, self.what, asked, guide=guide, readings=readings, threshold_names=thresholds)
        if html is not None:
            save_html(result, html)
        return result

    def trial(self, asked: Asked | None = None) -> TrialResult:
        """A trial piece as it left the lab and as it was worn."""
        from stainbook.work.case.trial import trial

        return trial(self._book, str(self.what), asked)

    def approve_trial(self, choice: str, *, by: str, asked: Asked | None = None) -> TrialResult:
        """Make a trial piece, as it left or as it was worn, the target."""
        from stainbook.work.case.trial import approve

        return approve(self._book, str(self.what), choice, by=by, asked=asked)

    def handover(self) -> DeliveryView:
        """How it stands before it leaves, and what happened so far."""
        from stainbook.work.case.hand_desk import desk_of

        return self._kept("handover", lambda: desk_of(self._book, self.what))

    def glazed_all(self) -> RecordResult:
        """Note that it was glazed whole, now."""
        from stainbook.work.firing.glazed import glazed_all

        return glazed_all(self._book, self._code)

    def accept(self, by: str) -> HandoverResult:
        """Note who accepted it: lab, clinic or patient."""
        from stainbook.work.case.delivery import accept

        return accept(self._book, self.what, by)

    def deliver(self, *, as_is: str | None = None) -> HandoverResult:
        """Note that it left; ``as_is``: why without the finish that it names."""
        from stainbook.work.case.delivery import deliver

        return deliver(self._book, self.what, as_is=as_is)

    def undo_received(self) -> HandoverResult:
        """Undo the newest acceptance, delivery or return."""
        from stainbook.work.case.delivery import undo_received

        return undo_received(self._book, str(self.what))

    def take_return(self, reason: str) -> HandoverResult:
        """Note that it came back, and why."""
        from stainbook.work.case.delivery import take_return

        return take_return(self._book, self.what, reason)

    def report_file(self, kind: str) -> bytes:
        """The colour report as one file: ``pdf``, ``csv`` or ``xlsx``."""
        from stainbook.work.sheets.report_files import download

        return download(self._book, self.what, kind)

    def report(
        self, wish: ReportAsked | None = None, *, pdf: Path | None, csv: Path | None = None, excel: Path | None = None
    ) -> ReportResult:
        """The colour report as PDF, ``CASE-report.pdf`` where no place is named; its tables too."""
        from stainbook.work.sheets.case_report import report_of
        from stainbook.work.sheets.report_files import file_name, result_of, save_csv, save_pdf, save_workbook

        told, warnings = report_of(self._book, self.what, wish)
        files = {"pdf": pdf or Path(file_name(told.case))}
        save_pdf(told, files["pdf"])
        for name, path, save in (("csv", csv, save_csv), ("excel", excel, save_workbook)):
            if path is not None:
                save(told, path)
                files[name] = path
        return result_of(told, files, warnings)


def planned(
    lab: LabView, cases: Sequence[str | Path], wish: PlanAsked | None = None, *, html: Path | None = None
) -> TrayResult:
    """Several cases in one firing, as `CaseFace.planned`."""
    from stainbook.work.case.tray_plan import plan_tray
    from stainbook.work.sheets.tray_sheet import save_html

    result = plan_tray(lab.book, cases, wish)
    if html is not None:
        save_html(result, html)
    return result


def advised(lab: LabView, cases: Sequence[str | Path], wish: AdviceAsked | None = None) -> AdviseResult:
    """Several cases at once, as `CaseFace.advised`."""
    from stainbook.work.case.advise import advise_files

    return advise_files(lab.book, cases, wish)
