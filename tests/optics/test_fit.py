"""Stains from chips: what the model itself made is found again, and the claimed doubt is the true one."""

import numpy as np
import pytest

from stainbook.optics.curves import EXPONENT, FADE, LN_K, LN_S, SIZE, Pooled
from stainbook.optics.fit import curve_of, group_of, jacobian, model_covariance, modelled, priors_of, solve
from stainbook.optics.leave_out import met
from tests.optics.painted import BANDS, STRIPES, ZIRCONIA, W, bare_chip, fired, layer, stripes, true_numbers

KINDS = {"husk": "surface", "teasel": "surface", "tide": "infiltrating"}


def group_for(chips, *names, pooled=None):
    return group_of(names, KINDS, chips, lambda _: ZIRCONIA, pooled or Pooled())


def solved(chips, *names, families=None, pooled=None, **more):
    pooled = pooled or Pooled()
    group = group_for(chips, *names, pooled=pooled)
    return group, solve(group, *priors_of(names, KINDS, families or {}, pooled), **more)


# ---------------------------------------------------------------- simulate, then recover


@pytest.mark.parametrize("surface", ["glazed", "matt", "polished"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_chips_of_the_model_give_the_stain_back(surface, seed):
    true = true_numbers(seed)
    group, found = solved(fired(stripes(surface=surface), {"husk": true}), "husk")
    np.testing.assert_allclose(found.theta[0][LN_K], true[LN_K], rtol=0, atol=0.15)  # the prior pulls: K and S trade
    np.testing.assert_allclose(found.theta[0][LN_S], true[LN_S], rtol=0, atol=0.15)
    assert np.abs(found.residual).max() < 0.004  # of ln reflectance
    assert found.theta[0][EXPONENT] == pytest.approx(0.93, abs=0.03)
    assert np.median(met(group, found)) < 0.3


def test_colour_of_pots_that_no_chip_showed():
    """Two stains learnt apart, mixed and laid over one another."""
    true = {"husk": true_numbers(4), "teasel": true_numbers(5)}
    own = {name: solved(fired(stripes(name), {name: true[name]}), name)[1].theta[0] for name in true}
    both = [
        bare_chip("mix", "pale", (layer(husk=0.25, teasel=0.5),)),
        bare_chip("over", "dark", (layer(husk=0.5), layer(2, teasel=0.25))),
    ]
    group = group_for(both, "husk", "teasel")
    expected = modelled(group, np.array([true["husk"], true["teasel"]]), 0.0)
    np.testing.assert_allclose(
        modelled(group, np.array([own["husk"], own["teasel"]]), 0.0), expected, rtol=0, atol=0.01
    )


def test_stains_that_share_pots_are_fitted_together():
    true = {"husk": true_numbers(4), "teasel": true_numbers(5)}
    bits = [
        bare_chip(f"mix-{i}", plate, (layer(coats, husk=a, teasel=b),))
        for i, (plate, a, b, coats) in enumerate(
            [("pale", 0.75, 0.25, 1), ("pale", 0.25, 0.75, 1), ("dark", 0.5, 0.5, 2), ("dark", 0.1, 0.9, 1)]
        )
    ]
    chips = fired([*bits, *stripes("husk", STRIPES[:2])], true)
    _, found = solved(chips, "husk", "teasel")
    assert np.abs(found.residual).max() < 0.006
    for row, name in zip(found.theta, true, strict=True):
        assert np.abs(row[LN_K] - true[name][LN_K]).mean() < 0.15


def test_soaking_stains_are_found_on_bare_pieces():
    """With bands of 7 nm, on two blanks, and with the depth to which the liquid goes."""
    true = np.concatenate([np.full(BANDS, -6.0), np.full(BANDS, np.log(5.0)), [0.88, -0.02]])
    for centre in (522.0, 543.0, 652.0):
        true[LN_K] = np.maximum(true[LN_K], np.log(1.2 * np.exp(-0.5 * ((W - centre) / 7.0) ** 2) + np.exp(-6.0)))
    bits = [("pale", 1.0, 1, 1), ("pale", 1.0, 4, 1), ("pale", 0.25, 1, 1), ("pale", 0.25, 3, 1), ("dark", 0.5, 2, 1)]
    chips = fired(stripes("tide", bits, surface="matt", glazed=False), {"tide": true}, kinds=KINDS)
    group, found = solved(chips, "tide")
    assert np.abs(found.residual).max() < 0.01
    strong = true[LN_K] > -3.0
    np.testing.assert_allclose(found.theta[0][LN_K][strong], true[LN_K][strong], rtol=0, atol=0.35)
    np.testing.assert_allclose(found.theta[0][LN_S].mean(), np.log(5.0), rtol=0, atol=0.35)
    assert found.theta[0][EXPONENT] == pytest.approx(0.88, abs=0.05)
    left = modelled(group, np.array([true]), 0.0) - modelled(group, found.theta, 0.0)
    assert np.abs(left).max() < 0.02


def test_the_hand_is_told_from_the_stain():
    true = true_numbers(1)
    exact = fired(stripes(), {"husk": true})
    heavy = fired(stripes(), {"husk": true + np.r_[np.full(62, 0.25), 0.0, 0.0]})
    _, found = solved([*exact[:3], heavy[3], *exact[4:]], "husk")
    assert found.hand[3, 0] == max(found.hand.ravel())
    assert found.hand[3, 0] == pytest.approx(0.2, abs=0.1)


# ---------------------------------------------------------------- doubt


def test_covariance_is_calibrated():
    """Stains, hand and noise drawn as the fit expects them: squared errors in units of doubt average to one.

    Judged on ln reflectance of stacks that no chip showed, where it matters; ln S by itself is skewed where a stain
    scatters so little that nothing shows it.
    """
    families, z, exponents = {"husk": "brown"}, [], []
    mean, covariance = priors_of(["husk"], KINDS, families, Pooled())
    root = np.linalg.cholesky(covariance[0])
    unseen = [bare_chip("half", "pale", (layer(husk=0.5),)), bare_chip("thick", "dark", (layer(2, husk=0.7),))]
    new = group_for(unseen, "husk")
    none = np.zeros(new.hand_sd.shape)
    for seed in range(30):
        true = mean[0] + root @ np.random.default_rng([seed, 3]).standard_normal(SIZE)
        chips = fired(stripes(), {"husk": true}, hand=0.12, noise=0.006, seed=seed)
        _, found = solved(chips, "husk", families=families)
        expected = modelled(new, found.theta, none)
        by_stain = jacobian(new, found.theta, none, expected)[:, :, :SIZE]
        spread = np.einsum("nwp,pq,nwq->nw", by_stain, found.covariance[:SIZE, :SIZE], by_stain)
        z.append((modelled(new, true[None], none) - expected) / np.sqrt(spread))
        exponents.append((found.theta[0] - true)[EXPONENT] / np.sqrt(found.covariance[EXPONENT, EXPONENT]))
    assert 0.75 < np.sqrt(np.mean(np.square(z))) < 1.25
    assert 0.75 < np.sqrt(np.mean(np.square(exponents))) < 1.35


@pytest.mark.parametrize("count", [1, 3, 7])
@pytest.mark.parametrize("family", ["yellow", "grey", None])
def test_no_start_is_better_than_the_one_taken(family, count):
    """On one plate a little and much scattering can look alike: the search must not end in the worse of both."""
    prior = priors_of(["husk"], KINDS, {"husk": family}, Pooled())
    root = np.linalg.cholesky(prior[1][0])
    for seed in (1, 4, 7, 10):
        true = prior[0][0] + 1.3 * root @ np.random.default_rng([seed, 5]).standard_normal(SIZE)
        chips = fired(stripes(bits=STRIPES[:count]), {"husk": true}, hand=0.12, noise=0.006, seed=seed)
        group, found = solved(chips, "husk", families={"husk": family})
        assert found.cost < solve(group, *prior, start=true[None]).cost + 1.0


def test_fewer_chips_leave_more_doubt():
    true = true_numbers(1)
    width = []
    for count in (7, 3, 1):
        _, found = solved(fired(stripes(bits=STRIPES[:count]), {"husk": true}), "husk")
        width.append(np.trace(found.covariance[:SIZE, :SIZE]))
    _, prior = priors_of(["husk"], KINDS, {}, Pooled())
    assert width[0] < width[1] < width[2] < np.trace(prior[0])


def test_a_stain_takes_its_block_of_the_covariance():
    group, found = solved(fired(stripes(), {"husk": true_numbers(1)}), "husk")
    curve = curve_of("husk", "surface", "brown", group, found, 7)
    np.testing.assert_allclose(curve.factor @ curve.factor.T, found.covariance[:SIZE, :SIZE], rtol=0, atol=1e-9)
    assert (curve.name, curve.kind, curve.family, curve.chips) == ("husk", "surface", "brown", 7)
    assert curve.darkest == pytest.approx(0.40)  # of the dark plate


def test_model_error_is_a_covariance_of_band_and_level():
    assert np.linalg.eigvalsh(model_covariance()).min() > 0.0
    assert model_covariance()[0, 30] > 0.0


# ---------------------------------------------------------------- the solver


def test_jacobian_is_the_difference_quotient_of_every_number():
    true = {"husk": true_numbers(1), "teasel": true_numbers(2)}
    chips = [
        *stripes(bits=STRIPES[:2], surface="matt"),
        bare_chip("mix", "dark", (layer(husk=0.3, teasel=0.3), layer(2, 3, teasel=1.0))),
    ]
    group = group_for(fired(chips, true), "husk", "teasel")
    theta, hand = np.array(list(true.values())), np.full(group.stack.coats.shape, 0.05)
    J = jacobian(group, theta, hand, modelled(group, theta, hand))
    step = 1e-4
    for place in range(theta.size):
        up, down = theta.copy().ravel(), theta.copy().ravel()
        up[place] += step
        down[place] -= step
        central = modelled(group, up.reshape(theta.shape), hand) - modelled(group, down.reshape(theta.shape), hand)
        np.testing.assert_allclose(J[:, :, place], central / (2 * step), rtol=0, atol=3e-4)  # one-sided: half a step
    for i, q in np.ndindex(hand.shape):
        up, down = hand.copy(), hand.copy()
        up[i, q] += step
        down[i, q] -= step
        central = (modelled(group, theta, up) - modelled(group, theta, down)) / (2 * step)
        np.testing.assert_allclose(J[:, :, theta.size + i * hand.shape[1] + q], central, rtol=0, atol=3e-4)


def test_far_starts_end_at_the_same_place():
    chips = fired(stripes(), {"husk": true_numbers(1)})
    group, near = solved(chips, "husk")
    prior = priors_of(["husk"], KINDS, {}, Pooled())
    for shift in (-2.0, 2.0):
        far = solve(group, *prior, start=prior[0] + np.r_[np.full(62, shift), 0.0, 0.0])
        assert far.cost == pytest.approx(near.cost, abs=0.1)
        np.testing.assert_allclose(
            modelled(group, far.theta, far.hand), modelled(group, near.theta, near.hand), atol=1e-3
        )


def test_one_weak_chip_leaves_the_prior_where_it_says_nothing():
    mean, covariance = priors_of(["husk"], KINDS, {"husk": "blue"}, Pooled())
    weak = fired(stripes(bits=[("pale", 1 / 64, 1, 1)]), {"husk": mean[0]})
    _, found = solved(weak, "husk", families={"husk": "blue"})
    np.testing.assert_allclose(found.theta[0], mean[0], rtol=0, atol=0.1)
    assert found.theta[0][FADE] == pytest.approx(mean[0][FADE], abs=1e-6)
    doubt = np.sqrt(np.diag(found.covariance)[FADE])
    assert doubt == pytest.approx(np.sqrt(covariance[0][FADE, FADE]), rel=1e-3)
