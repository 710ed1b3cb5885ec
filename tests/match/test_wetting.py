"""A film over a matt face is told where it pays: where stray light is most of what is unsure."""

from dataclasses import replace

import numpy as np
import pytest

from stainbook.colour import thresholds
from stainbook.match import Bench, Start, ZoneProblem, advise_case
from stainbook.match.frame import frame_of
from stainbook.match.wetting import HALF, halved_by_film
from stainbook.optics.curves import Optics
from stainbook.optics.film import Piece
from stainbook.optics.forecast import ForecastRequest
from stainbook.records import Layer, Pot, Viewing
from stainbook.words import sentences

LAYERS = (Layer(Pot.of({"husk": 1 / 16}), 1),)
TARGET, LIGHT = (45.0, 1.0, 5.0), Viewing("D65", 10)


@pytest.fixture(scope="module")
def bench():
    return Bench(Optics({}), ("husk",), {"husk": ("surface", "brown")})


def start_of(bench, reflectance, surface):
    ceramic = bench.optics.ceramic("zirconia")
    stray = ceramic.stray if surface == "matt" else 0.0
    piece = Piece(np.full(31, reflectance), surface, stray, ceramic)
    return Start(piece, f"{surface} {reflectance}", 1e-6 * np.eye(31))


def spread(bench, start, layers):
    """One standard deviation in the space where length is ΔE00."""
    frame = frame_of(TARGET, LIGHT)
    view = bench.forecasts([ForecastRequest(start, layers, True, "11 middle", frame.weights)])
    told = halved_by_film(view, [frame])[0]
    return np.trace(frame.of_ln.T @ view.covariance()[0] @ frame.of_ln) ** 0.5, told


@pytest.mark.parametrize("layers", [(), LAYERS], ids=["glaze alone", "a coat"])
@pytest.mark.parametrize("reflectance", [0.06, 0.12, 0.3, 0.6])
@pytest.mark.parametrize("surface", ["matt", "glazed"])
def test_what_is_told_is_what_a_reading_under_a_film_would_bring(bench, reflectance, surface, layers):
    start = start_of(bench, reflectance, surface)
    dry, told = spread(bench, start, layers)
    wet, never = spread(bench, replace(start, stray_sd=0.0), layers)
    assert told == (wet <= HALF * dry and surface == "matt")
    assert not never


def test_a_dark_matt_piece_says_so_in_its_step_and_a_glazed_one_does_not(bench):
    frame = frame_of(TARGET, LIGHT)
    for surface, told in (("matt", True), ("glazed", False)):
        start = start_of(bench, 0.08, surface)
        view = bench.forecasts([ForecastRequest(start, (), True, "11 middle", frame.weights)])
        there = tuple(frame.lab(view.ln_xyz)[0].tolist())  # the glaze alone brings it there
        zone = ZoneProblem((11, "middle"), "tooth", start, there, LIGHT, thresholds("tooth"))
        (first, *_) = advise_case(bench, [zone], stage="blasted" if told else "glazed").zones[0].moves
        assert ("under a film" in sentences.why(first.why)) == told
