"""Slabs of four streams: laws, and independent solutions of the same and of finer equations."""

import iadpython
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.optics.interfaces import internal_reflectance
from stainbook.optics.streams import BACKWARD, GLASS, Medium, lambertian, lay_on, seen_outside, slab, under_face
from tests.optics import kubelka_munk as km
from tests.optics.reference import as_arrays, slab_by_doubling, slab_by_exponential
from tests.worlds import adding_doubling as ad

AMOUNTS = st.floats(0.0, 1e3)
MODERATE = st.floats(0.0, 3.0)
SHARES = st.floats(0.0, 1.0)
GRID = [(K, S) for K in (0.0, 1e-6, 0.01, 0.3, 2.0) for S in (0.0, 1e-6, 0.05, 1.0, 4.0)]


def reading(K, S, rho):
    return seen_outside(lay_on(*slab(np.asarray(K), np.asarray(S)), lambertian(np.asarray(rho))))


# ---------------------------------------------------------------- against other solutions


@pytest.mark.parametrize(("K", "S"), GRID)
def test_slab_is_the_exponential_of_its_equations(K, S):
    ours = slab(np.array(K), np.array(S))
    for mine, reference in zip(ours, slab_by_exponential(K, S), strict=True):
        np.testing.assert_allclose(as_arrays(mine), reference, rtol=0, atol=1e-8)


@pytest.mark.parametrize(("K", "S"), [*GRID, (0.0, 60.0), (40.0, 0.0), (15.0, 200.0), (1e3, 1e3)])
def test_slab_is_many_thin_slabs(K, S):
    ours = slab(np.array(K), np.array(S))
    for mine, reference in zip(ours, slab_by_doubling(K, S), strict=True):
        np.testing.assert_allclose(as_arrays(mine), reference, rtol=0, atol=2e-6)  # the reference's own step


def test_an_array_of_slabs_is_its_slabs_one_by_one():
    rng = np.random.default_rng(1)
    K, S = rng.uniform(0, 5, (2, 3, 4))
    together = as_arrays(slab(K, S)[0])
    alone = np.array([[as_arrays(slab(K[i, j], S[i, j])[0]) for j in range(4)] for i in range(3)])
    np.testing.assert_allclose(together, alone, rtol=0, atol=1e-9)


# ---------------------------------------------------------------- laws


@given(AMOUNTS)
def test_scattering_loses_nothing(S):
    R, T = map(as_arrays, slab(np.array(0.0), np.array(S)))
    np.testing.assert_allclose((R + T).sum(axis=-2), 1.0, rtol=0, atol=1e-6)


@given(AMOUNTS, AMOUNTS)
def test_shares_stay_shares(K, S):
    for matrix in map(as_arrays, slab(np.array(K), np.array(S))):
        assert np.all(np.isfinite(matrix))
        assert matrix.min() >= -1e-9
        assert matrix.sum(axis=-2).max() <= 1 + 1e-6


@given(MODERATE, MODERATE, MODERATE, MODERATE, SHARES)
def test_two_slabs_of_one_stuff_are_one(K, S, first, second, rho):
    base = lambertian(np.array(rho))
    two = lay_on(*slab(np.array(K * second), np.array(S * second)), base)
    two = lay_on(*slab(np.array(K * first), np.array(S * first)), two)
    one = lay_on(*slab(np.array(K * (first + second)), np.array(S * (first + second))), base)
    np.testing.assert_allclose(as_arrays(two), as_arrays(one), rtol=0, atol=1e-8)


@given(st.floats(0.005, 0.9))
def test_no_stain_is_no_change(R):
    rho = under_face(np.array(R))
    assert float(reading(0.0, 0.0, rho)) == pytest.approx(R, abs=1e-9)


@given(st.floats(1e-4, 0.999))
def test_face_and_its_inverse(rho):
    assert float(under_face(seen_outside(lambertian(np.array(rho))))) == pytest.approx(rho, abs=1e-12)


@given(MODERATE, MODERATE, SHARES, st.floats(1e-3, 1.0))
def test_more_absorption_is_darker(K, S, rho, more):
    assert float(reading(K + more, S, rho)) <= float(reading(K, S, rho)) + 1e-12


