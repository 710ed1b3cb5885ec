"""Advice against stains, zones, shares, coats and layers; learnt optics stand in for chips."""

from __future__ import annotations

import numpy as np
import pytest

from stainbook.colour import thresholds
from stainbook.match import Bench, Start, ZoneProblem, advise_case
from stainbook.optics.ceramic import Ceramic
from stainbook.optics.curves import SIZE, Optics, StainCurve, expected_curve
from stainbook.optics.film import Piece
from stainbook.optics.forecast import Hands
from stainbook.records import DEFAULT_SHARES, FAMILIES, Limits, Viewing

CERAMIC = Ceramic(known=True)


def bench_of(stains: int, *, layers: int = 2, coats: int = 3) -> Bench:
    """A bench of stains of all families, each a little stronger or weaker than its family."""
    rng, curves = np.random.default_rng(1), {}
    for i in range(stains):
        family = FAMILIES[i % len(FAMILIES)]
        mean = expected_curve("", "surface", family).mean
        mean[: SIZE - 2] += 0.3 * rng.standard_normal()
        curves[f"stain-{i:02d}"] = StainCurve(f"stain-{i:02d}", "surface", family, mean, 0.05 * np.eye(SIZE), 7)
    limits = Limits(firings_left=2, layers=layers, coats=coats, strengths=DEFAULT_SHARES)
    return Bench(Optics(curves), tuple(curves), hands=Hands(operator="bench-1"), limits=limits)


def zones_of(count: int, surface: str = "matt") -> list[ZoneProblem]:
    """Zones that must become darker and stronger by a few units, one in four of them gum."""
    rng, zones = np.random.default_rng(2), []
    for i in range(count):
        tissue = "tooth" if i % 4 else "gingiva"
        level = rng.uniform(0.45, 0.65)
        reading = level * (1.0 - 0.25 / (1.0 + np.exp((np.arange(400.0, 701.0, 10.0) - 470.0) / 30.0)))
        piece = Piece(reading, surface, CERAMIC.stray if surface == "matt" else 0.0, CERAMIC)
        L = 116.0 * level ** (1 / 3) - 16.0
        target = (float(L - rng.uniform(2, 8)), float(rng.uniform(1, 6)), float(rng.uniform(10, 20)))
        start = Start(piece, f"zone {i}", covariance=1e-6 * np.eye(31))
        zones.append(ZoneProblem((11 + i, "middle"), tissue, start, target, Viewing(), thresholds(tissue)))
    return zones


@pytest.mark.benchmark(group="advice: zones, 14 stains, five shares, three coats, two layers")
@pytest.mark.parametrize("zones", [1, 12, 48])
def test_advice_against_zones(benchmark, zones):
    bench, problems = bench_of(14), zones_of(zones)
    told = benchmark.pedantic(advise_case, (bench, problems), rounds=3, warmup_rounds=1)
    assert len(told.zones) == zones


@pytest.mark.benchmark(group="advice: stains, 12 zones, five shares, three coats, two layers")
@pytest.mark.parametrize("stains", [4, 8, 14, 20])
def test_advice_against_stains(benchmark, stains):
    bench, problems = bench_of(stains), zones_of(12)
    told = benchmark.pedantic(advise_case, (bench, problems), rounds=3, warmup_rounds=1)
    assert all(zone.moves for zone in told.zones)


@pytest.mark.benchmark(group="advice: layers, 12 zones, 14 stains, five shares, three coats")
@pytest.mark.parametrize("layers", [1, 2, 3])
def test_advice_against_layers(benchmark, layers):
    bench, problems = bench_of(14, layers=layers), zones_of(12)
    told = benchmark.pedantic(advise_case, (bench, problems), rounds=3, warmup_rounds=1)
    assert max(len(move.layers) for zone in told.zones for move in zone.moves) <= layers
