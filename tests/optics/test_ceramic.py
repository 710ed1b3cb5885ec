"""Bare readings and glass on them: inverses, laws, and radiative transfer with Fresnel faces."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.optics.ceramic import (
    INDEX,
    Base,
    Ceramic,
    add_absorption,
    bare_reading,
    base_of,
    faces,
    inner_reflectance,
    through_face,
    under_glass,
)
from stainbook.optics.interfaces import fresnel
from stainbook.optics.streams import GLASS
from tests.optics import kubelka_munk as km
from tests.worlds import adding_doubling as ad

ZIRCONIA = Ceramic(2.15, 0.0, 0.0)
INNER = st.floats(0.02, 0.98)
AIR, GLAZE, BODY = ad.nested_streams((1.0, 1.5, 2.15), (8, 8, 6))


def glazed(reading, *, surface="polished", stray=0.0, ceramic=ZIRCONIA):
    return through_face(base_of(np.asarray(reading), surface=surface, stray=stray, ceramic=ceramic))


def lightness(R):
    return 116.0 * np.cbrt(R) - 16.0


# ---------------------------------------------------------------- bare readings


@given(INNER, st.sampled_from(["matt", "polished", "wet"]), st.floats(0.0, 0.06), st.floats(1.3, 2.4))
def test_bare_reading_and_its_inverse(inner, surface, stray, index):
    own = {"surface": surface, "stray": stray, "ceramic": Ceramic(index, rough=0.6)}
    assert float(inner_reflectance(bare_reading(np.array(inner), **own), **own)) == pytest.approx(inner, abs=1e-9)


@given(INNER)
def test_stray_light_is_of_matt_faces_alone(inner):
    plain = bare_reading(np.array(inner), surface="polished", stray=0.05, ceramic=ZIRCONIA)
    matt = bare_reading(np.array(inner), surface="matt", stray=0.05, ceramic=ZIRCONIA)
    assert float(matt - plain) == pytest.approx(0.05, abs=1e-12)


@pytest.mark.parametrize("reading", [0.0, 1e-5, 1.0, 1.2])
def test_readings_at_the_ends_stay_within_reason(reading):
    inner = inner_reflectance(np.array(reading), surface="matt", stray=0.03, ceramic=ZIRCONIA)
    assert 0.0 < float(inner) < 1.0
    assert np.isfinite(float(glazed(reading, surface="matt", stray=0.03)))


# ---------------------------------------------------------------- glass in contact


@pytest.mark.parametrize("rho", [0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98])
def test_glass_on_a_smooth_face_as_radiative_transfer_has_it(rho):
    """Eight streams a half-space; what the inner face mirrors of the beam is caught by the gloss trap."""
    body = ad.backing(rho, BODY)
    bare = float(ad.sphere_reading(ad.interface(AIR, BODY), body))
    full = float(ad.sphere_reading(ad.interface(AIR, GLAZE), ad.cover(ad.interface(GLAZE, BODY), body)))
    mirrored = 0.96**2 * float(fresnel(1.0, 2.15 / 1.5))
    assert float(glazed(bare)) == pytest.approx(full - mirrored, abs=2e-3)


@pytest.mark.parametrize("rough", [0.3, 0.6, 1.0])
@pytest.mark.parametrize("rho", [0.1, 0.5, 0.8, 0.95])
def test_glass_on_a_rough_face_as_radiative_transfer_has_it(rough, rho):
    """A smooth face in its place is off by 0.006 to 0.03."""
    body = ad.backing(rho, BODY)
    bare = float(ad.sphere_reading(ad.interface(AIR, BODY, rough=rough), body))
    full = float(ad.sphere_reading(ad.interface(AIR, GLAZE), ad.cover(ad.interface(GLAZE, BODY, rough=rough), body)))
    mirrored = 0.96**2 * (1.0 - rough) * float(fresnel(1.0, 2.15 / 1.5))
    face = Ceramic(2.15, 0.0, 0.0, rough=rough)
    assert float(glazed(bare, surface="matt", ceramic=face)) == pytest.approx(full - mirrored, abs=4e-3)
    assert float(glazed(bare, surface="polished", ceramic=face)) == float(glazed(bare))  # a polish has no rough part


@pytest.mark.parametrize(("reading", "ratio"), [(0.10, 1.14), (0.29, 1.125), (0.38, 1.116), (0.63, 1.094)])
def test_ratios_of_glazed_to_bare_zirconia(reading, ratio):
    """Radiative transfer in smooth zirconia of index 2.15 under glass, specular excluded (tests/worlds)."""
    assert float(glazed(reading)) / reading == pytest.approx(ratio, abs=6e-3)


@pytest.mark.parametrize(("bare", "textbook", "trapped"), [(61.7, 67.1, 64.8), (72.9, 77.9, 76.1), (81.8, 86.4, 84.9)])
def test_lightness_of_clear_glass_on_zirconia(bare, textbook, trapped):
    """Chained Saunderson terms count all that the inner face sends back; the gloss trap takes its mirror image out."""
    R = ((bare + 16.0) / 116.0) ** 3
    below = km.inverse_saunderson(R, 0.133, 0.823, specular=False)
    chained = km.saunderson(km.saunderson(below, 0.08, 0.55), 0.04, 0.60, specular=False)
    assert lightness(chained) == pytest.approx(textbook, abs=0.15)  # constants of two digits
    assert lightness(float(glazed(R))) == pytest.approx(trapped, abs=0.1)
    untrapped = through_face(Base(base_of(np.array(R), surface="polished", stray=0.0, ceramic=ZIRCONIA).matrix, 0.0))
    assert lightness(float(untrapped)) == pytest.approx(textbook, abs=1.2)


def test_one_textbook_constant_for_both_faces_errs_by_many_lightness_units():
    for bare in (61.7, 72.9, 81.8):
        R = ((bare + 16.0) / 116.0) ** 3
        single = km.saunderson(km.inverse_saunderson(R, 0.133, 0.823, specular=False), 0.04, 0.60, specular=False)
        assert 5.0 < lightness(single) - lightness(float(glazed(R))) < 13.5


@given(INNER)
def test_a_body_of_the_glass_s_own_index_has_no_inner_face(inner):
    base = under_glass(np.array(inner), ceramic=Ceramic(GLASS.index))
    sent = sum(share * (base.matrix[i] + base.matrix[2 + i]) for i, share in enumerate(GLASS.flux))
    assert float(sent) == pytest.approx(inner, abs=1e-5)
    assert base.mirror == pytest.approx(0.0, abs=1e-5)


@given(INNER, st.floats(1.3, 2.6), st.floats(0.0, 1.0))
def test_no_more_light_comes_back_than_went_in(inner, index, rough):
    a, b, c, d = under_glass(np.array(inner), ceramic=Ceramic(index, rough=rough), surface="matt").matrix
    assert max(float(a + c), float(b + d)) <= 1.0 + 1e-9
    assert min(map(float, (a, b, c, d))) >= 0.0


@given(st.floats(1.51, 2.6))
def test_reciprocity_of_the_inner_face(index):
    face = faces(index)
    down = sum(share * (1.0 - one) for share, one in zip(GLASS.flux, face.glass_in, strict=True))
    assert 1.0 - face.glass_out == pytest.approx(down / (index / GLASS.index) ** 2, abs=1e-6)


@given(st.floats(0.02, 0.75), st.floats(0.01, 0.09))
def test_a_lighter_bare_piece_is_lighter_under_glass(reading, more):
    assert float(glazed(reading + more)) > float(glazed(reading))


def test_a_glazed_reading_is_its_own_under_glass():
    for surface in ("glazed", None):
        assert float(glazed(0.4, surface=surface)) == pytest.approx(0.4, abs=1e-12)


@pytest.mark.parametrize("material", ["Zirconia", "lithium disilicate", None, "something new"])
def test_what_is_expected_of_a_material(material):
    ceramic = Ceramic.of(material)
    assert ceramic.index == {"Zirconia": INDEX["zirconia"], None: INDEX["zirconia"]}.get(material, 1.55)
    assert 0.0 < ceramic.stray_sd < ceramic.stray < 0.06
    assert not ceramic.known


# ---------------------------------------------------------------- stains that soak in


@given(st.floats(0.01, 0.99), st.floats(0.0, 5.0))
def test_soaked_bodies_follow_kubelka_and_munk(inner, extra):
    after = add_absorption(np.array(inner), np.array(extra))
    assert float(after) == pytest.approx(float(km.infinite_reflectance(km.k_over_s(inner) + extra, 1.0)), abs=1e-12)
    assert float(after) <= inner + 1e-12


@given(st.floats(0.01, 0.99), st.floats(0.0, 5.0), st.floats(0.0, 20.0))
def test_a_soaked_layer_is_kubelka_and_munks_layer_on_the_body_as_it_was(inner, extra, depth):
    after = add_absorption(np.array(inner), np.array(extra), np.array(depth))
    ratio = km.k_over_s(inner) + extra
    assert float(after) == pytest.approx(float(km.reflectance(ratio, 1.0, depth, inner)), abs=1e-9)
    deeper = add_absorption(np.array(inner), np.array(extra), np.array(depth + 1.0))
    assert float(add_absorption(np.array(inner), np.array(extra))) - 1e-9 <= float(deeper) <= float(after) + 1e-9


@given(st.floats(0.01, 0.99), st.floats(0.0, 2.0), st.floats(0.0, 2.0))
def test_two_passes_are_one_of_both(inner, first, second):
    twice = add_absorption(add_absorption(np.array(inner), np.array(first)), np.array(second))
    once = add_absorption(np.array(inner), np.array(first + second))
    assert float(twice) == pytest.approx(float(once), abs=1e-9)