def test_strong_layers_hide_what_lies_below():
    for S in (0.5, 5.0):
        assert float(np.ptp(reading(np.full(3, 50.0), np.full(3, S), [0.02, 0.5, 0.95]))) < 1e-9
    hidden = reading(np.full(2, 40.0), np.full(2, 800.0), [0.02, 0.95])
    assert float(np.ptp(hidden)) < 1e-6


def test_extremes_do_not_overflow():
    K, S = np.meshgrid([0.0, 1e-12, 1e-3, 1.0, 1e3], [0.0, 1e-12, 1e-3, 1.0, 1e3])
    R = reading(K, S, np.full(K.shape, 0.5))
    assert np.all((R >= 0) & (R <= 1))


def test_reciprocity_of_a_slab_between_its_streams():
    R, T = (as_arrays(matrix) for matrix in slab(np.array(0.3), np.array(0.8)))
    weight = np.array(GLASS.mu) * np.array(GLASS.solid)
    for matrix in (R, T):
        power = matrix * weight[None, :]  # what stream j brings as diffuse light and stream i takes away
        np.testing.assert_allclose(power, power.T, rtol=0, atol=1e-9)


# ---------------------------------------------------------------- the medium


@pytest.mark.parametrize("index", [1.33, 1.5, 1.55, 2.15])
def test_streams_of_a_medium_make_up_its_half_space(index):
    medium = Medium.of(index)
    assert sum(medium.solid) == pytest.approx(1.0)
    assert sum(medium.flux) == pytest.approx(1.0)
    flux = np.array(medium.mu) * np.array(medium.solid)
    np.testing.assert_allclose(flux / flux.sum(), medium.flux, rtol=0, atol=1e-12)
    held = sum(share * face for share, face in zip(medium.flux, medium.face, strict=True))
    assert held == pytest.approx(internal_reflectance(index), abs=1e-9)


# ---------------------------------------------------------------- against finer equations


def fine(K, S, rho, forward=0.0):
    """A slab of adding-doubling on a diffuse base under a face to air, read as we read."""
    air, glass = ad.nested_streams((1.0, 1.5), (6, 6))
    depth = np.asarray(K + S, dtype=float)
    layer = ad.slab(depth, S / depth, forward, glass)
    return float(ad.sphere_reading(ad.interface(air, glass), ad.cover(layer, ad.backing(rho, glass))))


def test_bare_base_under_glass_is_that_of_radiative_transfer():
    for rho in (0.1, 0.5, 0.9):
        assert float(reading(0.0, 0.0, rho)) == pytest.approx(fine(1e-9, 1e-9, rho), abs=4e-3)


@pytest.mark.parametrize(("K", "S"), [(0.01, 0.02), (0.05, 0.02), (0.02, 0.1), (0.15, 0.1)])
@pytest.mark.parametrize("rho", [0.3, 0.7, 0.9])
def test_thin_coats_change_a_body_as_radiative_transfer_has_it(K, S, rho):
    """The share of the change that two streams in each half-space miss, with isotropic grains on both sides."""
    forward = 1.0 - 2.0 * BACKWARD  # the anisotropy that sends back what ours does, to first order
    ours = np.log(float(reading(K, S, rho)) / float(reading(0.0, 0.0, rho)))
    theirs = np.log(fine(K, S, rho, forward) / fine(1e-9, 1e-9, rho))
    assert ours == pytest.approx(theirs, abs=0.01 + 0.12 * abs(theirs))
    two_flux = km.saunderson(km.reflectance(2 * K, 2 * S * BACKWARD, 1.0, rho), 0.04, 0.5963, specular=False)
    bare = km.saunderson(rho, 0.04, 0.5963, specular=False)
    assert abs(ours - theirs) <= abs(np.log(two_flux / bare) - theirs) + 0.005  # two fluxes are no better


@pytest.mark.parametrize("albedo", [0.5, 0.9, 0.99, 0.999])
def test_hiding_layers_with_isotropic_grains_against_iadpython(monkeypatch, albedo):
    """Two streams a half-space are within 0.02 of sixteen; the entering beam as a stream of its own would be nearer."""
    monkeypatch.setattr("stainbook.optics.streams.BACKWARD", 0.5)
    depth = 200.0
    total = iadpython.Sample(a=albedo, b=depth, g=0.0, n=1.5, quad_pts=16).rt()[0]
    R, _ = slab(np.array(depth * (1 - albedo)), np.array(depth * albedo))
    assert float(seen_outside(R)) == pytest.approx(total - 0.04, abs=0.02)
