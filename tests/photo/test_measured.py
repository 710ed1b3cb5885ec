"""Measured by others: blood's table, and skin seen by measured cameras, as the models of living tissue have it."""

import gzip
from pathlib import Path

import numpy as np
import pytest

from stainbook.colour import WAVELENGTHS, delta_e_2000, spectrum_to_lab, tristimulus_weights
from stainbook.photo.camera_response import estimate_response, response_covariances, response_kernels
from stainbook.photo.tissue_families import OXYGENATED, REDUCED, gum_models
from stainbook.photo.zone_spectrum import LikelyTissue, Seen, zone_spectrum
from tests.colour.library import colour_science
from tests.worlds.photo_sealed import measured_cameras
from tests.worlds.photo_spectra import NM

PUBLISHED = Path(__file__).parents[1] / "published"
GRID = np.asarray(WAVELENGTHS, dtype=np.float64)
WEIGHTS = tristimulus_weights(GRID, illuminant="D65", observer=10)
TABLE_DOUBT = 0.012
SKIN = (15, 18)  # the two of CIE 224's 99 samples that are human skin


@pytest.fixture(scope="module")
def skins():
    """Measured skin on ``NM``, as colour-science ships the samples of CIE 224:2017."""
    path = Path(colour_science().__file__).parent / "quality" / "datasets" / "tcs_cfi2017_1_nm.csv.gz"
    with gzip.open(path, "rt") as lines:
        samples = np.loadtxt(lines, delimiter=",")
    return [np.interp(NM, samples[:, 0], samples[:, number]) for number in SKIN]


def test_blood_is_as_published():
    table = np.loadtxt(PUBLISHED / "blood_extinction.csv", delimiter=",", comments="#", skiprows=3)
    np.testing.assert_array_equal(table[:, 0], GRID)
    np.testing.assert_allclose(table[:, 1:].T, [OXYGENATED, REDUCED], rtol=1e-4)


@pytest.mark.parametrize("camera", range(4))
@pytest.mark.parametrize("number", range(len(SKIN)))
def test_measured_skin_by_measured_cameras_is_met_as_living_tissue(skins, camera, number):
    """ΔE00 0.3-1.4 by one shot, 0.2-1.2 by two; the last camera, whose channels lie in layers, knows of its doubt."""
    sees = measured_cameras()[camera]
    gel = 0.04 + 0.8 / (1 + np.exp((NM - 588) / 20))
    chart = np.array([np.interp(NM, sd.wavelengths, sd.values) for sd in _charts()["ISO 17321-1"].values()])
    table = np.array([np.interp(GRID, NM, curve) for curve in chart])
    shots = []
    for response in (sees, sees * gel[:, np.newaxis]):
        patches, kernels = chart @ response, response_kernels(GRID)
        found = estimate_response(table, patches, kernels, noise=TABLE_DOUBT)
        left = response_covariances(table, patches, kernels, noise=TABLE_DOUBT)
        shots.append(Seen(skins[number] @ response, found.mean, left))
    models = [LikelyTissue.of(curves, GRID) for curves in gum_models()]
    true = spectrum_to_lab(skins[number], NM, illuminant="D65", observer=10)
    one, two = (zone_spectrum(shots[:count], models, WEIGHTS) for count in (1, 2))
    errors = [float(delta_e_2000(found.lab, true)) for found in (one, two)]
    assert errors[1] < two.radius
    if camera < 3:
        assert errors[0] < 1.75
        assert errors[1] < 1.5
    else:
        assert two.radius > 4.0


def _charts():
    return colour_science().SDS_COLOURCHECKERS
