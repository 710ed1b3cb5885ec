"""Forecasts: no change where nothing is done, doubts by source, draws that belong to their causes."""

import numpy as np
import pytest

from stainbook.colour import WAVELENGTHS, delta_e_2000, spectrum_to_lab
from stainbook.optics.curves import Optics, expected_curve
from stainbook.optics.film import Piece
from stainbook.optics.forecast import Hands, draw, forecast, normals
from stainbook.records import Layer, Pot
from tests.optics.painted import SMALL, ZIRCONIA, calibrated, forecast_one, layer
from tests.worlds.lab import World

BODY = np.linspace(0.3, 0.65, 31)
FAMILIES = {name: ("surface", family) for name, family in SMALL.items()} | {"tide": ("infiltrating", "blue")}


@pytest.fixture(scope="module")
def optics():
    return calibrated(World(seed=41, stains=SMALL)).optics


@pytest.fixture(scope="module")
def matt_optics():
    return calibrated(World(seed=41, matt=True, stains=SMALL)).optics


def p90(found):
    lab = spectrum_to_lab(np.exp(draw(found, 1024)), WAVELENGTHS, illuminant="D65", observer=10)
    mean = spectrum_to_lab(found.reflectance, WAVELENGTHS, illuminant="D65", observer=10)
    return float(np.quantile(delta_e_2000(lab, mean), 0.9))


# ---------------------------------------------------------------- the mean


def test_nothing_painted_on_a_glazed_piece_is_exactly_no_change(optics):
    for layers in ((), (layer(saddle=0.0001),)):
        found = forecast_one(optics, BODY, "glazed", layers)
        np.testing.assert_allclose(found.reflectance, BODY, rtol=0, atol=1e-9 if not layers else 1e-2)
    assert set(forecast_one(optics, BODY, "glazed", ()).sources) == {"model "}


@pytest.mark.parametrize("surface", ["matt", "polished", "wet"])
def test_a_bare_piece_that_is_polished_does_not_change(matt_optics, surface):
    found = forecast_one(matt_optics, BODY, surface, (), glazed=False)
    np.testing.assert_allclose(found.reflectance, BODY, rtol=0, atol=1e-9)


def test_layers_without_any_optics_known():
    found = forecast_one(Optics({}), BODY, "glazed", ())
    np.testing.assert_allclose(found.reflectance, BODY, rtol=0, atol=1e-9)
    clear = forecast_one(Optics({}), BODY, "glazed", (layer(),))
    np.testing.assert_allclose(clear.reflectance, BODY, rtol=0, atol=1e-9)


def test_stacks_together_are_stacks_alone(matt_optics):
    stacks = [(), (layer(saddle=0.25),), (layer(2, thrift=0.5, flour=0.25), layer(squall=0.125)), (layer(),)]
    ceramic = matt_optics.ceramic("zirconia")
    piece = Piece(BODY, "matt", ceramic.stray, ceramic)
    together = forecast(matt_optics, piece, stacks, key="z")
    for layers, one in zip(stacks, together, strict=True):
        alone = forecast(matt_optics, piece, [layers], key="z")[0]
        np.testing.assert_allclose(one.ln_mean, alone.ln_mean, rtol=0, atol=1e-9)
        np.testing.assert_allclose(one.covariance(), alone.covariance(), rtol=0, atol=1e-9)
        assert one.sources.keys() == alone.sources.keys()


def test_a_stain_that_nothing_is_known_of_is_any(optics):
    found = forecast_one(optics, BODY, "glazed", (layer(unheard=0.5),))
    assert np.all(np.isfinite(found.ln_mean))
    assert p90(found) > 3.0


# ---------------------------------------------------------------- the sources


def test_sources_by_name(matt_optics):
    layers = (layer(2, saddle=0.25, thrift=0.25), layer(flour=0.125))
    hands = Hands("bench-2", (0.0, 0.1), {"thrift": ("24-2", 0.0, 0.2)})
    found = forecast_one(matt_optics, BODY, "matt", layers, key="11 cervical", hands=hands)
    assert set(found.sources) == {
        "hand 11 cervical 1",
        "hand 11 cervical 2",
        "firing",
        "operator bench-2",
        "fit saddle",
        "fit thrift",
        "fit flour",
        "fit clear",
        "lot thrift 24-2",
        "surface 11 cervical",
        "model 11 cervical",
    }
    read = forecast_one(matt_optics, BODY, "matt", layers, reading_covariance=1e-4 * np.eye(31))
    assert "reading " in read.sources


def test_reading_doubt_is_its_covariance(optics):
    given = 1e-4 * np.eye(31) + 1e-5
    found = forecast_one(optics, BODY, "glazed", (), reading_covariance=given)
    rows = found.sources["reading "]
    np.testing.assert_allclose(rows.T @ rows, given, rtol=0, atol=1e-12)


@pytest.mark.parametrize("name", ["saddle", "flour"])
def test_slopes_are_what_the_model_does(optics, name):
    """An operator that lays on 10 % more, by its source and by the forecast itself."""
    layers = (layer(2, **{name: 0.5}),)
    found = forecast_one(optics, BODY, "glazed", layers, hands=Hands(operator_ln=(0.0, 0.1)))
    more = forecast_one(optics, BODY, "glazed", layers, hands=Hands(operator_ln=(0.1, 0.0)))
    np.testing.assert_allclose(more.ln_mean - found.ln_mean, found.sources["operator chips"][0], rtol=0, atol=6e-3)


