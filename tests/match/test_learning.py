"""Hands and jars found again from outcomes of a simulated lab whose truth is known."""

import numpy as np
import pytest

from stainbook.match.fired import Fired
from stainbook.match.learning import learn
from stainbook.optics.calibrate import calibrate
from stainbook.optics.curves import Optics
from stainbook.optics.fit import FiredChip
from tests.worlds.lab import World
from tests.worlds.samples import Trial, chips, trials

FAMILIES = {"husk": "brown", "straw": "yellow", "rosehip": "pink", "slate": "grey", "lantern": "orange"}
NOISE = 0.001


@pytest.fixture(scope="module")
def world() -> World:
    return World(seed=11, stains=FAMILIES, operators=0.18, lots=0.2)


@pytest.fixture(scope="module")
def optics(world) -> Optics:
    found = chips(world)
    read = {one.sample: np.array(one.reflectance) for one in found.readings}
    fired = [
        FiredChip(
            one.chip, one.body, "zirconia", one.layers, read[one.body], "glazed", read[one.chip],
            np.diag((NOISE / read[one.chip]) ** 2 + (NOISE / read[one.body]) ** 2),
        )
        for one in found.chips
    ]  # fmt: skip
    return calibrate(fired, {one.name: one for one in found.stains}, operator="bench-1").optics


def outcome(trial: Trial, optics: Optics, **changes) -> Fired:
    made = {
        "key": trial.name,
        "reading": trial.before,
        "surface": "glazed",
        "ceramic": optics.ceramic("zirconia"),
        "layers": trial.layers,
        "after": trial.after,
        "covariance": np.diag((NOISE / trial.after) ** 2 + (NOISE / trial.before) ** 2),
        "material": "zirconia",
        "operator": trial.operator,
        "lots": trial.lots,
    }
    return Fired(**(made | changes))


@pytest.fixture(scope="module")
def outcomes(world, optics) -> list[Fired]:
    return [outcome(one, optics) for one in trials(world, 60, period=2)]


@pytest.fixture(scope="module")
def learnt(optics, outcomes):
    return learn(optics, outcomes)


def test_another_hand_is_found_within_its_doubt(world, learnt):
    truth = np.log(world.operator_factor("bench-2") / world.operator_factor("bench-1"))
    found = learnt.factors["operator", "bench-2", None]
    assert abs(found.ln - truth) < 3.0 * found.sd + 0.02  # 0.02: optics other than the world's
    assert found.sd < 0.06


def test_lots_are_found_within_their_doubt(world, learnt):
    off = []
    for stain in FAMILIES:
        found = learnt.factors["lot", "lot-2", stain]
        truth = np.log(world.lot_factor(stain, "lot-2") / world.lot_factor(stain, "chips"))
        off.append((found.ln - truth) / np.hypot(found.sd, 0.03))
    assert np.abs(off).max() < 3.0
    assert np.sqrt(np.mean(np.square(off))) < 1.6  # 1 expected; five values scatter


def test_the_order_of_outcomes_does_not_matter(optics, outcomes, learnt):
    again = learn(optics, outcomes[::-1])
    for key, factor in learnt.factors.items():
        assert again.factors[key].ln == pytest.approx(factor.ln, abs=1e-6)


def test_an_outcome_of_the_wrong_sample_is_held_back_and_teaches_nothing(world, optics, outcomes, learnt):
    wrong = outcome(trials(world, 1, period=2)[0], optics, key="wrong", after=np.full(31, 0.25))
    found = learn(optics, [*outcomes, wrong])
    assert "wrong" in found.held
    for key, factor in learnt.factors.items():
        assert found.factors[key].ln == pytest.approx(factor.ln, abs=0.02)


def test_it_counts_when_someone_has_confirmed_it(world, optics, outcomes):
    wrong = outcome(trials(world, 1, period=2)[0], optics, key="wrong", after=np.full(31, 0.25))
    assert "wrong" not in learn(optics, [*outcomes, wrong], confirmed=frozenset({"wrong"})).held


def test_few_honest_outcomes_are_held_back(learnt, outcomes):
    assert len(learnt.held) <= 0.05 * len(outcomes)


def test_without_outcomes_nothing_changes(optics):
    found = learn(optics, [])
    assert found.factors == {}
    assert found.optics is optics


def test_curves_move_little_and_their_doubt_narrows(optics, learnt):
    for name in FAMILIES:
        before, after = optics.stains[name], learnt.optics.stains[name]
        spread_before, spread_after = (np.sum(curve.factor**2) for curve in (before, after))
        assert spread_after < spread_before
