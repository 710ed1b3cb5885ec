"""Adding-doubling against another implementation, an exact solution, and the laws of radiative transfer."""

from __future__ import annotations

import iadpython
import numpy as np
import pytest

from tests.worlds import adding_doubling as ad

ALONE = ad.nested_streams((1.0,), (16,))[0]
AIR, GLASS, DENSE = ad.nested_streams((1.0, 1.5, 2.15), (8, 8, 6))
SLABS = [(0.99, 0.5, 0.6), (0.9, 1.0, 0.8), (0.5, 1.0, 0.0), (0.999, 10.0, 0.5), (1.0, 2.0, 0.7), (0.8, 0.1, 0.6)]


def upside_down(slab: ad.Slab) -> ad.Slab:
    return ad.Slab(slab.reflect_up, slab.transmit_up, slab.reflect_down, slab.transmit_down)


def in_air(slab: ad.Slab) -> ad.Slab:
    top = ad.interface(AIR, GLASS)
    return ad.add(ad.add(top, slab), upside_down(top))


def reference(albedo: float, depth: float, g: float, index: float) -> np.ndarray:
    return np.array(iadpython.Sample(a=albedo, b=depth, g=g, n=index, quad_pts=16).rt())


def totals(slab: ad.Slab, outside: ad.Streams) -> np.ndarray:
    """Total reflectance and transmittance, for a normal beam and for diffuse light."""
    reflect, transmit = slab.reflect_down.sum(axis=0), slab.transmit_down.sum(axis=0)
    diffuse = outside.lambert
    return np.array([reflect[-1], transmit[-1], reflect @ diffuse, transmit @ diffuse])


@pytest.mark.parametrize(("albedo", "depth", "g"), SLABS)
def test_slab_equals_other_implementation(albedo: float, depth: float, g: float) -> None:
    ours = totals(ad.slab(depth, albedo, g, ALONE), ALONE)
    # both are converged at 16 streams; what is left is the diamond start of either
    np.testing.assert_allclose(ours, reference(albedo, depth, g, 1.0), rtol=0, atol=5e-5)


@pytest.mark.parametrize(("albedo", "depth", "g"), SLABS)
def test_slab_of_glass_in_air_equals_other_implementation(albedo: float, depth: float, g: float) -> None:
    ours = totals(in_air(ad.slab(depth, albedo, g, GLASS)), AIR)
    # 1e-3: diffuse light on an interface is integrated over streams on one side or the other, 7e-4 apart
    np.testing.assert_allclose(ours, reference(albedo, depth, g, 1.5), rtol=0, atol=1e-3)


@pytest.mark.parametrize("index", [1.5, 2.15])
def test_eight_streams_are_enough_for_a_simulated_lab(index: float) -> None:
    few = ad.nested_streams((1.0, 1.5, 2.15), (4, 4, 3))
    many = (AIR, GLASS, DENSE)
    readings = []
    for media in (few, many):
        inside = media[1] if index == 1.5 else media[2]
        body = ad.cover(ad.slab(12.0, 0.995, 0.4, inside), ad.backing(np.array(0.5), inside))
        readings.append(float(ad.sphere_reading(ad.interface(media[0], inside), body)))
    assert readings[0] == pytest.approx(readings[1], abs=1.5e-3)  # 0.1 L*: the world is its own truth


def test_semi_infinite_isotropic_equals_exact_solution() -> None:
    """Plane albedo 1 - sqrt(1 - w) H(1); H from its integral equation (Chandrasekhar 1960, from memory)."""
    for albedo in (0.5, 0.9, 0.99):
        reflect = ad.slab(4000.0, albedo, 0.0, ALONE).reflect_down
        assert reflect[:, -1].sum() == pytest.approx(1 - np.sqrt(1 - albedo) * _h_at_normal(albedo), abs=2e-5)


def _h_at_normal(albedo: float) -> float:
    nodes, weights = np.polynomial.legendre.leggauss(200)
    mu, weight = (nodes + 1) / 2, weights / 2
    h = np.ones_like(mu)
    for _ in range(400):
        kernel = (weight * h * mu) / (mu[:, None] + mu[None, :])
        h = 1 / (np.sqrt(1 - albedo) + 0.5 * albedo * kernel.sum(axis=1))
    return float(1 / (np.sqrt(1 - albedo) + 0.5 * albedo * np.sum(weight * h * mu / (1 + mu))))


