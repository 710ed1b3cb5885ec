"""What is expected of stains without chips: shapes that make sense, doubts that are covariances."""

import numpy as np
import pytest

from stainbook.colour import WAVELENGTHS
from stainbook.optics.curves import SIZE, Optics, Pooled, expected_curve
from stainbook.optics.families import LEVEL_SD, expected_log_curves, log_curve_covariance
from stainbook.records import FAMILIES

EVERY = [*FAMILIES, None, "teal"]


def band(low, high):
    return (WAVELENGTHS >= low) & (WAVELENGTHS <= high)


@pytest.mark.parametrize("family", EVERY)
def test_curves_are_finite_and_moderate(family):
    ln_K, ln_S = expected_log_curves(family)
    assert np.exp(ln_K).max() <= 0.1
    assert 0.05 < np.exp(ln_S).mean() < 2.0
    assert ln_K.shape == ln_S.shape == WAVELENGTHS.shape


@pytest.mark.parametrize("family", EVERY)
@pytest.mark.parametrize("clear", [False, True])
def test_doubts_are_covariances(family, clear):
    for covariance in log_curve_covariance(family, clear=clear):
        np.testing.assert_allclose(covariance, covariance.T, rtol=0, atol=1e-15)
        assert np.linalg.eigvalsh(covariance).min() > 0.0


@pytest.mark.parametrize(
    ("family", "more", "less"),
    [
        ("yellow", (400, 460), (600, 700)),
        ("orange", (400, 500), (620, 700)),
        ("brown", (400, 460), (640, 700)),
        ("blue", (580, 620), (430, 470)),
        ("violet", (540, 580), (400, 430)),
        ("pink", (505, 545), (620, 700)),
        ("red", (420, 560), (640, 700)),
    ],
)
def test_families_absorb_what_they_do_not_show(family, more, less):
    K = np.exp(expected_log_curves(family)[0])
    assert K[band(*more)].min() > 2.0 * K[band(*less)].max()


def test_white_scatters_and_grey_is_even():
    K = {name: np.exp(expected_log_curves(name)[0]) for name in ("white", "grey")}
    S = {name: np.exp(expected_log_curves(name)[1]) for name in FAMILIES}
    assert max(S, key=lambda name: S[name].mean()) == "white"
    assert np.ptp(K["grey"]) < 1e-12
    assert K["white"].max() < 0.1 * K["grey"].max()


def test_an_unnamed_family_is_wider_than_any_named_one():
    width = {family: np.trace(log_curve_covariance(family)[0]) for family in EVERY}
    coloured = [width[family] for family in FAMILIES if family != "white"]
    assert width[None] == width["teal"] > 1.5 * max(coloured)
    assert width[None] > width["white"] > max(coloured)  # a white hardly absorbs: how clean it is, is what differs
    assert np.sqrt(width["red"] / len(WAVELENGTHS)) > LEVEL_SD


def test_a_stain_without_chips_carries_its_familys_doubt():
    curve = expected_curve("husk", "surface", "brown", Pooled(exponent=(0.9, 0.01)))
    covariance = curve.factor @ curve.factor.T
    np.testing.assert_allclose(covariance[:31, :31], log_curve_covariance("brown")[0], rtol=0, atol=1e-12)
    assert curve.factor.shape == (SIZE, SIZE)
    assert (curve.exponent, curve.chips) == (0.9, 0)
    np.testing.assert_allclose(curve.K, np.exp(expected_log_curves("brown")[0]))
    np.testing.assert_allclose(curve.S, np.exp(expected_log_curves("brown")[1]))


def test_the_only_ceramic_of_a_lab_is_meant_where_none_is_named():
    from stainbook.optics.ceramic import Ceramic

    found = Ceramic(2.2, 0.01, 0.002, known=True)
    assert Optics({}, {"zirconia": found}).ceramic(None) is found
    assert Optics({}, {"zirconia": found}).ceramic("lithium disilicate").index == 1.55
    assert Optics({}, {"zirconia": found, "alumina": found}).ceramic(None).index == 2.15
