"""Painted layers as arrays: which stain, which share, which coats, and what becomes of clear glaze."""

import numpy as np
import pytest

from stainbook.colour import WAVELENGTHS
from stainbook.optics.ceramic import Ceramic
from stainbook.optics.film import Piece, reading_after
from stainbook.optics.stack import ln_after, stack_of
from stainbook.records import Layer, Pot

BANDS = len(WAVELENGTHS)
NAMES = ("husk", "straw", "clear")
GLAZED = Piece(np.full((1, BANDS), 0.5), "glazed", 0.0, Ceramic(1.5))


def layer(coats=1, firings=1, **shares):
    return Layer(Pot.of(shares), coats, firings=firings)


def ln_of(layers, names=NAMES, *, K=0.1, S=0.2, exponent=1.0, ln_fade=0.0, soaks=(), piece=GLAZED, **more):
    stack = stack_of([layers], names)
    n, m = stack.stain.shape
    return ln_after(
        piece,
        stack,
        K=np.full((n, m, BANDS), K),
        S=np.full((n, m, BANDS), S),
        exponent=np.full((n, m), exponent),
        ln_fade=np.full((n, m), ln_fade),
        soaks=np.isin(stack.stain, [names.index(name) for name in soaks]),
        **more,
    )


def test_shares_and_padding():
    stack = stack_of([(layer(husk=0.25), layer(2, straw=0.5)), (), (layer(3, 4),)], NAMES)
    assert stack.layers == 2
    np.testing.assert_array_equal(stack.coats, [[1, 2], [0, 0], [3, 0]])
    np.testing.assert_array_equal(stack.firings, [[1, 1], [1, 1], [4, 1]])
    np.testing.assert_array_equal(stack.share[0], [[0.25, 0, 0.75], [0, 0.5, 0.5]])
    np.testing.assert_array_equal(stack.share[2], [[1, 0, 0], [0, 0, 0]])
    np.testing.assert_array_equal(stack.stain[0], [0, 1, 2])
    assert stack.stain[2, 0] == 2


def test_clear_glaze_is_left_out_where_nothing_is_known_of_it():
    stack = stack_of([(layer(husk=0.25),)], ("husk",))
    np.testing.assert_array_equal(stack.share, [[[0.25]]])


def test_an_unknown_stain_is_a_key_error():
    with pytest.raises(KeyError, match="chalk"):
        stack_of([(layer(chalk=1.0),)], NAMES)


def test_taking_rows():
    stack = stack_of([(layer(husk=1.0),), (layer(straw=1.0),)], NAMES).take(np.array([1]))
    assert stack.stain.tolist() == [[1]]


def test_a_pot_of_two_stains_adds_what_each_brings():
    both = ln_of((layer(husk=0.25, straw=0.5),), ("husk", "straw"))
    K = np.full((1, 1, BANDS), 0.75)
    np.testing.assert_allclose(both, np.log(reading_after(GLAZED, 0.1 * K, 0.2 * K)), rtol=0, atol=1e-12)


def test_hand_is_more_or_less_of_a_layer():
    doubled = ln_of((layer(husk=1.0),), ("husk",), ln_hand=np.log(2.0))
    np.testing.assert_allclose(doubled, ln_of((layer(2, husk=1.0),), ("husk",)), rtol=0, atol=1e-12)


def test_further_firings_fade_the_colour_and_leave_scattering():
    once, four = (layer(husk=1.0),), (layer(1, 4, husk=1.0),)
    np.testing.assert_array_equal(ln_of(once, ("husk",), ln_fade=-0.1), ln_of(once, ("husk",)))
    np.testing.assert_allclose(
        ln_of(four, ("husk",), ln_fade=-0.1), ln_of(once, ("husk",), K=0.1 * np.exp(-0.3)), rtol=0, atol=1e-12
    )


def test_soaking_stains_leave_a_bare_piece_bare():
    bare = Piece(np.full((1, BANDS), 0.5), "polished", 0.0, Ceramic(2.15))
    soaked = ln_of((layer(husk=1.0),), ("husk",), soaks=("husk",), piece=bare, glazed=False)
    assert np.all(soaked < np.log(0.5))
    glazed = ln_of((layer(husk=1.0),), ("husk",), soaks=("husk",), piece=bare)
    assert np.all(glazed > soaked)


def test_the_rest_of_a_liquid_is_no_glaze():
    """A quarter of a colouring liquid in three quarters of clear liquid leaves the piece as bare as the full one."""
    bare = Piece(np.full((1, BANDS), 0.5), "matt", 0.03, Ceramic(2.15))
    quarter = ln_of((layer(husk=0.25),), ("husk", "clear"), soaks=("husk",), piece=bare, glazed=False)
    alone = ln_of((layer(husk=0.25),), ("husk",), soaks=("husk",), piece=bare, glazed=False)
    np.testing.assert_allclose(quarter, alone, rtol=0, atol=1e-12)


def test_nothing_at_all_is_no_change():
    np.testing.assert_allclose(ln_of(()), np.log(0.5), rtol=0, atol=1e-9)
    np.testing.assert_allclose(ln_of((), ()), np.log(0.5), rtol=0, atol=1e-9)
