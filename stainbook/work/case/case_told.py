"""What a case is now, as the document that the commands on a case print."""

from __future__ import annotations

from stainbook.book import Book
from stainbook.book.marks import case_mark
from stainbook.work.case.current_case import CurrentCase
from stainbook.work.case.standing import read_zones
from stainbook.work.case.way import next_steps
from stainbook.work.documents.book_schemas import CaseResult, WayStepShown


def case_result(book: Book, current: CurrentCase) -> CaseResult:
    """The stage of a case, its way, what may come next, and how many of its zones were read since their last change."""
    state, case = current.state, current.case
    return CaseResult(
        case=case.case,
        id=book.case_ids().get(case.case),
        stage=state.stage,
        material=case.material,
        blank=case.blank.name if case.blank is not None else None,
        finish=case.finish,
        zones=len(case.zones),
        read=len(read_zones(case, state, current.library(book))),
        unfired=len(state.unfired),
        firings_left=state.firings_left,
        accepted_by=state.accepted_by,
        returned=state.returned,
        way=[WayStepShown(what=one.what, at=one.at, who=one.who, said=one.said) for one in state.way],
        next=list(next_steps(state)),
        mark=case_mark(state),
        warnings=list(current.warnings),
    )
