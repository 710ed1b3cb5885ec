from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.colour import lab_to_srgb
from stainbook.colour.screen import XYZ_TO_SRGB
from stainbook.errors import InputError
from tests.colour.library import colour_science


@pytest.mark.parametrize(("lightness", "code"), [(100, "#ffffff"), (0, "#000000"), (53.585, "#808080")])
def test_neutrals(lightness, code):
    assert lab_to_srgb([lightness, 0, 0]) == (code, True)


def test_the_screens_primaries_are_its_own():
    primaries = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]  # IEC 61966-2-1:1999
    np.testing.assert_allclose(XYZ_TO_SRGB @ np.array(primaries), np.eye(3), rtol=0, atol=1e-3)


@given(st.floats(0, 100))
def test_grey_is_grey(lightness):
    swatch = lab_to_srgb([lightness, 0, 0])
    assert swatch.in_gamut
    assert len({swatch.hex[1:3], swatch.hex[3:5], swatch.hex[5:7]}) == 1


@pytest.mark.parametrize("lab", [(72, 1, 16), (50, 23, 15), (80, -2, 10), (35, 15, 20)])
def test_equals_colour_science_to_a_code(lab):
    colour = colour_science()
    d65 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    xyz = colour.Lab_to_XYZ(np.array(lab, dtype=float), d65)
    theirs = np.rint(np.clip(colour.XYZ_to_sRGB(xyz), 0, 1) * 255)
    swatch = lab_to_srgb(lab)
    ours = [int(swatch.hex[i : i + 2], 16) for i in (1, 3, 5)]
    np.testing.assert_allclose(ours, theirs, rtol=0, atol=1)
    assert swatch.in_gamut


@pytest.mark.parametrize("lab", [(60, 100, 0), (50, -80, 60), (100, 20, 20)])
def test_what_the_screen_cannot_show_is_marked(lab):
    assert not lab_to_srgb(lab).in_gamut


@pytest.mark.parametrize("lab", [(50, 0), (float("nan"), 0, 0), [(50, 0, 0)]])
def test_anything_but_one_colour_is_refused(lab):
    with pytest.raises(InputError):
        lab_to_srgb(lab)
