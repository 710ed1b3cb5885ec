"""Every light: a step counts where it is in tolerance in all, and pairs that part in one are told by their index."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stainbook.colour import WAVELENGTHS, metamerism_index, spectrum_to_lab
from stainbook.match import WishedLight, advise_case
from stainbook.match.plan import plan_case
from stainbook.match.problem import ZoneProblem
from stainbook.optics.forecast import ForecastRequest
from stainbook.records import Layer, Pot, Viewing
from tests.match.lab import bench_of, problem_of, start_of

STAINS = ("teasel", "husk", "rosehip", "tide")
MADE = (Layer(Pot.of({"husk": 0.25}), 2),)


def seen(reflectance: np.ndarray, light: str) -> tuple[float, float, float]:
    L, a, b = spectrum_to_lab(reflectance, WAVELENGTHS, illuminant=light, observer=10)
    return float(L), float(a), float(b)


def asked(*lights: str, bent: float = 0.0) -> ZoneProblem:
    """A zone whose target is what two coats make of it, its spectrum bent by a wave that one light sees."""
    start = start_of()
    (row,) = bench_of(STAINS).forecasts([ForecastRequest(start, MADE, True, "11 middle")]).ln_reflectance
    wave = np.sin(np.linspace(0.0, 6.0 * np.pi, 31))
    target = np.exp(row) * (1.0 + bent * wave)
    wished = tuple(WishedLight(Viewing(illuminant=light), seen(target, light)) for light in lights)
    return replace(problem_of(target=seen(target, "D65"), start=start), lights=wished)


def test_a_target_of_the_same_stain_is_met_in_every_light():
    (zone,) = advise_case(bench_of(STAINS, strengths=(0.125, 0.25)), [asked("A", "F11")], stage="stained").zones
    first = zone.moves[0]
    assert [one.viewing.illuminant for one in first.lights] == ["D65", "A", "F11"]
    assert first.accept > 0.9
    assert all(one.accept is not None and one.accept >= first.accept for one in first.lights)
    assert first.lights[0].metamerism == 0.0


def test_a_chance_is_that_of_all_lights_at_once():
    bench = bench_of(STAINS, strengths=(0.125, 0.25))
    asked_for = [asked(*lights, bent=0.12) for lights in ((), ("A", "F11"))]
    one, three = (advise_case(bench, [problem], stage="stained").zones[0] for problem in asked_for)
    first = three.moves[0]
    assert first.accept <= min(light.accept for light in first.lights)
    assert first.accept < one.moves[0].accept
    assert first.accept_within < one.moves[0].accept_within  # no further coat makes the pair agree there
    assert max(light.metamerism for light in first.lights) > 1.0


def test_the_index_is_that_of_the_two_spectra():
    problem = asked("A", bent=0.12)
    bench = bench_of(STAINS, strengths=(0.25,))
    found = plan_case(bench, [problem], stage="stained").zones[0].move
    (row,) = bench.forecasts([ForecastRequest(problem.now, found.layers, True, "11 middle")]).ln_reflectance
    (made,) = bench_of(STAINS).forecasts([ForecastRequest(problem.now, MADE, True, "11 middle")]).ln_reflectance
    target = np.exp(made) * (1.0 + 0.12 * np.sin(np.linspace(0.0, 6.0 * np.pi, 31)))
    index = metamerism_index(np.exp(row), target, WAVELENGTHS, reference="D65", test="A")
    assert found.lights[1].metamerism == pytest.approx(float(index), abs=0.02)


def test_of_a_colour_alone_nothing_is_told_in_another_light():
    problem = replace(asked(), lights=(WishedLight(Viewing(illuminant="A")),))
    bench = bench_of(STAINS, strengths=(0.125, 0.25))
    first, bare = (advise_case(bench, [one], stage="stained").zones[0].moves[0] for one in (problem, asked()))
    assert first.lights[1].accept is None
    assert first.accept == pytest.approx(bare.accept)
