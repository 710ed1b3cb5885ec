"""Lift a colour, add a stain, compare with the true spectrum: on curves of other forms than the priors' families."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given

from stainbook.colour import (
    WAVELENGTHS,
    delta_e_2000,
    delta_e_2000_radius,
    lab_jacobian,
    recover_reflectance,
    spectrum_to_lab,
    tristimulus_weights,
)
from stainbook.colour.priors import CEILING
from stainbook.errors import InputError, UnknownNameError
from tests.colour.curves import gauss, gum, step, tooth
from tests.colour.strategies import LIGHT, OBSERVER, SURFACE

NM = WAVELENGTHS
D65 = {"illuminant": "D65", "observer": 2}


def ceramics(rng, n):
    """Bodies by two-flux theory: pigments that absorb in the blue, evenly, and a little in the green."""
    yellow, grey, green = (rng.uniform(*bounds, (n, 1)) for bounds in ((0.0, 0.4), (0.002, 0.15), (0.0, 0.06)))
    absorbed = grey + yellow * np.exp(-(NM - 400) / rng.uniform(40, 90, (n, 1))) + green * gauss(NM, 540, 45)
    return 1 + absorbed - np.sqrt(absorbed**2 + 2 * absorbed)


def gums(rng, n):
    """The gum curve with its parts scaled and its rise moved."""
    part = rng.uniform(0.6, 1.4, (6, n, 1))
    bands = part[3] * (0.045 * gauss(NM, 542, 14) + 0.05 * gauss(NM, 577, 10)) + part[4] * 0.04 * gauss(NM, 415, 22)
    rise = 0.32 * part[2] * step(NM, rng.uniform(592, 608, (n, 1)), 14)
    return np.maximum(0.10 * part[0] + 0.10 * part[1] * step(NM, 440, 30) + rise - bands, 0.02)


def stains(rng, n):
    """Ratios after/before of one or two coats: smooth absorption in the blue or the green, evenly, or a lift."""
    blue, green, even = (rng.uniform(*bounds, (n, 1)) for bounds in ((0, 0.6), (0, 0.25), (-0.1, 0.25)))
    dark = blue * step(-NM, -rng.uniform(460, 560, (n, 1)), 35) + green * gauss(NM, rng.uniform(500, 580, (n, 1)), 60)
    return np.exp(-dark - even)


def after_stain(true, tissue, seed):
    """ΔE00 between predicted and true colour after stain, and the radius claimed to hold it in 95 of 100."""
    ratio = stains(np.random.default_rng(seed), len(true))
    lifted = recover_reflectance(spectrum_to_lab(true, NM, **D65), tissue=tissue, **D65)
    predicted, truth = (spectrum_to_lab(r * ratio, NM, **D65) for r in (lifted.reflectance, true))
    by_r = lab_jacobian(lifted.reflectance * ratio, NM, **D65) * ratio[:, np.newaxis, :]
    radius = delta_e_2000_radius(predicted, by_r @ lifted.covariance @ by_r.mT)
    return delta_e_2000(predicted, truth), radius


@pytest.mark.parametrize(
    ("family", "tissue", "median", "p95"),
    [
        (ceramics, None, 0.08, 0.25),
        (ceramics, "tooth", 0.05, 0.25),
        (gums, "gingiva", 0.30, 0.70),
        (gums, None, 0.35, 0.80),
    ],
)
def test_colour_after_stain_and_its_claimed_radius(family, tissue, median, p95):
    dE, radius = after_stain(family(np.random.default_rng(31), 300), tissue, 32)
    assert np.median(dE) < median
    assert np.quantile(dE, 0.95) < p95
    assert np.mean(dE <= radius) >= 0.92  # claimed 0.95; 300 draws scatter by 0.013
    assert np.median(radius) < 4 * p95  # a claim, not a shrug


def test_the_tissue_prior_beats_the_general_one_on_gum():
    curves = gums(np.random.default_rng(33), 200)
    assert np.median(after_stain(curves, "gingiva", 34)[0]) < 0.9 * np.median(after_stain(curves, None, 34)[0])


@given(SURFACE, LIGHT, OBSERVER)
def test_it_has_exactly_that_colour(lab, light, observer):
    view = {"illuminant": light, "observer": observer}
    try:
        found = recover_reflectance(lab, **view)
    except InputError:
        assert np.hypot(lab[1], lab[2]) > 15  # a few strong colours are out of any surface's reach when they are light
        return
    assert delta_e_2000(spectrum_to_lab(found.reflectance, NM, **view), lab) < 1e-6
    assert np.all((found.reflectance > 0) & (found.reflectance < CEILING))


@pytest.mark.parametrize("tissue", [None, "tooth", "gingiva"])
def test_what_stays_open_does_not_change_the_colour(tissue):
    lifted = recover_reflectance([[70, 1, 18], [50, 22, 15]], tissue=tissue, **D65)
    weights = tristimulus_weights(NM, **D65)
    np.testing.assert_allclose(weights.T @ lifted.covariance, 0.0, rtol=0, atol=1e-9)
    assert np.all(np.linalg.eigvalsh(lifted.covariance)[:, 0] > -1e-12)
    assert np.all(np.trace(lifted.covariance, axis1=1, axis2=2) > 1e-4)


@pytest.mark.parametrize(("curve", "tissue", "within"), [(tooth, "tooth", 0.01), (gum, "gingiva", 0.05)])
def test_the_curves_come_back(curve, tissue, within):
    lifted = recover_reflectance(spectrum_to_lab(curve(NM), NM, **D65), tissue=tissue, **D65)
    assert np.sqrt(np.mean((lifted.reflectance - curve(NM)) ** 2)) < within


def test_white_and_near_black():
    lifted = recover_reflectance([[100, 0, 0], [0.5, 0, 0]], **D65)
    np.testing.assert_allclose(lifted.reflectance[0], 1.0, rtol=0, atol=0.01)
    assert np.all(lifted.reflectance[1] < 0.001)


def test_grids_and_other_wavelengths():
    nm = np.arange(380.0, 731.0, 10.0)
    lifted = recover_reflectance(np.full((2, 3, 3), [60.0, 5.0, 15.0]), wavelengths=nm, **D65)
    assert lifted.reflectance.shape == (2, 3, 36)
    assert lifted.covariance.shape == (2, 3, 36, 36)
    assert recover_reflectance([60, 5, 15], **D65).reflectance.shape == (31,)


@pytest.mark.parametrize("lab", [(60, 150, 0), (120, 0, 0), (float("nan"), 0, 0), (95, 40, 60)])
def test_colours_that_no_surface_has_are_refused(lab):
    with pytest.raises(InputError, match="no surface has this colour"):
        recover_reflectance(lab, **D65)


def test_unknown_tissue():
    with pytest.raises(UnknownNameError, match="gingiva"):
        recover_reflectance([60, 5, 15], tissue="bone", **D65)
