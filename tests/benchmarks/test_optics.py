"""Layers, calibration and forecasts; layers beside the same streams by doubling and beside two-flux theory."""

from __future__ import annotations

import numpy as np
import pytest

from stainbook.optics.calibrate import calibrate
from stainbook.optics.film import Piece
from stainbook.optics.forecast import forecast
from stainbook.optics.streams import lambertian, lay_on, seen_outside, slab
from tests.optics import kubelka_munk as km
from tests.optics.painted import layer, stains_of, world_chips
from tests.optics.reference import as_arrays, slab_by_doubling
from tests.worlds.lab import World
from tests.worlds.samples import chips

SLABS = (1000, 31)


@pytest.fixture(scope="module")
def amounts():
    return tuple(np.random.default_rng(1).uniform(0.0, 1.0, (2, *SLABS)))


@pytest.fixture(scope="module")
def lab():
    made = chips(World(seed=5, matt=True))
    return made, world_chips(made)


@pytest.fixture(scope="module")
def optics(lab):
    return calibrate(lab[1], stains_of(lab[0])).optics


@pytest.mark.benchmark(group="31,000 slabs")
def test_slabs_closed_form(benchmark, amounts):
    R, _ = benchmark(slab, *amounts)
    assert np.broadcast(*R).shape == SLABS


@pytest.mark.benchmark(group="31,000 slabs")
def test_slabs_by_doubling(benchmark, amounts):
    R, _ = benchmark.pedantic(slab_by_doubling, amounts, rounds=3, warmup_rounds=1)
    np.testing.assert_allclose(R, as_arrays(slab(*amounts)[0]), rtol=0, atol=1e-5)


@pytest.mark.benchmark(group="31,000 slabs")
def test_slabs_of_two_fluxes(benchmark, amounts):
    R, _ = benchmark(km.slab, *amounts)
    assert R.shape == SLABS


@pytest.mark.benchmark(group="31,000 readings of a slab on a body")
def test_readings(benchmark, amounts):
    base = lambertian(np.full(SLABS, 0.8))
    R = benchmark(lambda: seen_outside(lay_on(*slab(*amounts), base)))
    assert R.shape == SLABS


@pytest.mark.benchmark(group="calibration")
def test_calibration_of_14_stains_with_7_chips(benchmark, lab):
    found = benchmark.pedantic(calibrate, (lab[1], stains_of(lab[0])), rounds=3, warmup_rounds=1)
    assert len(found.optics.stains) == 15


@pytest.mark.benchmark(group="forecast")
@pytest.mark.parametrize("count", [1, 64])
def test_forecast(benchmark, optics, count):
    ceramic = optics.ceramic("zirconia")
    piece = Piece(np.linspace(0.3, 0.6, 31), "matt", ceramic.stray, ceramic)
    names = sorted(set(optics.stains) - {"clear"})
    stacks = [
        (layer(**{names[i % 14]: 0.25, names[(i + 3) % 14]: 0.125}), layer(2, **{names[(i + 5) % 14]: 0.5}))
        for i in range(count)
    ]
    found = benchmark(forecast, optics, piece, stacks)
    assert len(found) == count
