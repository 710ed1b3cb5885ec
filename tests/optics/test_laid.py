"""Layers laid on bodies: what stains of a pot bring together, hands, firings, liquids, and slopes of all of it."""

import numpy as np
import pytest

from stainbook.colour import WAVELENGTHS
from stainbook.optics.ceramic import Ceramic
from stainbook.optics.curves import EXPONENT, FADE, LN_K, LN_S, SIZE
from stainbook.optics.film import Piece, reading_after
from stainbook.optics.laid import Laid
from stainbook.optics.stack import stack_of
from stainbook.records import Layer, Pot

BANDS = len(WAVELENGTHS)
NAMES = ("husk", "teasel", "clear")
GLAZED = Piece(np.full((1, BANDS), 0.5), "glazed", 0.0, Ceramic(1.5))


def layer(coats=1, firings=1, **shares):
    return Layer(Pot.of(shares), coats, firings=firings)


def laid(layers, names=NAMES, *, K=0.1, S=0.2, exponent=1.0, ln_fade=0.0, soaks=(), piece=GLAZED, **more):
    means = np.empty((len(names), SIZE))
    means[:, :BANDS], means[:, BANDS : 2 * BANDS], means[:, -2], means[:, -1] = np.log(K), np.log(S), exponent, ln_fade
    return Laid.of(piece, stack_of([layers], names), means, np.isin(names, soaks), **more)


def ln_of(layers, names=NAMES, *, ln_hand=0.0, **more):
    return laid(layers, names, ln_amount=ln_hand, **more).ln_after()


def test_a_pot_of_two_stains_adds_what_each_brings():
    both = ln_of((layer(husk=0.25, teasel=0.5),), ("husk", "teasel"))
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


def test_liquids_fill_the_same_pores():
    """Twice the passes are twice the dose; what another liquid takes up is missing to each."""
    bare = Piece(np.full((1, BANDS), 0.5), "matt", 0.03, Ceramic(2.15))
    common = {"names": ("husk", "teasel"), "soaks": ("husk", "teasel"), "piece": bare, "exponent": 0.8, "S": 4.0}

    def growth(*layers):
        return laid(layers, **common).soak.growth[0, 0]

    one = growth(layer(husk=1.0))
    assert growth(layer(2, husk=0.5)) == pytest.approx(one)
    assert growth(layer(4, husk=1.0)) == pytest.approx(one * 4.0**0.8)
    assert growth(layer(husk=0.25), layer(husk=0.75)) == pytest.approx(one)
    assert growth(layer(husk=0.5, teasel=0.5)) == pytest.approx(one)
    assert laid((layer(husk=1.0),), **common).soak.depth == pytest.approx(np.full((1, BANDS), 4.0))


@pytest.mark.parametrize("soaks", [(), ("teasel",), ("husk", "teasel")])
def test_slopes_are_difference_quotients(soaks):
    """Every number a stain has and every layer's amount, by steps of their own: half a step of 0.001 apart at most."""
    names = ("husk", "teasel")
    bare = Piece(np.full((1, BANDS), 0.5), "matt", 0.02, Ceramic(2.15))
    layers = (
        (layer(2, 3, teasel=0.5),) if soaks == ("teasel",) else (layer(husk=0.3, teasel=0.2), layer(2, 3, husk=0.5))
    )
    means = np.full((2, SIZE), -1.5)
    means[0, :BANDS] -= np.linspace(0.0, 1.0, BANDS)
    means[1, LN_S] += 2.0 * bool(soaks)
    means[:, -2:] = 0.9, -0.05
    stack, soaking = stack_of([layers], names), np.isin(names, soaks)

    def ln(moved, **more):
        return Laid.of(bare, stack, moved, soaking, **more).ln_after()[0]

    whole = Laid.of(bare, stack, means, soaking)
    slopes = whole.slopes(whole.ln_after())
    parts = [(LN_K, slopes.absorbed), (LN_S, slopes.scattered), (EXPONENT, slopes.exponents), (FADE, slopes.fades)]
    for column, stain in enumerate(stack.stain[0]):
        for part, slope in parts:
            up, down = means.copy(), means.copy()
            up[stain, part] += 1e-4
            down[stain, part] -= 1e-4
            np.testing.assert_allclose(slope[0, column], (ln(up) - ln(down)) / 2e-4, rtol=0, atol=5e-4)
    for one in range(len(layers)):
        more = np.zeros((1, len(layers)))
        more[0, one] = 1e-4
        central = (ln(means, ln_amount=more) - ln(means, ln_amount=-more)) / 2e-4
        np.testing.assert_allclose(slopes.amounts[0, one], central, rtol=0, atol=5e-4)


def test_a_stronger_jar_is_more_of_its_stain():
    strong = laid((layer(husk=1.0),), ("husk",), ln_lots=np.array([[np.log(2.0)]])).ln_after()
    np.testing.assert_allclose(strong, ln_of((layer(2, husk=1.0),), ("husk",)), rtol=0, atol=1e-12)
