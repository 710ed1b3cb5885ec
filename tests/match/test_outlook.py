"""The forecast of a whole case at once is the forecast of its stacks one by one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stainbook.colour import delta_e_2000
from stainbook.match.frame import frame_of
from stainbook.optics.forecast import ForecastRequest, draw, forecast
from stainbook.records import Layer, Pot, Viewing
from tests.match.lab import bench_of, lab_of, start_of

STACKS = (
    (),
    (Layer(Pot.of({"husk": 0.25}), 2),),
    (Layer(Pot.of({"teasel": 0.5, "slate": 0.125}), 1),),
    (Layer(Pot.of({"husk": 1.0}), 1), Layer(Pot.of({"husk": 0.0625, "tide": 0.25}), 3)),
)
FRAME = frame_of((70.0, 2.0, 18.0), Viewing())


def made(surface, *, kind="surface", glazed=True):
    bench = bench_of(kind=kind)
    hands = replace(bench.hands, operator="bench-2", operator_ln=(0.05, 0.1), lots={"husk": ("24-117", 0.1, 0.12)})
    bench, start = replace(bench, hands=hands), start_of(surface=surface, name="11 middle")
    view = bench.forecasts([ForecastRequest(start, stack, glazed, "11 middle", FRAME.weights) for stack in STACKS])
    each = [
        forecast(
            bench.optics,
            start.piece,
            [stack],
            key="11 middle",
            glazed=glazed,
            hands=bench.hands,
            families=bench.families,
            reading_covariance=start.covariance,
        )[0]
        for stack in STACKS
    ]
    return view, each


@pytest.mark.parametrize(("surface", "kind"), [("glazed", "surface"), ("matt", "surface"), ("matt", "infiltrating")])
def test_colour_and_doubt_are_those_of_the_forecast(surface, kind):
    view, each = made(surface, kind=kind)
    np.testing.assert_allclose(view.ln_reflectance, [one.ln_mean for one in each], rtol=0, atol=1e-9)
    rows = [FRAME.ln_rows(one.ln_mean) for one in each]
    expected = np.array([row.T @ one.covariance() @ row for row, one in zip(rows, each, strict=True)])
    # both take slopes from steps of 0.001, one of each stain and one of each layer
    np.testing.assert_allclose(view.covariance(), expected, rtol=0, atol=0.004 * expected.max())


def test_possible_colours_are_those_of_the_forecast():
    view, each = made("matt")
    for drawn, one in zip(view.draw(256), each, strict=True):
        whole = lab_of(np.exp(draw(one, 256)))
        # linear in ln X, Y, Z here, in the ln of every band there: apart only where doubts are wide
        assert np.quantile(delta_e_2000(FRAME.lab(drawn), whole), 0.99) < 0.1


def test_a_bare_piece_that_is_polished_stays_as_it_was_read():
    view, _ = made("polished", glazed=False)
    np.testing.assert_allclose(np.exp(view.ln_reflectance[0]), start_of().piece.reading, rtol=0, atol=1e-9)


def test_one_cause_is_drawn_alike_in_all_zones():
    bench, stack = bench_of(), STACKS[1]
    wanted = [
        ForecastRequest(start_of(name=name), stack, True, name, FRAME.weights) for name in ("11 middle", "21 middle")
    ]
    view = bench.forecasts(wanted)
    shared = {name for name, parts in view.sources.items() if sum(len(rows) for rows, _ in parts) == 2}
    assert {"firing", "fit husk"} <= shared
    assert {"hand 11 middle 1", "model 21 middle"} <= view.sources.keys() - shared
    first, second = view.draw(512)
    assert 0.2 < np.corrcoef(first[:, 1], second[:, 1])[0, 1] < 0.95


def test_chunks_do_not_show():
    bench, stack = bench_of(), STACKS[3]
    start = start_of()
    many = bench.forecasts([ForecastRequest(start, stack, True, f"zone {i}", FRAME.weights) for i in range(250)])
    np.testing.assert_array_equal(many.ln_xyz, np.repeat(many.ln_xyz[:1], 250, axis=0))
