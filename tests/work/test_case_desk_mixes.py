"""A case on the desk: its spectra, mixes tried by hand, what is chosen and kept, and the sheet of it."""

import shutil
from dataclasses import replace
from threading import Event
from time import monotonic

import numpy as np
import pytest

from stainbook.book import open_book
from stainbook.book.events import Event as Entry
from stainbook.book.fold import fold
from stainbook.colour import delta_e_2000, spectrum_to_lab
from stainbook.errors import BookError, InputError, StoppedError
from stainbook.kept import Choice, Firing
from stainbook.match import Watch
from stainbook.records import Layer, Pot
from stainbook.words.chances import chance
from stainbook.work.app.demo import make_demo_book
from stainbook.work.app.jobs import Job, Jobs
from stainbook.work.app.shipped import shipped
from stainbook.work.case import case_desk
from stainbook.work.case.case_desk import Step, open_desk, so_far, step_of
from stainbook.work.case.case_plan import PlanAsked, mix_shown, plan_file
from stainbook.work.case.case_views import view_gaps
from stainbook.work.case.chosen import (
    DoneNext,
    choose,
    choose_plan,
    chosen_steps,
    claims_of,
    done_next,
    done_with,
    mixes_used,
    moves_of,
    plan_steps,
    whole_chance,
)
from stainbook.work.case.current_case import known_case
from stainbook.work.case.library import Library
from stainbook.work.case.views import ellipse, lab_of
from stainbook.work.case.zone_paths import zone_paths
from stainbook.work.case.zones import zone_colours
from stainbook.work.firing.results import ZoneResult, note_painted
from stainbook.work.sheets.bench import bench
from stainbook.work.sheets.chosen_sheet import MixAmount, batch_of, bench_sheet, sheet_of
from tests.book.worked import outcome

MIDDLE = (11, "middle")
PEAT = Step("add", (Layer(Pot.of({"peat": 0.125}), 2),))


CASE = "W-1051"


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    with open_book(make_demo_book(tmp_path_factory.mktemp("book"))) as found:
        yield found


@pytest.fixture(scope="module")
def desk(book):
    return open_desk(book, CASE, Watch())


def test_every_move_has_its_spectrum_its_doubt_and_its_colour(desk):
    for zone in desk.view.advised.zones:
        for move in zone.moves:
            seen = desk.seen((zone.tooth, zone.zone), step_of(move))
            for curve in (seen.now, seen.after):
                low, middle, high = (np.array(one) for one in (curve.low, curve.reflectance, curve.high))
                assert np.all((low < middle) & (middle < high))
            lab = spectrum_to_lab(
                np.array(seen.after.reflectance), seen.after.wavelengths, illuminant="D65", observer=10
            )
            assert delta_e_2000(lab, lab_of(move.colour)) < 0.05  # the same forecast, by another way
    assert desk.seen((11, "incisal"), None).target is None  # written into the case as L*a*b*
    assert desk.seen(MIDDLE, None).target is not None


def test_nine_of_ten_draws_lie_in_the_ellipse(desk):
    zone = next(one for one in desk.view.advised.zones if (one.tooth, one.zone) == MIDDLE)
    doubt = desk.seen(MIDDLE, step_of(zone.moves[0])).doubt
    lab = lab_of(zone.moves[0].colour)
    draws = np.random.default_rng(3).multivariate_normal(lab, doubt, 4000)
    for plane, seen in (
        ("ab", draws[:, 1:]),
        ("LC", np.column_stack([np.hypot(draws[:, 1], draws[:, 2]), draws[:, 0]])),
    ):
        around = ellipse(lab, doubt, plane=plane)
        middle = around[:-1].mean(axis=0)
        angles = np.arctan2(*(around - middle).T[::-1])
        radii = np.linalg.norm(around - middle, axis=1)
        order = np.argsort(angles)
        out = seen - middle
        limit = np.interp(np.arctan2(*out.T[::-1]), angles[order], radii[order], period=2 * np.pi)
        assert np.mean(np.linalg.norm(out, axis=1) < limit) == pytest.approx(0.9, abs=0.03)  # 4000 draws: ± 0.01


