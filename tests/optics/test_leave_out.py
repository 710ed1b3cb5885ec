"""Chips that contradict the others are named, and what may have happened; chips of clean labs never are."""

from dataclasses import replace

import numpy as np
import pytest

from stainbook.optics.calibrate import calibrate
from stainbook.optics.leave_out import LeftOut, LikelyReason, likely_reason
from tests.optics.painted import SMALL, calibrated, stains_of, world_chips
from tests.worlds.lab import World
from tests.worlds.samples import chips


@pytest.fixture(scope="module", params=[False, True], ids=["glazed", "matt"])
def lab(request):
    made = chips(World(seed=21, matt=request.param, stains=SMALL))
    return {chip.name: chip for chip in world_chips(made)}, stains_of(made)


def held(lab, **changed):
    found, stains = lab
    every = found | {name.replace("_", "-"): chip for name, chip in changed.items()}
    return {one.chip: one for one in calibrate(list(every.values()), stains).held_back}


def test_a_clean_lab_holds_nothing_back(lab):
    assert held(lab) == {}


@pytest.mark.parametrize("matt", [False, True])
@pytest.mark.parametrize(("stripes", "plates"), [(7, 2), (3, 1)])
def test_no_false_alarm_in_clean_labs(matt, stripes, plates):
    """DEVELOPERS, Optics: none of 2,860 chips of forty larger labs either."""
    for seed in (30, 31):
        world = World(seed=seed, matt=matt, stains=SMALL)
        assert calibrated(world, stripes, plates).held_back == ()


@pytest.mark.parametrize(("one", "other"), [("saddle-1", "saddle-3"), ("thrift-1", "squall-1")])
def test_swapped_labels(lab, one, other):
    found, _ = lab
    crossed = {
        one.replace("-", "_"): replace(found[one], reading=found[other].reading),
        other.replace("-", "_"): replace(found[other], reading=found[one].reading),
    }
    named = held(lab, **crossed)
    assert {one, other} <= set(named)
    assert named[one].likely == LikelyReason("swapped", other)
    assert named[other].likely == LikelyReason("swapped", one)


@pytest.mark.parametrize("name", ["saddle-2", "squall-3"])
def test_a_chip_that_was_never_painted(lab, name):
    found, _ = lab
    glazed = found[f"clear-{found[name].body}"].reading
    named = held(lab, **{name.replace("-", "_"): replace(found[name], reading=glazed)})
    assert set(named) == {name}
    assert named[name].likely == LikelyReason("unstained")


@pytest.mark.parametrize("name", ["thrift-3", "squall-6"])
def test_a_reading_of_another_instrument(lab, name):
    found, _ = lab
    shifted = 1.12 * found[name].reading + 0.02
    named = held(lab, **{name.replace("-", "_"): replace(found[name], reading=shifted)})
    assert set(named) == {name}
    assert named[name].likely == LikelyReason("other")
    assert named[name].dE00 > 1.5


def test_what_was_held_back_does_not_count(lab):
    found, stains = lab
    wrong = found | {"saddle-2": replace(found["saddle-2"], reading=found["clear-plate-pale"].reading)}
    without = calibrate([chip for chip in found.values() if chip.name != "saddle-2"], stains).optics
    despite = calibrate(list(wrong.values()), stains).optics
    for name, curve in without.stains.items():
        np.testing.assert_allclose(despite.stains[name].mean, curve.mean, rtol=0, atol=0.01)
    assert despite.pooled.hand == pytest.approx(without.pooled.hand, abs=0.003)


def test_each_chip_has_an_error_from_the_others(lab):
    found, stains = lab
    left_out = calibrate(list(found.values()), stains).left_out
    assert set(left_out) == set(found)
    assert 0.0 < np.median([one.dE00 for one in left_out.values()]) < 2.0
    distances = [one.distance for name, one in left_out.items() if not name.startswith("clear")]
    assert 0.5 < np.mean(distances) < 6.0  # three degrees of freedom


# ---------------------------------------------------------------- reasons


def left(chip, expected, read):
    return LeftOut(chip, 9.0, 99.0, expected, read)


def test_reasons():
    grey = np.full(31, 0.5)
    one, other = left("a", (60.0, 5.0, 5.0), (40.0, 1.0, 9.0)), left("b", (40.0, 1.0, 9.0), (60.0, 5.0, 5.0))
    assert likely_reason(one, grey, [one, other]) == LikelyReason("swapped", "b")
    assert likely_reason(one, grey, [one]) == LikelyReason("other")
    bare = left("c", (60.0, 5.0, 5.0), (76.07, 0.0, 0.0))
    assert likely_reason(bare, grey, [bare]) == LikelyReason("unstained")


def test_what_no_eye_sees_is_never_held_against_a_chip():
    assert not LeftOut("a", 1.0, 500.0, (50, 0, 0), (50, 0, 1)).contradicts
    assert not LeftOut("a", 5.0, 10.0, (50, 0, 0), (50, 0, 5)).contradicts
    assert LeftOut("a", 5.0, 30.0, (50, 0, 0), (50, 0, 5)).contradicts
