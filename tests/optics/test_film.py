"""Layers on bodies as readings: no stain is no change, whatever was read and however it leaves."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.colour import WAVELENGTHS
from stainbook.optics.ceramic import Ceramic, add_absorption, bare_reading, inner_reflectance
from stainbook.optics.film import LOWEST, Piece, Soak, coat_amount, reading_after
from stainbook.optics.streams import under_face

BANDS = len(WAVELENGTHS)
BODY = np.linspace(0.25, 0.7, BANDS)
ZIRCONIA = Ceramic(2.15, 0.03, 0.018)
NOTHING = np.zeros((0, 1, BANDS))
COAT = np.full((1, 1, BANDS), 0.1)


def piece(surface, reading=BODY, stray=0.03):
    return Piece(reading, surface, stray if surface == "matt" else 0.0, ZIRCONIA)


@pytest.mark.parametrize("surface", ["glazed", None])
@pytest.mark.parametrize("layers", [0, 1, 3])
def test_no_stain_on_a_glazed_body_is_no_change(surface, layers):
    empty = np.zeros((layers, 1, BANDS))
    left = reading_after(piece(surface), empty, empty).reshape(-1)
    np.testing.assert_allclose(left, BODY, rtol=0, atol=1e-9)


@pytest.mark.parametrize("surface", ["matt", "polished", "wet"])
@pytest.mark.parametrize("body", [BODY, np.full(BANDS, 0.01), np.full(BANDS, 0.95)])  # no zirconia reads the last two
def test_a_bare_piece_that_leaves_bare_is_unchanged(surface, body):
    left = reading_after(piece(surface, body), NOTHING, NOTHING, glazed=False)
    np.testing.assert_array_equal(left, body)


@pytest.mark.parametrize("surface", ["matt", "polished", "wet"])
def test_an_empty_layer_is_the_glaze_alone(surface):
    empty = np.zeros((2, 1, BANDS))
    alone = reading_after(piece(surface), NOTHING, NOTHING)
    np.testing.assert_allclose(reading_after(piece(surface), empty, empty)[0], alone, rtol=0, atol=1e-9)
    assert np.all(alone > BODY - (0.03 if surface == "matt" else 0.0))


@given(st.integers(1, 4), st.floats(0.0, 0.5), st.floats(0.0, 0.5))
def test_a_coat_split_over_layers_is_the_coat(parts, K, S):
    whole = reading_after(piece("matt"), K * 10 * COAT, S * 10 * COAT)
    split = np.repeat(COAT, parts, axis=0) * 10 / parts
    np.testing.assert_allclose(reading_after(piece("matt"), K * split, S * split), whole, rtol=0, atol=1e-8)


def test_the_order_of_layers_matters_and_the_top_one_counts_more():
    dark, white = np.full((1, 1, BANDS), 0.3), np.full((1, 1, BANDS), 2.0)
    none = np.zeros_like(dark)
    under = reading_after(piece("glazed"), np.concatenate([dark, none]), np.concatenate([none, white]))
    over = reading_after(piece("glazed"), np.concatenate([none, dark]), np.concatenate([white, none]))
    assert np.all(under > over)


@pytest.mark.parametrize("surface", ["matt", "glazed"])
def test_soaking_darkens_and_is_kubelka_and_munk_below_the_face(surface):
    extra, depth = np.full((1, BANDS), 0.05), np.full((1, BANDS), 2.5)
    wet = reading_after(piece(surface), NOTHING, NOTHING, soaked=Soak(extra, depth), glazed=False)
    assert np.all(wet < BODY)
    below = (
        inner_reflectance(BODY, surface="matt", stray=0.03, ceramic=ZIRCONIA) if surface == "matt" else under_face(BODY)
    )
    again = add_absorption(below, extra[0], depth[0])
    if surface == "matt":
        expected = bare_reading(again, surface="matt", stray=0.03, ceramic=ZIRCONIA)
        np.testing.assert_allclose(wet[0], expected, rtol=0, atol=1e-12)
    else:
        np.testing.assert_allclose(under_face(wet[0]), again, rtol=0, atol=1e-9)


def test_nothing_reads_below_the_lowest():
    black = reading_after(piece("matt", np.full(BANDS, 1e-3)), 1e3 * COAT, 1e-9 * COAT)
    assert black.min() >= LOWEST


@pytest.mark.parametrize("surface", ["matt", "polished", "wet", "glazed"])
@pytest.mark.parametrize("value", [0.0, 1e-4, 1.0, 1.19])
def test_extreme_readings_stay_finite(surface, value):
    out = reading_after(piece(surface, np.full(BANDS, value)), COAT, COAT)
    assert np.all(np.isfinite(np.log(out)))


def test_many_pieces_are_each_alone():
    bodies = np.stack([BODY, BODY[::-1], np.full(BANDS, 0.5)])
    K = np.linspace(0.01, 0.3, 3)[None, :, None] * np.ones((2, 3, BANDS))
    together = reading_after(Piece(bodies, "matt", np.array([[0.01], [0.03], [0.05]]), ZIRCONIA), K, K / 3)
    for i, stray in enumerate((0.01, 0.03, 0.05)):
        alone = reading_after(Piece(bodies[i], "matt", stray, ZIRCONIA), K[:, i : i + 1], K[:, i : i + 1] / 3)
        np.testing.assert_allclose(together[i], alone[0], rtol=0, atol=1e-9)


@given(st.floats(0.01, 1.0), st.integers(1, 4), st.floats(0.7, 1.2))
def test_amount_of_stain(share, coats, exponent):
    assert float(coat_amount(np.array(share), np.array(coats), np.array(exponent))) == pytest.approx(
        share**exponent * coats, rel=1e-12
    )
    assert float(coat_amount(np.array(0.0), np.array(coats), np.array(exponent))) == 0.0
