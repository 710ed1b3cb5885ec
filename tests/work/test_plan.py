"""The plan of a case file: mixes with letters, layers by letter, weights, and what cannot be asked for."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from stainbook.book import open_book
from stainbook.colour import delta_e_2000
from stainbook.errors import InputError, UnknownNameError
from stainbook.files import read_guide
from stainbook.match import advise_case
from stainbook.work.case.case_plan import PlanAsked, plan_file
from stainbook.work.case.current_case import known_case
from stainbook.work.case.open_case import open_file
from stainbook.work.case.problems import AdviceAsked, prepare_case
from stainbook.work.case.tray_plan import plan_tray
from stainbook.work.documents.printed import page_of
from stainbook.work.firing.record import record_files
from stainbook.work.lab.standing_mixes import load_mixes
from stainbook.work.sheets.plan_sheet import expected
from stainbook.work.sheets.seen_lights import HEADS, light_rows, piece_in_lights
from stainbook.work.sheets.tray_sheet import tray_content
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from tests.cli.console import RECIPES, write

STAINS = ("barley", "kettle", "garnet", "clear")
CASE = RECIPES / "W-1051.yaml"


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    """A book that knows three stains of the demonstration lab and its clear glaze."""
    folder = tmp_path_factory.mktemp("book")
    lines = (RECIPES / "chips.csv").read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if line.startswith(("#", "chip,")) or any(f",{one}," in line for one in STAINS)]
    files = ChipFiles(write(folder / "chips.csv", *kept), RECIPES / "readings.csv", RECIPES / "stains.yaml")
    with open_book(f"sqlite:///{folder / 'lab.db'}") as found:
        found.add_guide(read_guide(RECIPES / "guide.csv").records)
        calibrate_files(found, files)
        yield found


@pytest.fixture
def case(tmp_path):
    """The front tooth, with the stains of the book alone."""
    text = CASE.read_text(encoding="utf-8").replace("file: ", f"file: {RECIPES}/")
    limits = "limits: {layers: 2, coats: 2, pots: 3, strengths: [1/8, 1/4, 1/2], stains: [barley, kettle, garnet]}"
    lines = [line for line in text.splitlines() if not line.startswith("limits:")]
    return write(tmp_path / "case.yaml", *lines, limits)


def test_layers_name_mixes_of_the_palette(book, case):
    found = plan_file(book, case, PlanAsked(trade_off=True))
    ids = [one.id for one in found.pots]
    assert ids == ["Y", "J", "U"][: len(ids)]
    assert {layer.pot for zone in found.zones for layer in zone.layers} == set(ids)
    assert [(zone.tooth, zone.zone) for zone in found.zones] == [(11, "cervical"), (11, "middle"), (11, "incisal")]
    assert found.accept is not None
    assert 0.0 <= found.accept <= min(zone.accept for zone in found.zones)
    assert found.trade_off[0].mixes == 1
    assert found.unlimited is not None
    assert found.unlimited.mixes >= len(ids)


def test_weights_and_a_scale_that_is_too_coarse(book, case):
    fine = plan_file(book, case, PlanAsked(most=1, grams=2.0, scale_step=0.01))
    assert fine.pots[0].weighed is not None
    assert sum(fine.pots[0].weighed.grams.values()) == pytest.approx(2.0, abs=0.2)
    coarse = plan_file(book, case, PlanAsked(most=1, grams=0.5, scale_step=0.1))
    assert any("mix Y" in line and "or more" in line for line in coarse.warnings)


@pytest.mark.parametrize("most", [0, 27])
def test_mixes_have_a_letter_each(book, case, most):
    with pytest.raises(InputError, match="expected 1 to 26"):
        plan_file(book, case, PlanAsked(most=most))


def test_a_bonded_piece_is_not_fired(book, case):
    text = case.read_text(encoding="utf-8").replace("stage: blasted", "stage: bonded")
    found = plan_file(book, write(case.with_name("bonded.yaml"), text))
    assert found.pots == []
    assert found.accept is None
    assert {zone.verdict for zone in found.zones} == {"no firing"}


def test_a_zone_like_another_keeps_its_wider_doubt_beside_it(book, case):
    like = "  - {tooth: 21, zone: middle, like: {tooth: 11, zone: middle}}"
    lines = case.read_text(encoding="utf-8").splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("operator:"))
    ready = prepare_case(book, write(case.with_name("like.yaml"), *lines[:at], like, *lines[at:]), AdviceAsked())
    own, copy = ready.problems[1], ready.problems[3]
    assert own.now.name != copy.now.name  # errors that are not the same
    alone, beside = (advise_case(ready.bench, some, stage="blasted").zones[-1] for some in ([copy], [own, copy]))
    here, there = ({one.layers: one.dE00 for one in zone.moves} for zone in (alone, beside))
    both = here.keys() & there.keys()
    assert len(both) >= 3
    assert [here[layers] for layers in both] == pytest.approx([there[layers] for layers in both], abs=1e-9)


# ---------------------------------------------------------------- standing mixes, limits, a tray


def test_a_standing_mix_goes_by_its_own_name_and_needs_no_weighing(book, case, tmp_path):
    mixes = write(
        tmp_path / "mixes.yaml",
        "- {mix: house-neck, pot: {barley: 1/4, kettle: 1/8}}",
        "- {mix: A, pot: {garnet: 1/8}}",
    )
    assert [one.mix for one in load_mixes(book, mixes).mixes] == ["house-neck", "A"]
    found = plan_file(book, case)
    stock = {one.id: one for one in found.pots if one.stock}
    assert set(stock) <= {"house-neck", "A"}
    assert "house-neck" in stock
    assert all(one.dilution is None for one in stock.values())
    assert len({one.id for one in found.pots}) == len(found.pots)
    alone = plan_file(book, case, PlanAsked(at_hand=True))
    assert {one.id for one in alone.pots} <= {"house-neck", "A"}
    assert alone.pots
    assert all(len(zone.layers) <= 1 for zone in alone.zones)
    assert (alone.within_reach.minutes, alone.at_hand.minutes) == (0.0, 0.0)
    assert "weigh" not in expected(alone)
    assert "standing mixes in one pass spare the" in expected(found) or not found.within_reach.minutes
    with pytest.raises(UnknownNameError, match="nothing-like-it"):
        load_mixes(book, write(tmp_path / "other.yaml", "- {mix: one, pot: {nothing-like-it: 1/8}}"))
    keep = book.settings()
    with book.transaction() as step:
        step.add_settings(replace(keep, mixes=()))
    with pytest.raises(InputError, match="`stainbook mixes` takes them"):
        plan_file(book, case, PlanAsked(at_hand=True))


def test_a_case_says_what_is_expected_and_what_holds_it_back(book, case):
    found = plan_file(book, case, PlanAsked(most=1))
    assert found.zones_counted == 3
    assert found.expected_in_tolerance == pytest.approx(sum(zone.accept for zone in found.zones))
    assert found.one_more is None or found.one_more.mixes == 2
    least = sorted(zone.accept for zone in found.zones if zone.accept < 0.9)[:2]
    assert [one.accept for one in found.holding_back] == pytest.approx(least)
    assert all(one.helps for one in found.holding_back)


@pytest.mark.parametrize(
    ("stage", "stains", "wrong"),
    [("blasted", "[bracken]", "liquids that soak in before sintering"), ("green", "[barley]", "limits: later: stains")],
)
def test_stains_of_the_wrong_kind_are_refused_in_one_line(book, case, stage, stains, wrong):
    text = case.read_text(encoding="utf-8").replace("[barley, kettle, garnet]", stains)
    path = write(
        case.with_name("wrong.yaml"), text.replace("stage: blasted", f"stage: {stage}").replace("now:", "x-now:")
    )
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if "x-now" not in line]
    with pytest.raises(InputError, match=wrong):
        plan_file(book, write(path, *lines))


@pytest.mark.parametrize(
    ("limits", "stains", "says"),
    [
        ("firings_left: 0", "[barley]", "firings_left of 1 or more"),
        ("firings_left: 1", "[]", "one among the lab's stains"),
        ("firings_left: 1", "[barley]", "most firings that its maker allows"),
    ],
)
def test_limits_that_leave_nothing_say_in_one_line_what_would_do(book, case, tmp_path, limits, stains, says):
    text = case.read_text(encoding="utf-8").replace("[barley, kettle, garnet]", stains)
    text = text.replace("limits: {", f"limits: {{{limits}, ").replace("    zone: ", "    fired: 1\n    zone: ")
    most = 1 if "maker" in says else 9
    own = write(tmp_path / "stains.yaml", f"- {{name: barley, kind: surface, family: yellow, max_firings: {most}}}")
    found = plan_file(book, write(case.with_name("nothing.yaml"), text), PlanAsked(AdviceAsked(stains=own)))
    assert found.pots == []
    assert len([line for line in found.warnings if says in line]) == 1
    assert not [layer for zone in found.zones for layer in zone.layers]


@pytest.mark.parametrize("limits", ["coats: 0", "layers: 0", "pots: 0", "strengths: []"])
def test_limits_of_nothing_are_refused_by_name(book, case, limits):
    text = case.read_text(encoding="utf-8")
    head = text[: text.index("limits:")]
    with pytest.raises(InputError, match=rf"limits.{limits.split(':')[0]}.*expected"):
        plan_file(book, write(case.with_name("none.yaml"), head + f"limits: {{{limits}}}"))


def test_a_light_that_is_none_is_refused_and_lights_are_told_zone_by_zone(book, case):
    text = case.read_text(encoding="utf-8")
    with pytest.raises(InputError, match="the light 'Q9'"):
        plan_file(book, write(case.with_name("dark.yaml"), text + "\nlights: [Q9]"))
    found = plan_file(book, write(case.with_name("lights.yaml"), text + "\nlights: [D65, A, F11]"))
    for zone in found.zones:
        assert [one.illuminant for one in zone.lights] == ["D65", "A", "F11"]
        known = [one for one in zone.lights if one.accept is not None]
        assert zone.accept <= min(one.accept for one in known) + 1e-9
        for one in known:
            pair = [delta_e_2000(*((seen.L, seen.a, seen.b) for seen in (one.expected, one.target)))]
            assert pair[0] <= one.dE00 + 0.5  # of the likeliest colour; dE00 is expected over all doubt
            assert {seen.illuminant for seen in (one.now, one.expected, one.target)} == {one.illuminant}
        under = {one.illuminant: one for one in known}
        if "A" in under:
            assert (under["A"].target.a, under["A"].target.b) != (under["D65"].target.a, under["D65"].target.b)
        assert under["D65"].expected == zone.colour
    rows = light_rows({(zone.tooth, zone.zone): zone.lights for zone in found.zones})
    assert len(rows) == 9
    assert "lamp light (CIE A)" in {row[1] for row in rows}
    assert all(len(row) == len(HEADS) for row in rows)
    lines = list(piece_in_lights({(zone.tooth, zone.zone): zone.lights for zone in found.zones}))
    assert lines[0].startswith("daylight (CIE D65): ")
    assert lines[0].endswith("zones expected in tolerance")


def test_a_tray_shares_its_mixes_and_tells_each_case_apart(book, case):
    other = write(case.with_name("second.yaml"), case.read_text(encoding="utf-8").replace("W-1051", "W-1099", 1))
    found = plan_tray(book, [case, other], PlanAsked(most=3))
    ids = {one.id for one in found.pots}
    assert len(ids) <= 3
    assert [len(one.zones) for one in found.cases] == [3, 3]
    assert all({layer.pot for zone in one.zones for layer in zone.layers} <= ids for one in found.cases)
    assert all({pot.id for pot in one.pots} <= ids for one in found.cases)
    said = page_of(tray_content(found))
    assert all(code in said for code in ("W-1051", "W-1099", "Mix first"))
    with pytest.raises(InputError, match="twice"):
        plan_tray(book, [case, case])
    bonded = write(
        case.with_name("bonded.yaml"), other.read_text(encoding="utf-8").replace("stage: blasted", "stage: stained")
    )
    with pytest.raises(InputError, match="share it"):
        plan_tray(book, [case, bonded])


def test_the_plan_of_a_tray_is_recorded_for_each_of_its_pieces(book, case, tmp_path):
    """As printed, with the time and the furnace once; each piece holds its own layers, all under one run."""
    with open_book(f"sqlite:///{tmp_path / 'own.db'}") as own:
        own.add_guide(read_guide(RECIPES / "guide.csv").records)
        stripes = RECIPES / "chips.csv"
        calibrate_files(own, ChipFiles(stripes, RECIPES / "readings.csv", RECIPES / "stains.yaml"))
        text = case.read_text(encoding="utf-8")
        codes = ("W-7001", "W-7002")
        files = [write(case.with_name(f"{code}.yaml"), text.replace("W-1051", code, 1)) for code in codes]
        tray = plan_tray(own, files, PlanAsked(most=3))
        for path in files:
            open_file(own, path)
        told = {**tray.model_dump(mode="json"), "fired_at": "2026-03-02T10:40:00Z", "furnace": "two"}
        outcome = write(tmp_path / "tray.json", json.dumps(told))
        found = record_files(own, [outcome])
        assert found.stored
        painted = {
            (planned.case, zone.tooth, zone.zone): [layer.pot for layer in zone.painted]
            for planned in tray.cases
            for zone in planned.zones
            if zone.painted
        }
        assert {key[0] for key in painted} == set(codes)
        firings = {firing.case: firing for firing in own.firings()}
        assert set(firings) == set(codes)
        assert len({firing.run for firing in firings.values()}) == 1
        assert all(firing.run and firing.furnace == "two" for firing in firings.values())
        held = {
            (one.case, one.tooth, one.zone): [layer.pot.as_dict() for layer in one.layers]
            for code in codes
            for one in own.outcomes_of(code)
            if one.layers
        }
        assert held == painted
        assert record_files(own, [outcome]).stored is False
        assert all(known_case(own, code).state.stage == "stained" for code in codes)


def test_an_arch_goes_alone(book, case):
    teeth = "\n".join(f"  - {{tooth: {tooth}, zone: middle}}" for tooth in (15, 14, 13, 12, 21, 22, 23))
    lines = case.read_text(encoding="utf-8").splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("operator:"))
    arch = write(case.with_name("arch.yaml"), *lines[:at], teeth, *lines[at:])
    with pytest.raises(InputError, match="an arch: it goes alone"):
        plan_tray(book, [arch, case])