def test_a_mix_by_hand_is_told_as_a_move_is_and_kept_until_the_firing(desk, book):
    move = desk.lay({MIDDLE: PEAT})[MIDDLE]
    assert [(layer.pot, layer.coats) for layer in move.layers] == [({"peat": 0.125}, 2)]
    assert move.dE00_p05 <= move.dE00 <= move.dE00_p95
    choose(book, CASE, {MIDDLE: PEAT}, claims=claims_of(desk, {MIDDLE: move}))
    (kept,) = book.choices(CASE).values()
    assert (kept.claim.accept, kept.claim.dE00, kept.claim.shown) == (move.accept, move.dE00, True)
    steps = chosen(book)
    assert steps == {MIDDLE: PEAT}
    moves = moves_of(desk, steps)
    assert moves[MIDDLE] == move
    assert moves[11, "cervical"] == desk.view.advised.zones[0].moves[0]
    choose(book, CASE, {MIDDLE: None})
    assert chosen(book) == {}


def test_a_choice_holds_for_the_standing_that_it_was_made_for(book):
    choose(book, CASE, {MIDDLE: PEAT})
    state = known_case(book, CASE).state
    assert chosen_steps(state) == {MIDDLE: PEAT}
    fired = Entry("fired", "2026-12-01T10:00:00Z", Firing(CASE, "2026-12-01T10:00:00Z", kind="stain"), kind="stain")
    assert chosen_steps(fold([*book.events(CASE), fired])) == {}  # another piece by then
    choose(book, CASE, {MIDDLE: None})


def test_a_chance_that_moved_since_the_choice_is_told_then_and_now(desk, book):
    """Law 2: nothing happened to the piece, so the choice holds; what was learnt since moved the chance."""
    now = desk.lay({MIDDLE: PEAT})[MIDDLE].accept
    near, far = (replace(claims_of(desk, desk.lay({MIDDLE: PEAT}))[MIDDLE], accept=one) for one in (now, now + 0.5))
    choose(book, CASE, {MIDDLE: PEAT}, claims={MIDDLE: near})
    assert "when it was chosen" not in bench_sheet(book, CASE, desk, done_next(book, desk))[1]
    choose(book, CASE, {MIDDLE: PEAT}, claims={MIDDLE: far})
    line = f"Chance when it was chosen {chance(now + 0.5)}, now {chance(now)}: 11 middle."
    assert all(line in one for one in bench_sheet(book, CASE, desk, done_next(book, desk)))  # on the page and printed
    assert line in bench(book, CASE).warnings
    choose(book, CASE, {MIDDLE: None})


def chosen(book):
    return chosen_steps(known_case(book, CASE).state)


def test_the_first_steps_together_have_the_odds_of_the_advice(desk):
    found = whole_chance(desk, moves_of(desk, {}))
    assert found[0] == pytest.approx(desk.view.advised.accept, abs=1e-9)
    worse = whole_chance(desk, moves_of(desk, {MIDDLE: Step("add", (Layer(Pot.of({"saddle": 1.0}), 3),))}))
    assert worse[0] < 0.05


def test_what_was_tried_is_told_also_when_it_was_let_go(desk, monkeypatch):
    first, second = (Step("add", (Layer(Pot.of({"saddle": share, "clear": 1.0 - share}), 1),)) for share in (0.5, 0.25))
    (alone,) = desk.lay({MIDDLE: first}).values()
    other = next(key for one in desk.view.advised.zones if (key := (one.tooth, one.zone)) != MIDDLE)
    monkeypatch.setattr(case_desk, "_KEPT", 0)
    assert desk.lay({MIDDLE: first, other: second})[MIDDLE] == alone


