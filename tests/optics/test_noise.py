"""The noise of a lab's readings, from what a fit leaves of its chips."""

from dataclasses import replace

import numpy as np
import pytest

from stainbook.optics.calibrate import calibrate
from stainbook.optics.causes import SHIFT_SD
from stainbook.optics.curves import Pooled, Unstated
from stainbook.optics.fit import MODEL_LEVEL_SD, group_of, priors_of, solve
from stainbook.optics.noise import NEAR, first_guess, near, with_shared_plates
from stainbook.records import Stain
from tests.optics.painted import BANDS, ZIRCONIA, fired, forecast_one, layer, stripes, true_numbers

STAINS = {name: Stain(name, "surface", None) for name in ("husk", "straw")}


def made(*, band=0.0, level=0.0, seed=3):
    """Chips of two stains whose readings repeat worse than they state."""
    rng, out = np.random.default_rng(seed), []
    for i, name in enumerate(STAINS):
        for chip in fired(stripes(name), {name: true_numbers(i + 1)}, hand=0.1, seed=seed + i):
            off = band * rng.standard_normal(BANDS) + level * rng.standard_normal()
            out.append(replace(chip, reading=chip.reading * np.exp(off)))
    return out


@pytest.mark.parametrize("band", [0.014, 0.03])
def test_noise_of_bands_that_no_reading_states_is_found(band):
    found = first_guess(made(band=band))  # all of it was put upon one of a chip's two readings
    assert found.band == pytest.approx(band / np.sqrt(2.0), rel=0.15)
    assert found.level == found.share == 0.0


@pytest.mark.parametrize(("name", "own"), [("level", MODEL_LEVEL_SD), ("share", SHIFT_SD)])
@pytest.mark.parametrize("before", [0.0, 0.01, 0.05])
def test_fits_agree_up_to_a_share_of_the_variance_that_the_larger_has_with_the_models_own(name, own, before):
    # after**2 - before**2 = NEAR * (own**2 + after**2)
    edge = np.sqrt((before**2 + NEAR * own**2) / (1.0 - NEAR))
    one = Unstated(0.0, **{"level": 0.0, "share": 0.0, name: before})
    for factor, agree in ((0.999, True), (1.001, False)):
        other = replace(one, **{name: factor * edge})
        assert (near(one, other), near(other, one)) == (agree, agree)


def test_noisy_chips_are_not_held_against_one_another():
    assert not calibrate(made(band=0.014), STAINS).held_back


def test_samples_that_sit_unevenly_are_found():
    unstated = calibrate(made(level=0.03), STAINS).optics.unstated
    assert unstated.level == pytest.approx(0.03 / np.sqrt(2.0), rel=0.5)
    assert unstated.band == 0.0


def test_chips_that_repeat_as_stated_leave_all_as_it_is():
    assert calibrate(made(), STAINS).optics.unstated == Unstated()
    assert not Unstated().noisy


def test_one_wrong_chip_makes_no_noisy_instrument():
    chips = made()
    chips[0] = replace(chips[0], reading=chips[5].reading)
    assert calibrate(chips, STAINS).optics.unstated.level < 0.01


def test_chips_of_a_plate_share_its_error():
    numbers = true_numbers(1)
    chips = fired(stripes(), {"husk": numbers})
    noisy = Unstated(level=0.02)
    wide = [replace(chip, covariance=chip.covariance + 2.0 * noisy.reading()) for chip in chips]
    off = 0.02 * (np.array([chip.body == "pale" for chip in chips]))
    moved = [
        replace(chip, body_reading=chip.body_reading * np.exp(one), body_surface="glazed")
        for chip, one in zip(wide, off, strict=True)
    ]
    groups = [group_of(["husk"], {"husk": "surface"}, some, lambda _: ZIRCONIA, Pooled()) for some in (wide, moved)]
    true, wrong = (solve(group, *priors_of(["husk"], {"husk": "surface"}, {}, Pooled())) for group in groups)
    shared = with_shared_plates(groups[0], true, noisy)
    more = shared.covariance - true.covariance
    way = (wrong.theta - true.theta).reshape(-1)
    assert np.linalg.eigvalsh(shared.covariance).min() > -1e-3
    assert way @ more[: way.size, : way.size] @ way > 0.0
    assert with_shared_plates(groups[0], true, Unstated()) is true


def test_a_noisy_lab_forecasts_what_will_be_read():
    optics = calibrate(made(), STAINS).optics
    noisy = replace(optics, unstated=Unstated(band=0.01, level=0.005, share=0.05))
    body = np.full(BANDS, 0.6)
    quiet, wide = (
        forecast_one(one, body, "glazed", (layer(husk=0.5),), reading_covariance=1e-6 * np.eye(BANDS))
        for one in (optics, noisy)
    )
    assert "result " not in quiet.sources
    rows = wide.sources["result "]
    np.testing.assert_allclose(rows.T @ rows, noisy.unstated.reading(), rtol=0, atol=1e-12)
    for cause in ("reading ", "model "):
        assert np.trace(wide.sources[cause].T @ wide.sources[cause]) > np.trace(
            quiet.sources[cause].T @ quiet.sources[cause]
        )
