"""Faces between media: Fresnel's values, the table of diffuse reflectances, reciprocity."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.optics.ceramic import INDEX
from stainbook.optics.interfaces import diffuse_reflectance, fresnel, internal_reflectance, outside_beam_reflectance
from stainbook.optics.streams import GLASS
from tests.published import published

INDICES = st.floats(1.05, 3.0)


@pytest.mark.parametrize("row", published("fresnel_diffuse.csv"), ids=lambda row: row["n"])
def test_table_of_faces_to_air(row):
    n, rounding = float(row["n"]), 0.51 * 10.0 ** -int(row["decimals"])
    assert float(fresnel(1.0, n)) == pytest.approx(float(row["normal"]), abs=rounding)
    assert diffuse_reflectance(n) == pytest.approx(float(row["diffuse"]), abs=rounding)
    assert internal_reflectance(n) == pytest.approx(float(row["diffuse_inside"]), abs=rounding)


@pytest.mark.parametrize("row", published("refractive_index.csv"), ids=lambda row: row["material"])
def test_indices_are_those_in_use(row):
    ours = GLASS.index if row["material"] == "glaze" else INDEX[row["material"]]
    assert float(row["low"]) <= ours <= float(row["high"])


@given(INDICES)
def test_reciprocity_of_diffuse_light(n):
    assert internal_reflectance(n) == pytest.approx(1.0 - (1.0 - diffuse_reflectance(n)) / n**2, abs=1e-8)


@given(INDICES, st.floats(0.01, 1.0))
def test_a_ray_is_reflected_alike_both_ways(n, cosine):
    inside = np.sqrt(1.0 - (1.0 - cosine**2) / n**2)
    assert float(fresnel(cosine, n)) == pytest.approx(float(fresnel(inside, 1.0 / n)), abs=1e-9)


@given(INDICES)
def test_parts_of_the_half_space_make_the_whole(n):
    edge = float(np.sqrt(1.0 - 1.0 / n**2))
    parts = edge**2 * diffuse_reflectance(1.0 / n, 0.0, edge) + (1 - edge**2) * diffuse_reflectance(1.0 / n, edge, 1.0)
    assert diffuse_reflectance(1.0 / n) == pytest.approx(parts, abs=1e-9)
    assert diffuse_reflectance(1.0 / n, 0.0, edge) == pytest.approx(1.0, abs=1e-12)  # total reflection


def test_no_face_between_equal_media():
    assert diffuse_reflectance(1.0) == pytest.approx(0.0, abs=1e-15)
    assert outside_beam_reflectance(1.0) == pytest.approx(0.0, abs=1e-15)


def test_eight_degrees_are_hardly_other_than_the_normal():
    assert outside_beam_reflectance(1.5) == pytest.approx(0.04, abs=1e-5)
    assert outside_beam_reflectance(1.5, degrees=80.0) > 0.3