def test_a_zone_that_waits_for_another_blank_counts_by_the_best_without_one(desk):
    zone = next(one for one in desk.view.advised.zones if (one.tooth, one.zone) == MIDDLE)
    moves = moves_of(desk, {})
    elsewhere = {**moves, MIDDLE: zone.moves[0].model_copy(update={"kind": "remake", "body": "stile"})}
    assert whole_chance(desk, elsewhere) == pytest.approx(whole_chance(desk, moves), abs=1e-9)
    only = {MIDDLE: elsewhere[MIDDLE]}
    assert mixes_used(only.values()) == 0
    sheet = sheet_of(desk, DoneNext({}, only, 0, None, None))
    assert sheet.pots == []
    assert sheet.warnings == ["Remake on the blank stile."]


def test_a_plan_becomes_steps_that_record_takes_and_a_sheet(desk, book):
    plan = plan_file(book, CASE, PlanAsked(most=2), watch=Watch())
    ids = {pot.id: pot.pot for pot in plan.pots}
    for zone in plan.zones:
        assert [(one.pot, one.coats) for one in zone.painted] == [(ids[one.pot], one.coats) for one in zone.layers]
        assert zone.accept_unlimited >= zone.accept
    sheet = sheet_of(desk, done_with(desk, plan_steps(plan)), MixAmount(2.0, 0.01))
    assert sorted(one.id for one in sheet.pots) == sorted(one.id for one in plan.pots)
    assert sheet.within_reach.accept == pytest.approx(plan.within_reach.accept, abs=1e-9)
    assert all(sum(one.weighed.grams.values()) >= 1.9 for one in sheet.pots)
    on_page, printed = bench_sheet(book, CASE, desk, done_with(desk, plan_steps(plan)))
    assert on_page in printed
    assert printed.index("Mix first") < printed.index("<h2>First layers") < printed.index("Extraction")
    assert "12pt" not in printed
    choose_plan(book, CASE, plan)
    assert {key: one.claim.accept for key, one in book.choices(CASE).items()} == {
        (zone.tooth, zone.zone): zone.accept for zone in plan.zones
    }
    assert done_next(book, desk).moved == ()
    claims = {MIDDLE: replace(book.choices(CASE)[MIDDLE].claim, accept=0.0)}
    choose(book, CASE, {MIDDLE: plan_steps(plan)[MIDDLE]}, claims=claims)
    moved = done_next(book, desk).moved
    assert moved
    assert set(moved) <= set(plan_file(book, CASE, PlanAsked(most=2)).warnings)
    choose(book, CASE, dict.fromkeys(plan_steps(plan)))


def test_a_standing_mix_goes_by_its_own_name_on_the_sheet_of_chosen_steps(desk):
    own, fresh = PEAT.layers[0].pot, Pot.of({"peat": 0.125, "saddle": 0.25})
    bench = replace(desk.detail.prepared.bench, stock={"Y": own})
    stocked = replace(desk, detail=replace(desk.detail, prepared=replace(desk.detail.prepared, bench=bench)))
    other = next(key for one in desk.view.advised.zones if (key := (one.tooth, one.zone)) != MIDDLE)
    steps = {MIDDLE: PEAT, other: Step("add", (Layer(own, 1), Layer(fresh, 1)))}
    sheet = sheet_of(stocked, done_with(stocked, steps))
    by_pot = {tuple(one.pot.items()): one for one in sheet.pots}
    assert (by_pot[own.shares].id, by_pot[own.shares].stock) == ("Y", True)
    assert not by_pot[fresh.shares].stock
    assert len({one.id for one in sheet.pots}) == len(sheet.pots)  # no second mix Y
    assert by_pot[fresh.shares].dilution == plan_pot(fresh, bench.stock).dilution
    painted = {(zone.tooth, zone.zone): zone.layers for zone in sheet.zones}
    assert [one.pot for one in painted[MIDDLE]] == ["Y"]


def plan_pot(pot, stock):
    return mix_shown(pot, "J", 1, stock, liquid=False, grams=None, scale_step=0.01)


