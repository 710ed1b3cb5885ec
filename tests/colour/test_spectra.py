from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.colour import WAVELENGTHS, delta_e_2000, lab_jacobian, spectrum_to_lab, spectrum_to_xyz, xyz_to_lab
from stainbook.errors import InputError
from tests.colour.curves import CURVES
from tests.colour.library import colour_science
from tests.colour.strategies import LIGHT, OBSERVER, REFLECTANCE
from tests.published import published

ANALYTIC = published("analytic_spectra.csv")
RANGES = {"5 nm": (360, 780, 5), "10 nm": (380, 730, 10), "10 nm short": (400, 700, 10), "20 nm": (400, 700, 20)}


def by(shape):
    return np.arange(shape[0], shape[1] + 1.0, shape[2])


@pytest.mark.parametrize("shape", RANGES)
@pytest.mark.parametrize("row", ANALYTIC, ids=lambda row: f"{row['curve']} {row['illuminant']}/{row['observer']}")
def test_analytic_spectra_against_the_sum_by_1_nm(row, shape):
    nm = by(RANGES[shape])
    lab = spectrum_to_lab(CURVES[row["curve"]](nm), nm, illuminant=row["illuminant"], observer=int(row["observer"]))
    # What sampling costs: least for teeth, most for the narrow bands of gum under the narrow bands of F11.
    narrow = row["illuminant"] in ("F11", "LED-B3")
    tolerance = {
        "tooth": {"5 nm": 0.015, "10 nm": 0.003, "10 nm short": 0.003, "20 nm": 0.006},
        "gum": {"5 nm": 0.09 if narrow else 0.005, "10 nm": 0.16 if narrow else 0.012}
        | {"10 nm short": 0.16 if narrow else 0.012, "20 nm": 0.41 if narrow else 0.11},
    }[row["curve"]][shape]
    assert delta_e_2000(lab, [float(row[axis]) for axis in "Lab"]) < tolerance


@given(LIGHT, OBSERVER, st.sampled_from(sorted(RANGES)))
def test_the_perfect_diffuser_is_white(light, observer, shape):
    nm = by(RANGES[shape])
    lab = spectrum_to_lab(np.ones(nm.size), nm, illuminant=light, observer=observer)
    np.testing.assert_allclose(lab, [100, 0, 0], rtol=0, atol=1e-9)


@given(LIGHT, OBSERVER, st.floats(0.01, 1.0))
def test_any_grey_is_neutral(light, observer, level):
    lab = spectrum_to_lab(np.full(31, level), WAVELENGTHS, illuminant=light, observer=observer)
    np.testing.assert_allclose(lab[1:], 0.0, rtol=0, atol=1e-9)


@pytest.mark.parametrize("light", ["C", "E", "FL12", "LED-B1", "d75"])
def test_library_lights_hold_the_white_too(light):
    lab = spectrum_to_lab(np.ones(31), WAVELENGTHS, illuminant=light, observer=2)
    np.testing.assert_allclose(lab, [100, 0, 0], rtol=0, atol=1e-9)


def test_published_chart_colours():
    """The BabelColor average of 30 charts: spectra against the xyY set that was published with them, D50/2°."""
    colour = colour_science()
    spectra = colour.SDS_COLOURCHECKERS["BabelColor Average"]
    chart = colour.CCS_COLOURCHECKERS["BabelColor Average"]
    nm = np.arange(380.0, 731.0, 10.0)
    reflectance = np.array([spectra[name].values for name in chart.data])
    ours = spectrum_to_lab(reflectance, nm, illuminant="D50", observer=2)
    xyz = colour.xyY_to_XYZ(np.array(list(chart.data.values())))
    theirs = colour.XYZ_to_Lab(xyz, chart.illuminant)
    dE = delta_e_2000(ours, theirs)
    assert dE.shape == (24,)
    assert dE.max() < 0.2  # the darkest patch, whose published Y has four decimals
    assert np.median(dE) < 0.04


@pytest.mark.parametrize(
    ("patch", "xyz", "lab"),
    [
        ("dark skin", (11.8054, 10.3278, 5.1656), (38.4245, 13.6880, 14.4217)),
        ("light skin", (39.4234, 35.2387, 19.3731), (65.9341, 17.9379, 17.8826)),
        ("red", (21.9635, 12.6963, 3.8064), (42.3021, 54.0559, 28.7919)),
    ],
)
def test_chart_patches_in_figures(patch, xyz, lab):
    sd = colour_science().SDS_COLOURCHECKERS["BabelColor Average"][patch]
    nm = np.asarray(sd.wavelengths)
    np.testing.assert_allclose(spectrum_to_xyz(sd.values, nm, illuminant="D50", observer=2), xyz, rtol=0, atol=6e-5)
    ours = spectrum_to_lab(sd.values, nm, illuminant="D50", observer=2)
    # The Lab in figures took D50's white from its chromaticity, ours from the weights: 0.003 apart near white.
    np.testing.assert_allclose(ours, lab, rtol=0, atol=0.02)


@given(REFLECTANCE, LIGHT, OBSERVER)
def test_scalar_is_array_is_grid(reflectance, light, observer):
    view = {"illuminant": light, "observer": observer}
    one = spectrum_to_lab(reflectance, WAVELENGTHS, **view)
    grid = spectrum_to_lab(np.tile(reflectance, (2, 3, 1)), WAVELENGTHS, **view)
    assert grid.shape == (2, 3, 3)
    np.testing.assert_allclose(grid[1, 2], one, rtol=0, atol=1e-11)


@given(REFLECTANCE, LIGHT, OBSERVER)
def test_lab_comes_from_xyz_with_the_white_of_the_weights(reflectance, light, observer):
    view = {"illuminant": light, "observer": observer}
    white = spectrum_to_xyz(np.ones(31), WAVELENGTHS, **view)
    lab = xyz_to_lab(spectrum_to_xyz(reflectance, WAVELENGTHS, **view), white)
    np.testing.assert_allclose(spectrum_to_lab(reflectance, WAVELENGTHS, **view), lab, rtol=0, atol=1e-9)


@given(REFLECTANCE, LIGHT, OBSERVER)
def test_jacobian_against_central_differences(reflectance, light, observer):
    view = {"illuminant": light, "observer": observer}
    h = 1e-6
    steps = reflectance + h * np.vstack([np.eye(31), -np.eye(31)])
    up, down = np.split(spectrum_to_lab(steps, WAVELENGTHS, **view), 2)
    # Where X, Y or Z crosses the foot of the cube root the second derivative jumps: 1e-2 of some 100 there.
    np.testing.assert_allclose(
        lab_jacobian(reflectance, WAVELENGTHS, **view), ((up - down) / (2 * h)).T, rtol=1e-4, atol=1e-4
    )


def test_nan_goes_through_alone():
    reflectance = np.full((2, 31), 0.5)
    reflectance[1, 3] = np.nan
    lab = spectrum_to_lab(reflectance, WAVELENGTHS, illuminant="D65", observer=10)
    assert np.isfinite(lab[0]).all()
    assert np.isnan(lab[1]).all()


def test_percent_is_refused():
    with pytest.raises(InputError, match="divide percent by 100"):
        spectrum_to_lab(np.full(31, 45.0), WAVELENGTHS, illuminant="D65", observer=10)


def test_a_band_too_few_is_refused():
    with pytest.raises(InputError, match=r"expected \(…, 31\)"):
        spectrum_to_lab(np.full(30, 0.5), WAVELENGTHS, illuminant="D65", observer=10)
