"""One predictor gives the numbers that three gave before it, but where one of them was less exact."""

import json
from pathlib import Path

import numpy as np
import pytest

from stainbook.match.frame import frame_of
from stainbook.optics.film import Piece
from stainbook.optics.forecast import ForecastRequest, forecast
from stainbook.records import Viewing
from tests.match.lab import CERAMIC, optics_of, start_of
from tests.match.same_numbers import CASES, STACKS, bench, learnt

OLD = json.loads((Path(__file__).parent / "same_numbers.json").read_text(encoding="utf-8"))
FRAME = frame_of((70.0, 2.0, 18.0), Viewing())


@pytest.mark.parametrize(("surface", "kind", "glazed"), CASES)
def test_a_case_is_forecast_as_before(surface, kind, glazed):
    old, made = OLD[f"{surface} {kind} {glazed}"], bench(kind)
    start = start_of(surface=surface, name="11 middle")
    found = made.forecasts([ForecastRequest(start, one, glazed, "11 middle", FRAME.weights) for one in STACKS])
    np.testing.assert_allclose(found.ln_reflectance, old["ln"], rtol=0, atol=1e-9)
    np.testing.assert_allclose(found.ln_xyz, old["ln_xyz"], rtol=0, atol=1e-9)
    squares = {name: {} for name in found.sources}
    for name, parts in found.sources.items():
        for places, rows in parts:
            for place, own in zip(places, rows, strict=True):
                squares[name][str(place)] = (own.T @ own)[np.triu_indices(3)]
    assert squares.keys() == old["sources"].keys()
    for name, places in old["sources"].items():
        for place, square in places.items():  # a place that is left out now moved nothing
            np.testing.assert_allclose(squares[name].get(place, 0.0), square, rtol=1e-9, atol=1e-9, err_msg=name)


@pytest.mark.parametrize(("surface", "kind", "glazed"), CASES)
def test_a_stack_is_forecast_as_before(surface, kind, glazed):
    """The mean to 1e-9; what one deviation of a cause does within 0.25 %: the chain rule took the place of
    difference quotients of every number, with steps of 0.001."""
    old, made, start = OLD[f"{surface} {kind} {glazed}"], bench(kind), start_of(surface=surface, name="11 middle")
    found = forecast(
        made.optics, start.piece, list(STACKS), key="11 middle", glazed=glazed, hands=made.hands,
        families=made.families, reading_covariance=start.covariance,
    )  # fmt: skip
    for one, ln, squares in zip(found, old["forecast_ln"], old["forecast_sources"], strict=True):
        np.testing.assert_allclose(one.ln_mean, ln, rtol=0, atol=1e-9)
        assert one.sources.keys() == squares.keys()
        for name, rows in one.sources.items():
            assert np.sum(rows**2) == pytest.approx(squares[name], rel=5e-3, abs=1e-9), name


@pytest.mark.parametrize("surface", ["glazed", "matt"])
def test_outcomes_teach_what_they_taught(surface):
    """To a tenth of its doubt, and the doubt to 5 %: steps of sums took the place of steps of each stain, as above
    (0.002 of ln amount), and firings are expected to differ by 3 % where they were by 5 % (0.003, of scatter 0.012)."""
    optics = optics_of()

    def predicted(reading, surface, layers):
        piece = Piece(reading, surface, CERAMIC.stray if surface == "matt" else 0.0, CERAMIC)
        (found,) = forecast(optics, piece, [layers])
        return found.ln_mean - np.log(reading)

    old, new = dict(OLD[f"learnt {surface}"]), learnt(surface, predicted)
    assert old.keys() == new.keys()
    assert 0.02 < new.pop("firing")[0] < old.pop("firing")[0]
    for name, values in old.items():
        within = (0.1 * values[1], 0.05 * values[1]) if len(values) == 2 else 2e-3
        assert np.all(np.abs(np.subtract(new[name], values)) <= within), name
