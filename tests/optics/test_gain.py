"""What a stripe would teach: less doubt of its stain, never more, and less from the second of its kind."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from stainbook.optics.curves import Optics
from stainbook.optics.film import Piece
from stainbook.optics.gain import left_open, posterior_root
from stainbook.optics.hand import hand_scatter

PALE = Piece(np.linspace(0.6, 0.75, 31), "glazed", 0.0, Optics({}).ceramic("zirconia"))


@given(arrays(float, (3, 4), elements=st.floats(-2, 2)))
def test_the_root_is_that_of_the_linear_posterior(rows):
    noise = np.diag([0.5, 1.0, 2.0, 0.3])
    root = posterior_root(rows, noise)
    np.testing.assert_allclose(
        root @ root.T, np.linalg.inv(np.eye(3) + rows @ np.linalg.inv(noise) @ rows.T), atol=1e-9
    )


def left(share, coats, optics=None, stain="husk"):
    root = left_open(optics or Optics({}), PALE, stain, share, coats, families={"husk": ("surface", "brown")})
    return np.linalg.eigvalsh(root @ root.T)


def test_a_stripe_leaves_less_doubt_and_never_more():
    kept = left(1 / 4, 1)
    assert kept.min() < 0.2
    assert kept.max() <= 1.0 + 1e-9


def test_a_stripe_that_hardly_shows_teaches_less():
    assert left(1 / 64, 1).sum() > left(1 / 4, 1).sum()


# ---------------------------------------------------------------- a hand

SLOPE = -np.linspace(0.4, 0.1, 31)


@pytest.mark.parametrize(("sd", "coats"), [(0.12, 1), (0.30, 1), (0.12, 2)])
def test_the_scatter_of_a_hand_is_found_and_its_interval_holds(sd, coats):
    """Mean over hands within 8 %, the 90 % interval holds in 90 ± 4 % of 400 hands of five stripes."""
    rng = np.random.default_rng(5)
    found = []
    for _ in range(400):
        amounts = sd / np.sqrt(coats) * rng.standard_normal(5)
        noise = 0.005 * rng.standard_normal((5, 1)) + 0.002 * rng.standard_normal((5, 31))
        found.append(hand_scatter(-0.5 + amounts[:, None] * SLOPE + noise, SLOPE, coats=coats))
    held = np.mean([one.low <= sd <= one.high for one in found])
    assert held == pytest.approx(0.90, abs=0.04)
    assert np.sqrt(np.mean([one.sd**2 for one in found])) == pytest.approx(sd, rel=0.08)


def test_amounts_are_told_apart():
    amounts = np.array([-0.2, 0.0, 0.2])
    found = hand_scatter(amounts[:, None] * SLOPE, SLOPE)
    np.testing.assert_allclose(found.amounts, amounts, atol=1e-12)


@pytest.mark.parametrize(("n", "slope"), [(2, SLOPE), (5, 1e-4 * SLOPE)])
def test_too_few_stripes_and_stains_that_do_not_show_are_refused(n, slope):
    with pytest.raises(ValueError, match="3 or more"):
        hand_scatter(np.zeros((n, 31)), slope)
