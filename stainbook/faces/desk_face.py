"""``lab.case(code).desk``: a case worked out, and what is to be done next on it: chosen, planned, printed."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from typing import TYPE_CHECKING

from stainbook.faces.lab_view import CaseTopic, T
from stainbook.language import spoken
from stainbook.work.app.elsewhere import workers_of
from stainbook.work.app.jobs import Elsewhere, Job, Jobs
from stainbook.work.case import chosen, undo
from stainbook.work.case.before_painting import row_before_painting
from stainbook.work.case.case_desk import CaseDesk, Key, Step, open_desk, so_far
from stainbook.work.case.case_plan import PlanAsked, plan_file
from stainbook.work.case.case_views import view_gaps
from stainbook.work.case.current_case import known_case
from stainbook.work.case.views import CaseView, ZoneSeen
from stainbook.work.documents.plan_schemas import PlanResult
from stainbook.work.sheets.chosen_sheet import batch_of, bench_sheet, plan_sheet, sheet_of, weighed_plan
from stainbook.work.sheets.screen_sheet import ScreenSheet, screen_sheet

if TYPE_CHECKING:
    from stainbook.book import Book

MOST_MIXES = 10  # of a plan that is looked for
DESKS, PLANS = 6, 24  # worked-out cases and plans that are kept, the newest


class DeskFace(CaseTopic):
    """The next steps of one case; work begun by one session serves all."""

    def gaps(self) -> CaseView:
        """Give the gaps of the case alone, which need no search; raises InputError for files that cannot be used.

        >>> [round(zone.gap.dE00, 1) for zone in lab.case("W-1051").desk.gaps().advised.zones]
        [4.4, 3.4, 2.9]
        """
        return self._kept("gaps", lambda: view_gaps(self._book, self.what))

    def job(self, *, again: bool = False) -> Job[CaseDesk]:
        """Begin the work on the steps of the case, once for what the book holds; ``again`` one that was stopped.

        >>> lab.case("W-1063").desk.job().wait()
        True
        """
        book, elsewhere = self._book, self._elsewhere
        jobs: Jobs[CaseDesk] = self._lab.lasting("desks", lambda: Jobs(DESKS))
        return jobs.begun(
            self._mark(),
            lambda watch: open_desk(_held(book, elsewhere), self.what, watch),
            again=again,
            elsewhere=elsewhere,
        )

    def found(self, job: Job[CaseDesk], patience: float | None = None) -> CaseDesk:
        """Give what is worked out by now: all of it, or the gaps and the steps so far.

        patience : seconds since the work began that it may take; None waits for all
        Raises what the work raised.

        >>> desk = lab.case("W-1063").desk
        >>> [zone.verdict for zone in desk.found(desk.job()).view.advised.zones]
        ['stain', 'stain']
        """
        if (job.wait() if patience is None else job.settled(patience)) and not job.was_stopped:
            return job.result()
        return so_far(self.gaps(), job.watch.found)

    def next(self, desk: CaseDesk) -> chosen.DoneNext:
        """Give what is to be done next on each zone, by the bench's choice and else by the advice.

        >>> desk = lab.case("W-1063").desk
        >>> desk.next(desk.found(desk.job())).written[24, "cervical"]
        '1 coat of (1 part bracken + 1 part thinning liquid)'
        """
        return self._on("next", desk, lambda: chosen.done_next(self._book, desk))

    def seen(self, desk: CaseDesk, key: Key, step: Step | None) -> ZoneSeen:
        """Give what plots draw of a zone and a step.

        >>> from stainbook.faces.desk_types import step_of
        >>> desk = lab.case("W-1063").desk
        >>> found = desk.found(desk.job())
        >>> seen = desk.seen(found, (24, "middle"), step_of(found.view.advised.zones[0].moves[0]))
        >>> seen.after.name, seen.doubt.shape
        ('predicted', (3, 3))
        """
        return self._on(("seen", key, step), desk, lambda: desk.seen(key, step))

    def choose(self, desk: CaseDesk, keys: Iterable[Key], step: Step | None) -> None:
        """Store a step for zones, with what is claimed of it; None: the first of the advice again.

        Raises InputError for a step that cannot be worked out.

        >>> from stainbook.faces.desk_types import step_of
        >>> desk = lab.case("W-1063").desk
        >>> found = desk.found(desk.job())
        >>> desk.choose(found, [(24, "middle")], step_of(found.view.advised.zones[0].moves[0]))
        >>> desk.undoable().what
        'next step of 24 middle'
        """
        chosen.choose_step(self._book, desk, keys, step)

    def undoable(self) -> undo.Undo | None:
        """Give the newest choice that holds, None where there is none.

        >>> print(lab.case("W-1051").desk.undoable())
        None
        """
        return self._kept("undoable", lambda: undo.undoable_choices(self._book, self._code))

    def undo(self) -> undo.Undo | None:
        """Take the newest choice back; gives it, None where there is none.

        >>> print(lab.case("W-1051").desk.undo())
        None
        """
        return undo.undo_choices(self._book, self._code)

    def plan(self, mixes: int, *, again: bool = False) -> Job[PlanResult]:
        """Begin the work on a plan of so many mixes, once; ``again`` one that was stopped.

        >>> job = lab.case("W-1063").desk.plan(2)
        >>> job.wait(), len(job.result().pots)
        (True, 1)
        """
        book, elsewhere, wish = self._book, self._elsewhere, PlanAsked(most=mixes, trade_off=True)
        return self._plans.begun(
            (*self._mark(), mixes),
            lambda watch: plan_file(_held(book, elsewhere), self.what, wish, watch=watch),
            again=again,
            elsewhere=elsewhere,
        )

    def plan_begun(self, mixes: int) -> Job[PlanResult] | None:
        """Give the work on a plan of so many mixes, None where nobody asked for it.

        >>> print(lab.case("W-1063").desk.plan_begun(3))
        None
        """
        return self._plans.get((*self._mark(), mixes))

    def take_over(self, plan: PlanResult) -> None:
        """Choose the layers of a plan for its zones.

        >>> desk = lab.case("W-1063").desk
        >>> job = desk.plan(2)
        >>> job.wait()
        True
        >>> desk.take_over(job.result())
        >>> desk.undoable().what
        'next step of 24 cervical'
        """
        chosen.choose_plan(self._book, self._code, plan)

    def is_taken_over(self, plan: PlanResult) -> bool:
        """Whether the steps of a plan are the chosen ones of the case.

        >>> desk = lab.case("W-1063").desk
        >>> job = desk.plan(2)
        >>> job.wait(), desk.take_over(job.result()), desk.is_taken_over(job.result())
        (True, None, True)
        """
        steps = self._kept("chosen", lambda: chosen.chosen_steps(known_case(self._book, self._code).state))
        return bool(steps) and chosen.plan_steps(plan) == steps

    def sheet(self, grams: str = "", step: str = "") -> tuple[str, str]:
        """Give the bench sheet as HTML, as it stands on a page and to print.

        grams : of each mix, as typed; step : of the scale, g, as typed
        Raises InputError for what cannot be weighed.

        >>> page, print_out = lab.case("W-1063").desk.sheet("2", "0.01")
        >>> "W-1063" in print_out
        True
        """
        desk, batch = self.found(self.job()), batch_of(grams, step)
        return self._on(
            ("sheet", batch, spoken()), desk, lambda: bench_sheet(self._book, self.what, desk, self.next(desk), batch)
        )

    @property
    def _elsewhere(self) -> Elsewhere | None:
        """Who may do the searches in place of this program; None of a book in a file."""
        store = self._lab.store
        return store.lasting("workers", lambda: workers_of(store.url)).asked

    @property
    def _plans(self) -> Jobs[PlanResult]:
        return self._lab.lasting("plans", lambda: Jobs(PLANS))

    def _on(self, key: Hashable, desk: CaseDesk, make: Callable[[], T]) -> T:
        """A result of a desk, kept once the desk is whole."""
        return make() if desk.partly else self._kept((key, desk), make)

    def _mark(self) -> tuple[str, int]:
        return self._code, self._lab.kept("last change", self._book.last_change)


def _held(book: Book, elsewhere: Elsewhere | None) -> Book:
    """The book up to the row that is its newest now, where others are to read the same rows."""
    return book if elsewhere is None else book.frozen()


class SheetDeskFace(DeskFace):
    """The desk as it was before anything of what lies on the piece was painted: what the bench sheet says.

    Where nothing lies on it, as the desk is now.
    """

    @property
    def _book(self) -> Book:
        book = self._lab.book
        row = self._lab.kept(("before painting", self._code), lambda: row_before_painting(book, self._code))
        return book if row is None else book.as_of(row)

    def _mark(self) -> tuple[str, int]:
        book = self._book
        return self._code, self._lab.kept(("mark of the sheet", self._code), book.last_change)

    def planned(self) -> PlanResult | None:
        """Give the plan that was worked out for the case as it is and whose layers are all chosen; None without one.

        >>> desk = lab.case("W-1063").sheet_desk
        >>> job = desk.plan(2)
        >>> job.wait(), desk.take_over(job.result())
        (True, None)
        >>> desk.planned() is job.result()
        True
        """
        steps = self._kept("chosen", lambda: chosen.chosen_steps(known_case(self._book, self._code).state))
        for mixes in range(1, MOST_MIXES + 1) if steps else ():
            job = self.plan_begun(mixes)
            if job is not None and job.wait(0) and not job.was_stopped and chosen.plan_steps(job.result()) == steps:
                return job.result()
        return None

    def is_ready(self, patience: float) -> bool:
        """Whether the sheet is worked out; begins that where it is not. ``patience`` : seconds that it may take.

        >>> lab.case("W-1063").sheet_desk.is_ready(60)
        True
        """
        return self.planned() is not None or self.job().settled(patience)

    def sheet_plan(self, grams: str = "", step: str = "") -> PlanResult | None:
        """Give what the sheet says, mix by mix and zone by zone; None where nothing is to be done.

        A plan whose layers are chosen is the sheet, so that nothing is worked out twice.

        grams : of each mix, as typed; step : of the scale, g, as typed
        Raises InputError for what cannot be weighed.

        >>> plan = lab.case("W-1063").sheet_desk.sheet_plan()
        >>> [(zone.zone, zone.layers[0].pot) for zone in plan.zones]
        [('middle', 'Y'), ('cervical', 'Y')]
        """
        batch = batch_of(grams, step)
        plan = self.planned()
        if plan is not None:
            return weighed_plan(plan, batch)
        desk = self.found(self.job())
        return self._on(("planned", batch), desk, lambda: sheet_of(desk, self.next(desk), batch))

    def sheet(self, grams: str = "", step: str = "") -> tuple[str, str]:
        """Give the bench sheet as HTML, as `DeskFace.sheet`; of a plan whose layers are chosen that plan's.

        >>> page, print_out = lab.case("W-1063").sheet_desk.sheet("2", "0.01")
        >>> "W-1063" in print_out
        True
        """
        plan = self.planned()
        return super().sheet(grams, step) if plan is None else plan_sheet(weighed_plan(plan, batch_of(grams, step)))

    def on_screen(self, grams: str = "", step: str = "") -> ScreenSheet | None:
        """Give the sheet with its passes apart, to be ticked; None where nothing is to be painted.

        grams : of each mix, as typed; step : of the scale, g, as typed

        >>> sheet = lab.case("W-1063").sheet_desk.on_screen()
        >>> [row.keys for row in sheet.passes[0].rows]
        [((24, 'cervical'), (24, 'middle'))]
        """
        plan = self.sheet_plan(grams, step)
        return screen_sheet(plan) if plan is not None and any(zone.layers for zone in plan.zones) else None
