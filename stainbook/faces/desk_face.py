"""``lab.case(code).desk``: a case worked out, and what is to be done next on it: chosen, planned, printed."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable

from stainbook.faces.lab_view import CaseTopic, T
from stainbook.language import spoken
from stainbook.work.app.jobs import Job, Jobs
from stainbook.work.case import chosen, undo
from stainbook.work.case.case_desk import CaseDesk, Key, Step, open_desk, so_far
from stainbook.work.case.case_plan import PlanAsked, plan_file
from stainbook.work.case.case_views import view_gaps
from stainbook.work.case.views import CaseView, ZoneSeen
from stainbook.work.documents.plan_schemas import PlanResult
from stainbook.work.sheets.chosen_sheet import batch_of, bench_sheet

DESKS, PLANS = 6, 24  # worked-out cases and plans that are kept, the newest


class DeskFace(CaseTopic):
    """The next steps of one case; work begun by one session serves all."""

    def gaps(self) -> CaseView:
        """Its gaps alone, which are there at once."""
        return self._kept("gaps", lambda: view_gaps(self._book, self.what))

    def job(self, *, again: bool = False) -> Job[CaseDesk]:
        """The work on its steps, begun once for what the book holds; ``again`` one that was stopped."""
        book = self._book
        jobs: Jobs[CaseDesk] = self._lab.lasting("desks", lambda: Jobs(DESKS))
        return jobs.begun(self._mark(), lambda watch: open_desk(book, self.what, watch), again=again)

    def found(self, job: Job[CaseDesk], patience: float | None = None) -> CaseDesk:
        """What is worked out so many seconds after it began; the gaps, and the steps found by then, where not all is.

        Raises what the work raised.
        """
        if (job.wait() if patience is None else job.settled(patience)) and not job.was_stopped:
            return job.result()
        return so_far(self.gaps(), job.watch.found)

    def next(self, desk: CaseDesk) -> chosen.DoneNext:
        """What is to be done next on each zone, by what was chosen and else by the advice."""
        return self._on("next", desk, lambda: chosen.done_next(self._book, desk))

    def seen(self, desk: CaseDesk, key: Key, step: Step | None) -> ZoneSeen:
        """What plots draw of a zone and a step."""
        return self._on(("seen", key, step), desk, lambda: desk.seen(key, step))

    def choose(self, desk: CaseDesk, keys: Iterable[Key], step: Step | None) -> None:
        """Keep a step for zones, with what is claimed of it; None: the first of the advice again."""
        chosen.choose_step(self._book, desk, keys, step)

    def undoable(self) -> undo.Undo | None:
        """The newest choice that holds."""
        return self._kept("undoable", lambda: undo.undoable_choices(self._book, self._code))

    def undo(self) -> undo.Undo | None:
        """Take the newest choice back."""
        return undo.undo_choices(self._book, self._code)

    def plan(self, mixes: int, *, again: bool = False) -> Job[PlanResult]:
        """The work on a plan of so many mixes, begun once; ``again`` one that was stopped."""
        book, wish = self._book, PlanAsked(most=mixes, trade_off=True)
        return self._plans.begun(
            (*self._mark(), mixes), lambda watch: plan_file(book, self.what, wish, watch=watch), again=again
        )

    def plan_begun(self, mixes: int) -> Job[PlanResult] | None:
        """The plan of so many mixes, where it was asked for."""
        return self._plans.get((*self._mark(), mixes))

    def take_over(self, plan: PlanResult) -> None:
        """Choose the layers of a plan for its zones."""
        chosen.choose_plan(self._book, self._code, plan)

    def sheet(self, grams: str = "", step: str = "") -> tuple[str, str]:
        """The bench sheet as it stands on a page, and to print; grams of a mix and the scale's step as they are typed.

        Raises InputError for what cannot be weighed.
        """
        desk, batch = self.found(self.job()), batch_of(grams, step)
        return self._on(
            ("sheet", batch, spoken()), desk, lambda: bench_sheet(self._book, self.what, desk, self.next(desk), batch)
        )

    @property
    def _plans(self) -> Jobs[PlanResult]:
        return self._lab.lasting("plans", lambda: Jobs(PLANS))

    def _on(self, key: Hashable, desk: CaseDesk, make: Callable[[], T]) -> T:
        """A result of a desk, kept once the desk is whole."""
        return make() if desk.partly else self._kept((key, desk), make)

    def _mark(self) -> tuple[str, int]:
        return self._code, self._lab.kept("last change", self._book.last_change)