def test_a_batch_is_typed_with_point_or_comma():
    assert batch_of("2,5", "0.01") == MixAmount(2.5, 0.01)
    assert batch_of(" ", "0.01") is None
    with pytest.raises(InputError, match="found two, expected grams"):
        batch_of("two", "0.01")


def test_a_book_without_stains_has_gaps_and_a_sheet_of_them(tmp_path):
    case = shutil.copytree(shipped("recipes"), tmp_path / "lab") / "W-1051.yaml"
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as empty:
        desk = open_desk(empty, case, Watch())
        assert desk.offer is None
        assert desk.lay({MIDDLE: PEAT}) == {}
        assert whole_chance(desk, {}) is None
        assert "too" in bench_sheet(empty, case, desk, done_with(desk, {}))[0]


def test_what_was_found_before_the_stop_is_shown(book):
    class Last(Watch):
        def step(self, doing, done, of):
            super().step(doing, done, of)
            if self.found:
                self.stop()

        def leave(self, found):
            super().leave(found)
            self.stop()
            self.go_on()

    watch = Last()
    with pytest.raises(StoppedError):
        open_desk(book, CASE, watch)
    view = so_far(view_gaps(book, CASE), watch.found).view
    assert all(zone.moves for zone in view.advised.zones)
    assert view.advised.accept is None


def test_a_job_is_begun_once_stopped_and_begun_again():
    started, jobs = [], Jobs(2)

    def work(watch):
        started.append(watch)
        end = monotonic() + 20
        while monotonic() < end:
            watch.step("search", len(started), 2)
            Event().wait(0.005)

    first = jobs.begun("a", work)
    assert jobs.begun("a", work) is first
    first.stop()
    assert first.wait(10)
    assert first.was_stopped
    with pytest.raises(StoppedError):
        first.result()
    assert jobs.begun("a", work) is first
    again = jobs.begun("a", work, again=True)
    assert again is not first
    jobs.clear()
    assert again.wait(10)
    assert Job(lambda watch: 7).result() == 7


def test_what_went_wrong_is_told_once_and_then_tried_again():
    answers, jobs = [BookError("another writes to the book"), 7], Jobs(2)

    def work(watch):
        answer = answers.pop(0)
        if isinstance(answer, BookError):
            raise answer
        return answer

    first = jobs.begun("a", work)
    assert first.wait(10)
    assert jobs.begun("a", work) is jobs.get("a") is first  # it was not told yet
    with pytest.raises(BookError):
        first.result()
    assert jobs.get("a") is None
    assert jobs.begun("a", work).result() == 7


def test_outcomes_are_the_way_of_a_zone(book):
    case = view_gaps(book, CASE).case
    book.add_outcomes([outcome(CASE, 11)])
    found = zone_paths(book, CASE, zone_colours(case, Library(book)))
    assert [point.measured for point in found[11, "cervical"]][-1]


def test_the_command_bench_shows_the_step_that_was_chosen(book):
    """Law 6: the sheet of the page and the command say one step of a zone."""
    choose(book, CASE, {MIDDLE: PEAT})
    row = next(one for one in bench(book, CASE).zones if (one.tooth, one.zone) == MIDDLE)
    choose(book, CASE, {MIDDLE: None})
    assert row.step == "2 coats of (1 part peat + 7 parts clear)"


def test_a_step_chosen_in_an_old_book_is_not_shown_over_paint_that_lies_unfired(book):
    """It names no standing; coats of it on what is painted already would spoil the piece."""
    book.add_choices([Choice(CASE, *MIDDLE, kind="add", layers=PEAT.layers)])
    assert chosen(book) == {MIDDLE: PEAT}
    note_painted(book, CASE, [ZoneResult(*MIDDLE, "1 part peat + 7 parts clear")])
    row = next(one for one in bench(book, CASE).zones if (one.tooth, one.zone) == MIDDLE)
    assert chosen(book) == {}
    assert "not fired yet" in row.step
    note_painted(book, CASE, [])
    choose(book, CASE, {MIDDLE: None})