def test_a_lot_s_strength_moves_the_mean_as_its_doubt_says(optics):
    layers = (layer(saddle=0.25),)
    plain = forecast_one(optics, BODY, "glazed", layers)
    strong = forecast_one(optics, BODY, "glazed", layers, hands=Hands(lots={"saddle": ("n", 0.05, 0.05)}))
    np.testing.assert_allclose(strong.ln_mean - plain.ln_mean, strong.sources["lot saddle n"][0], rtol=0, atol=2e-3)
    assert np.all(strong.ln_mean < plain.ln_mean)


def test_doubt_grows_with_ignorance():
    layers, widths = (layer(saddle=0.5),), []
    for stripes, plates in ((7, 2), (3, 1), (1, 1), (0, 1)):
        own = calibrated(World(seed=43, stains=SMALL), stripes, plates).optics
        widths.append(p90(forecast_one(own, BODY, "glazed", layers, families=FAMILIES)))
    assert widths == sorted(widths)
    assert widths[-1] > 2.5 * widths[0]


def test_doubt_grows_with_how_much_darker_a_body_is_than_the_plates(optics):
    """A white far from what chips showed: four coats on black were 5 to 11 ΔE00 off in a glazed lab (simulated)."""
    darkest = optics.stains["flour"].darkest
    assert 0.1 < darkest < 0.6
    doubts = []
    for reading in (1.2 * darkest, 0.8 * darkest, 0.3 * darkest, 0.1 * darkest):
        found = forecast_one(optics, np.full(31, reading), "glazed", (layer(flour=0.25),))
        rows = found.sources.get("dark flour")
        doubts.append(0.0 if rows is None else float(np.abs(rows).max()))
    assert doubts[0] == 0.0
    assert 0.0 < doubts[1] < 0.002  # a little darker is hardly less sure
    assert doubts[1] < doubts[2] < doubts[3]
    assert doubts[3] > 0.1


def test_doubt_of_hands_lots_scatter_and_stray(matt_optics):
    def width(**hands):
        return p90(forecast_one(matt_optics, BODY, "matt", (layer(saddle=0.5),), hands=Hands(**hands)))

    chips = width()
    assert width(operator_ln=(0.0, 0.18)) > chips
    assert width(lots={"saddle": ("new", 0.0, 0.18)}) > chips
    assert width(scatter=0.3) > chips > width(scatter=0.0)
    far = forecast_one(matt_optics, BODY, "matt", (layer(saddle=0.5),), stray_sd=0.05)
    assert p90(far) > chips


def test_more_coats_scatter_less_in_proportion(optics):
    one = forecast_one(optics, BODY, "glazed", (layer(1, saddle=0.25),))
    hand = one.sources["hand  1"][0] / one.sources["firing"][0]
    four = forecast_one(optics, BODY, "glazed", (layer(4, saddle=0.25),))
    np.testing.assert_allclose(four.sources["hand  1"][0] / four.sources["firing"][0], hand / 2, rtol=1e-9)


def test_fade_counts_only_where_a_layer_is_fired_again(optics):
    once = forecast_one(optics, BODY, "glazed", (layer(saddle=0.5),))
    again = forecast_one(optics, BODY, "glazed", (Layer(Pot.of({"saddle": 0.5}), 1, firings=4),))
    assert np.mean(again.ln_mean) != pytest.approx(np.mean(once.ln_mean), abs=1e-6)


# ---------------------------------------------------------------- draws


def test_draws_are_the_same_each_time_and_symmetric(optics):
    found = forecast_one(optics, BODY, "glazed", (layer(saddle=0.5),), key="a")
    np.testing.assert_array_equal(draw(found, 64), draw(found, 64))
    np.testing.assert_allclose(draw(found, 64).mean(axis=0), found.ln_mean, rtol=0, atol=1e-12)
    assert not np.array_equal(normals("hand a 1", 8, 1), normals("hand b 1", 8, 1))


@pytest.mark.parametrize("count", [1, 2, 7, 64])
def test_any_number_can_be_drawn(optics, count):
    assert draw(forecast_one(optics, BODY, "glazed", (layer(saddle=0.5),)), count).shape == (count, 31)
    assert normals("x", count, 3).shape == (count, 3)


def test_draws_scatter_as_the_covariance_says(matt_optics):
    found = forecast_one(matt_optics, BODY, "matt", (layer(saddle=0.5), layer(thrift=0.25)), key="a")
    drawn, expected = np.cov(draw(found, 20_000).T), found.covariance()
    scale = np.sqrt(np.outer(np.diag(expected), np.diag(expected)))
    np.testing.assert_allclose(drawn / scale, expected / scale, rtol=0, atol=0.05)


def test_zones_share_what_they_share(optics):
    """One stain's fit and one hand are common causes; each zone has a brush of its own."""
    one, other = (forecast_one(optics, BODY, "glazed", (layer(saddle=0.5),), key=key) for key in ("a", "b"))
    common = set(one.sources) & set(other.sources)
    assert common == {"firing", "fit saddle", "fit clear"}
    assert np.corrcoef(draw(one, 4000)[:, 0], draw(other, 4000)[:, 0])[0, 1] > 0.1


def test_no_draw_is_negative_or_infinite():
    curve = {"husk": expected_curve("husk", "surface", None)}
    found = forecast_one(Optics(curve, {"zirconia": ZIRCONIA}), np.full(31, 0.01), "matt", (layer(3, husk=1.0),))
    assert np.all(np.isfinite(np.exp(draw(found, 512))))
