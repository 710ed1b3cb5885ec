"""``lab.case(what)``: one case, by its code in the book or by its file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from stainbook.faces.lab_view import CaseTopic, LabView
from stainbook.faces.way_face import WayFace

if TYPE_CHECKING:
    from stainbook.faces.desk_face import DeskFace, SheetDeskFace
    from stainbook.faces.firing_face import FiringFace
    from stainbook.faces.measured_face import MeasuredFace
    from stainbook.faces.timeline_face import TimelineFace
    from stainbook.faces.wish_face import WishFace
    from stainbook.work.case.case_plan import PlanAsked
    from stainbook.work.case.hand_desk import DeliveryView
    from stainbook.work.case.problems import AdviceAsked
    from stainbook.work.documents.book_schemas import ExplainResult, HandoverResult, RecordResult
    from stainbook.work.documents.day_schemas import BenchResult, SheetResult, TrialResult
    from stainbook.work.documents.label_schemas import LabelResult
    from stainbook.work.documents.plan_schemas import PlanResult, ReportResult, TrayResult
    from stainbook.work.documents.schemas import AdviseResult
    from stainbook.work.reading.viewing_conditions import Asked
    from stainbook.work.sheets.case_report import ReportAsked


class CaseFace(CaseTopic):
    """What happened to one piece, and what may come next."""

    @property
    def way(self) -> WayFace:
        """The case brought in and written out, and the steps of its piece.

        >>> lab.case("W-1051").way.now().stage
        'blasted'
        """
        return WayFace(self._lab, self.what)

    @property
    def timeline(self) -> TimelineFace:
        """What happened to it, the newest first; notes.

        >>> lab.case("W-0971").timeline.all()[0].kind
        'delivered'
        """
        from stainbook.faces.timeline_face import TimelineFace

        return TimelineFace(self._lab, self.what)

    @property
    def desk(self) -> DeskFace:
        """Its next steps, worked out and chosen; the plan and the bench sheet.

        >>> len(lab.case("W-1051").desk.gaps().advised.zones)
        3
        """
        from stainbook.faces.desk_face import DeskFace

        return DeskFace(self._lab, self.what)

    @property
    def sheet_desk(self) -> SheetDeskFace:
        """The desk as the bench sheet was made from, before anything of what lies on the piece was painted.

        >>> lab.case("W-1063").sheet_desk.sheet_plan().case
        'W-1063'
        """
        from stainbook.faces.desk_face import SheetDeskFace

        return SheetDeskFace(self._lab, self.what)

    @property
    def wish(self) -> WishFace:
        """The prescription, changed and changed back.

        >>> lab.case("W-1051").wish.settings().firings_left
        2
        """
        from stainbook.faces.wish_face import WishFace

        return WishFace(self._lab, self.what)

    @property
    def measured(self) -> MeasuredFace:
        """Readings typed, pasted or dropped.

        >>> [one.sample for one in lab.case("W-1063").measured.order()]
        ['W-1063-24-middle', 'W-1063-24-cervical']
        """
        from stainbook.faces.measured_face import MeasuredFace

        return MeasuredFace(self._lab, self.what)

    @property
    def firing(self) -> FiringFace:
        """Firings recorded and corrected.

        >>> len(lab.case("W-0971").firing.all())
        2
        """
        from stainbook.faces.firing_face import FiringFace

        return FiringFace(self._lab, self.what)

    def __repr__(self) -> str:
        return f"<case {self.what}>"

    def advised(self, wish: AdviceAsked | None = None) -> AdviseResult:
        """Give where each zone stands, and its next steps in order, each with its chance.

        Raises InputError for a case that cannot be used.

        >>> zone = lab.case("W-1051").advised().cases[0].zones[0]
        >>> zone.zone, zone.verdict, round(zone.gap.dE00, 1)
        ('cervical', 'stain', 4.4)
        """
        return advised(self._lab, [self.what], wish)

    def planned(self, wish: PlanAsked | None = None, *, html: Path | None = None) -> PlanResult:
        """Plan one set of few mixes for the whole case; ``html`` is where to save it as a page to print.

        Raises InputError for a case that cannot be used.

        >>> plan = lab.case("W-1051").planned()
        >>> [one.id for one in plan.pots], [zone.zone for zone in plan.zones]
        (['Y', 'J'], ['cervical', 'middle', 'incisal'])
        """
        from stainbook.work.case.case_plan import plan_file
        from stainbook.work.sheets.plan_sheet import save_html

        result = plan_file(self._book, self.what, wish)
        if html is not None:
            save_html(result, html)
        return result

    def explain(self, zone: tuple[int, str], wish: AdviceAsked | None = None) -> ExplainResult:
        """Explain the doubt of a zone's first step by its causes; zone : (tooth, zone).

        Raises UnknownNameError for a zone that the case does not have.

        >>> lab.case("W-1051").explain((11, "middle")).causes[0].cause
        'stray light of the bare face when it was read'
        """
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
        """Give which readings to take, in which order.

        gum : so many places of each gum zone; targets : read what is aimed at too
        csv, html : where to save it to fill in and to print
        Raises InputError for a case that cannot be used.

        >>> [one.sample for one in lab.case("W-1051").sheet().rows][:2]
        ['W-1051-11-cervical', 'W-1051-11-middle']
        """
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
        """Give the bench sheet: the gap in value, chroma and hue, and the next step of each zone.

        thresholds : sets of limits by name; html : where to save it as a page to print
        Raises InputError for a case that cannot be used.

        >>> sheet = lab.case("W-1051").bench()
        >>> [(one.tooth, one.zone) for one in sheet.zones]
        [(11, 'cervical'), (11, 'middle'), (11, 'incisal')]
        """
        from stainbook.work.sheets.bench import bench, save_html

        result = bench(self._book, self.what, asked, guide=guide, readings=readings, threshold_names=thresholds)
        if html is not None:
            save_html(result, html)
        return result

    def trial(self, asked: Asked | None = None) -> TrialResult:
        """Give a trial piece as it left the lab and as it was worn, by its first and newest readings.

        Raises InputError for a case without readings.

        >>> zone = lab.case("W-0971").trial().zones[0]
        >>> zone.tooth, zone.zone, zone.readings
        (11, 'cervical', 1)
        """
        from stainbook.work.case.trial import trial

        return trial(self._book, str(self.what), asked)

    def approve_trial(self, choice: str, *, by: str, asked: Asked | None = None) -> TrialResult:
        """Make a trial piece, as it ``left`` the lab or as ``worn``, a target: tabs of the guide ``trial``.

        by : who approved it
        Raises InputError for another choice, nobody named, or a case without readings.

        >>> lab.case("W-0971").approve_trial("left", by="clinic").targets[0]
        'trial/W-0971-11/cervical'
        """
        from stainbook.work.case.trial import approve

        return approve(self._book, str(self.what), choice, by=by, asked=asked)

    def handover(self) -> DeliveryView:
        """Give how the case stands before it is delivered, and what happened so far.

        >>> lab.case("W-0979").handover().story[-1].what
        'delivered'
        """
        from stainbook.work.case.hand_desk import desk_of

        return self._kept("handover", lambda: desk_of(self._book, self.what))

    def glazed_all(self) -> RecordResult:
        """Note that the piece was glazed whole, now; raises InputError where it cannot have been.

        >>> lab.case("W-1042").glazed_all().stored
        True
        """
        from stainbook.work.firing.glazed import glazed_all

        return glazed_all(self._book, self._code)

    def accept(self, by: str) -> HandoverResult:
        """Note who accepted the case: lab, clinic or patient; raises InputError for anybody else.

        >>> lab.case("W-1042").accept("clinic").accepted_by
        'clinic'
        """
        from stainbook.work.case.delivery import accept

        return accept(self._book, self.what, by)

    def deliver(self, *, as_is: str | None = None) -> HandoverResult:
        """Note that the piece was delivered; ``as_is``: why without the finish that it names.

        Raises InputError where it cannot be: its finish is missing, stain lies on it unfired, or a zone is out of
        tolerance and nobody accepted the piece.

        >>> case = lab.case("W-0988")
        >>> case.take_return("fit").returned
        'fit'
        >>> case.deliver().stage
        'delivered'
        """
        from stainbook.work.case.delivery import deliver

        return deliver(self._book, self.what, as_is=as_is)

    def undo_received(self) -> HandoverResult:
        """Undo the newest acceptance, delivery or return; raises InputError where there is none.

        >>> lab.case("W-1003").handover().undoable
        'delivered'
        >>> print(lab.case("W-1003").undo_received().returned)
        None
        >>> print(lab.case("W-1003").handover().undoable)
        None
        """
        from stainbook.work.case.delivery import undo_received

        return undo_received(self._book, str(self.what))

    def take_return(self, reason: str) -> HandoverResult:
        """Note that the piece came back, and why; raises UnknownNameError for an unknown reason.

        >>> lab.case("W-1017").take_return("shade").returned
        'shade'
        """
        from stainbook.work.case.delivery import take_return

        return take_return(self._book, self.what, reason)

    def report_file(self, kind: str, *, annex: bool | None = None) -> bytes:
        """Give the report as one file: ``pdf`` for the clinic, the ``job`` file, ``csv`` or ``xlsx``.

        annex : the clinic's page is followed by the zones' numbers; None: as the lab has it
        Raises InputError for a case that cannot be used.

        >>> lab.case("W-0971").report_file("pdf")[:5]
        b'%PDF-'
        """
        from stainbook.work.sheets.report_files import download

        return download(self._book, self.what, kind, annex=annex)

    def report(
        self,
        wish: ReportAsked | None = None,
        *,
        pdf: Path | None,
        job: Path | None = None,
        csv: Path | None = None,
        excel: Path | None = None,
    ) -> ReportResult:
        """Save the clinic's page as PDF, ``CASE-report.pdf`` where no place is named.

        job, csv, excel : where to save the job file and the tables too
        Raises InputError for a case that cannot be used, and a place that cannot be written.

        >>> from pathlib import Path
        >>> lab.case("W-0971").report(pdf=Path("colours.pdf")).files
        {'pdf': 'colours.pdf'}
        """
        from stainbook.work.sheets import report_files as files
        from stainbook.work.sheets.case_report import report_of

        told, warnings = report_of(self._book, self.what, wish)
        saved = {"pdf": pdf or Path(files.file_name(told.case))}
        files.save_pdf(told, saved["pdf"])
        others = (("job", job, files.save_job), ("csv", csv, files.save_csv), ("excel", excel, files.save_workbook))
        for name, path, save in others:
            if path is not None:
                save(told, path)
                saved[name] = path
        return files.result_of(told, saved, warnings)

    def label(self, out: Path | None = None, *, host: str | None = None) -> LabelResult:
        """Save the label of the job tray, ``CASE-label.pdf`` where no place is named; by its ending PDF, HTML or SVG.

        host : where other devices reach the app; by default as the lab set it up
        Raises UnknownNameError for a case that the book does not know, InputError for what is no address.

        >>> from pathlib import Path
        >>> lab.case("W-1051").label(Path("tray.svg"), host="bench.local:8501").address[:33]
        'http://bench.local:8501/case?case'
        """
        from stainbook.work.sheets.case_label import save_label
        from stainbook.work.sheets.report_files import file_name

        named = file_name(self._code).replace("-report.pdf", "-label.pdf")
        return save_label(self._book, self._code, out or Path(named), host)

    def label_file(self, kind: str) -> bytes:
        """Give the label of the job tray as ``pdf``, ``html`` or ``svg``.

        >>> lab.case("W-1051").label_file("svg")[:4]
        b'<svg'
        """
        from stainbook.work.sheets.case_label import label_file, label_of

        return label_file(label_of(self._book, self._code), kind)


def planned(
    lab: LabView, cases: Sequence[str | Path], wish: PlanAsked | None = None, *, html: Path | None = None
) -> TrayResult:
    """Plan several cases for one firing, as `CaseFace.planned`.

    >>> [one.case for one in planned(lab, ["W-1051"]).cases]
    ['W-1051']
    """
    from stainbook.work.case.tray_plan import plan_tray
    from stainbook.work.sheets.tray_sheet import save_html

    result = plan_tray(lab.book, cases, wish)
    if html is not None:
        save_html(result, html)
    return result


def advised(lab: LabView, cases: Sequence[str | Path], wish: AdviceAsked | None = None) -> AdviseResult:
    """Give the next steps of several cases, as `CaseFace.advised`.

    >>> [one.case for one in advised(lab, ["W-1051"]).cases]
    ['W-1051']
    """
    from stainbook.work.case.advise import advise_files

    return advise_files(lab.book, cases, wish)
