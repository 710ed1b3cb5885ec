"""Simulated labs: the physics that they must show, and that a seed gives the same lab again."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from stainbook.records import Layer, Pot
from tests.worlds.lab import World
from tests.worlds.samples import chips, trials
from tests.worlds.write import write_lab

CLEAR_COAT = (Layer(Pot.of({})),)
SMALL = {"saddle": "brown", "flour": "white", "thrift": "pink"}


def painted(stain: str, coats: int, share: float = 1.0) -> tuple[Layer, ...]:
    return (Layer(Pot.of({stain: share}), coats),)


def test_no_stain_on_a_glazed_body_is_no_change() -> None:
    world = World(1)
    body = world.body("plate-pale")
    np.testing.assert_array_equal(world.read(world.fire(body, (), ideal=True)), world.read(body))


def test_clear_glaze_is_nearly_invisible_where_one_index_runs_through() -> None:
    world = World(1)
    for name in ("plate-pale", "plate-dark"):
        body = world.body(name)
        glazed = world.read(world.fire(body, CLEAR_COAT, ideal=True))
        np.testing.assert_allclose(glazed, world.read(body), rtol=0, atol=2e-3)


@pytest.mark.parametrize("name", ["plate-pale", "plate-dark", "body-001"])
def test_glass_on_matt_zirconia_lightens(name: str) -> None:
    world = World(1, matt=True)
    body = world.body(name)
    rise = world.read(world.fire(body, CLEAR_COAT, ideal=True)) - world.read(body)
    assert rise.min() > 0.02  # design.md: bare L* 61.7 to 81.8 becomes 67.1 to 86.4
    assert rise.max() < 0.12


@pytest.mark.parametrize("matt", [False, True])
@pytest.mark.parametrize("stain", list(SMALL))
def test_more_coats_approach_hiding(matt: bool, stain: str) -> None:
    world = World(2, matt=matt, saturation=0.0, stains=SMALL)
    apart = []
    for coats in (1, 2, 4, 8, 32, 128):
        pair = [world.read(world.fire(world.body(b), painted(stain, coats), ideal=True)) for b in _PLATES]
        apart.append(float(np.abs(pair[0] - pair[1]).mean()))
    assert all(later < earlier for earlier, later in pairwise(apart))
    assert apart[-1] < 0.03


_PLATES = ("plate-pale", "plate-dark")


def test_a_dark_stain_darkens_and_white_lightens_a_dark_body() -> None:
    world = World(3)
    dark = world.body("plate-dark")
    bare = world.read(dark)
    assert (world.read(world.fire(dark, painted("flour", 1), ideal=True)) > bare).all()
    assert (world.read(world.fire(dark, painted("saddle", 1), ideal=True)) < bare).all()


def test_hand_scatters_around_the_ideal() -> None:
    world, rng = World(4, hand=0.12), np.random.default_rng(0)
    body = world.body("plate-pale")
    drawn = np.array([world.read(world.fire(body, painted("saddle", 1), rng=rng)).mean() for _ in range(200)])
    ideal = world.read(world.fire(body, painted("saddle", 1), ideal=True)).mean()
    assert drawn.mean() == pytest.approx(ideal, abs=0.004)
    effect = world.read(body).mean() - ideal
    assert 0.07 < drawn.std() / effect < 0.13  # 12 % of the amount, less because coats darken less and less


def test_no_hand_error_is_the_ideal() -> None:
    world = World(4, hand=0.0, firing=0.0)
    body = world.body("body-001")
    by_hand = world.fire(body, painted("saddle", 2), rng=np.random.default_rng(1))
    np.testing.assert_allclose(
        by_hand.reflection, world.fire(body, painted("saddle", 2), ideal=True).reflection, rtol=0, atol=1e-12
    )


def test_a_second_firing_goes_on_top_of_the_first() -> None:
    world = World(5, drag=0.0)
    body = world.body("body-002")
    below, above = painted("thrift", 1), painted("saddle", 1)
    twice = world.fire(world.fire(body, below, ideal=True), above, ideal=True)
    np.testing.assert_allclose(
        world.read(twice), world.read(world.fire(body, below + above, ideal=True)), rtol=0, atol=1e-12
    )


@pytest.mark.parametrize("matt", [False, True])
def test_fire_many_is_fire(matt: bool) -> None:
    world = World(6, matt=matt)
    body = world.body("body-003")
    candidates = [(), painted("thrift", 1), painted("saddle", 2, 0.25) + painted("flour", 1)]
    many = world.fire_many(body, candidates)
    each = [world.read(world.fire(body, layers, ideal=True)) for layers in candidates]
    np.testing.assert_array_equal(many, each)


def test_by_hand_needs_a_generator() -> None:
    world = World(6)
    with pytest.raises(ValueError, match="rng"):
        world.fire(world.body("body-003"), painted("thrift", 1))


@pytest.mark.parametrize("matt", [False, True])
def test_trials_stay_between_black_and_white(matt: bool) -> None:
    for trial in trials(World(7, matt=matt), 20, period=2, coats=3):
        for spectrum in (trial.before, trial.after, trial.ideal):
            assert 0 < spectrum.min() <= spectrum.max() < 1


@pytest.mark.parametrize(("stripes", "plates", "count"), [(7, 2, 23), (3, 1, 10), (1, 1, 4), (0, 2, 2)])
def test_chips_of_each_design(stripes: int, plates: int, count: int) -> None:
    made = chips(World(8, stains=SMALL), stripes, plates)
    assert len(made.chips) == count
    assert {r.sample for r in made.readings} == {c.chip for c in made.chips} | {c.body for c in made.chips}


def test_a_seed_gives_the_same_files_again(tmp_path: Path) -> None:
    folders = [tmp_path / name for name in ("a", "b", "c")]
    for folder, seed in zip(folders, (9, 9, 10), strict=True):
        folder.mkdir()
        write_lab(World(seed, matt=True, stains=SMALL), folder, count=2)
    texts = [(folder / "readings.csv").read_bytes() for folder in folders]
    assert texts[0] == texts[1]
    assert texts[0] != texts[2]
    assert sorted(p.name for p in folders[0].iterdir()) == ["chips.csv", "readings.csv", "stains.yaml", "trials.csv"]