@pytest.mark.parametrize("streams", [ALONE, GLASS, DENSE])
def test_lossless_slab_conserves_energy(streams: ad.Streams) -> None:
    slab = ad.slab(np.array([0.01, 0.7, 9.0]), 1.0, np.array([0.0, 0.5, 0.8]), streams)
    total = (slab.reflect_down + slab.transmit_down).sum(axis=-2)
    np.testing.assert_allclose(total, 1.0, rtol=0, atol=1e-11)


@pytest.mark.parametrize("rough", [0.0, 0.4, 1.0])
@pytest.mark.parametrize("pair", [(AIR, GLASS), (GLASS, DENSE), (AIR, DENSE)])
def test_interface_conserves_energy_and_is_reciprocal(rough: float, pair: tuple[ad.Streams, ad.Streams]) -> None:
    above, below = pair
    face = ad.interface(above, below, rough=rough)
    np.testing.assert_allclose((face.reflect_down.sum(axis=0) + face.transmit_down.sum(axis=0)), 1, rtol=0, atol=1e-12)
    np.testing.assert_allclose((face.reflect_up.sum(axis=0) + face.transmit_up.sum(axis=0)), 1, rtol=0, atol=1e-12)
    # light in equilibrium, as much in each stream as its etendue mu w n^2, passes both ways alike
    down = face.transmit_down * (above.index**2 * above.mu * above.weight)
    up = face.transmit_up * (below.index**2 * below.mu * below.weight)
    # the diffusing share uses the analytic 1 / n^2, the quadrature of the dense medium is within 1e-7 of it
    np.testing.assert_allclose(down, up.T, rtol=0, atol=1e-8)


def test_interface_constants() -> None:
    assert ad.diffuse_fresnel(1.5) == pytest.approx(0.0918, abs=5e-5)
    assert ad.fresnel(1.0, 1.5) == pytest.approx(0.04, abs=1e-12)
    smooth = ad.interface(AIR, DENSE)
    assert smooth.reflect_up.sum(axis=0) @ DENSE.lambert == pytest.approx(0.823, abs=5e-4)
    between = ad.interface(GLASS, DENSE)
    assert between.reflect_up.sum(axis=0) @ DENSE.lambert == pytest.approx(0.55, abs=5e-3)


def test_two_slabs_in_contact_are_one_of_both() -> None:
    half, whole = ad.slab(0.4, 0.9, 0.6, GLASS), ad.slab(0.8, 0.9, 0.6, GLASS)
    both = ad.add(half, half)
    # the first steps of the two differ in depth, hence the tolerance of the diamond start
    np.testing.assert_allclose(both.reflect_down, whole.reflect_down, rtol=0, atol=2e-4)
    np.testing.assert_allclose(both.transmit_down, whole.transmit_down, rtol=0, atol=2e-4)


def test_covering_is_adding() -> None:
    upper, lower = ad.slab(0.4, 0.9, 0.6, GLASS), ad.slab(3.0, 0.99, 0.2, GLASS)
    np.testing.assert_allclose(ad.cover(upper, lower.reflect_down), ad.add(upper, lower).reflect_down, atol=1e-14)


def test_no_slab_changes_nothing() -> None:
    nothing = ad.slab(0.0, 0.9, 0.6, GLASS)
    np.testing.assert_allclose(nothing.transmit_down, np.eye(len(GLASS)), rtol=0, atol=1e-15)
    np.testing.assert_allclose(nothing.reflect_down, 0.0, rtol=0, atol=1e-15)


def test_readings_of_a_diffuser_are_its_reflectance() -> None:
    flat = ad.backing(np.array([0.2, 0.9]), ALONE)
    bare = ad.interface(ALONE, ALONE)
    np.testing.assert_allclose(ad.sphere_reading(bare, flat), [0.2, 0.9], rtol=0, atol=1e-12)
    np.testing.assert_allclose(ad.annular_reading(bare, flat, ALONE), [0.2, 0.9], rtol=0, atol=1e-9)


def test_annular_reading_leaves_the_surface_out() -> None:
    body = ad.backing(np.array([0.0, 0.6]), GLASS)
    black, grey = ad.annular_reading(ad.interface(AIR, GLASS), body, AIR)
    assert black == pytest.approx(0.0, abs=1e-12)
    # (1 - r45)(1 - r0) R / (n^2 (1 - R k2)), k2 = 0.5963
    passed = (1 - ad.fresnel(np.sqrt(0.5), 1.5)) * (1 - ad.fresnel(1.0, 1.5))
    assert grey == pytest.approx(float(passed) * 0.6 / (1.5**2 * (1 - 0.6 * 0.5963)), abs=1e-4)
