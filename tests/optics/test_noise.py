"""The noise of a lab's chips, from what a fit leaves of them."""

from dataclasses import replace

import numpy as np
import pytest

from stainbook.optics.calibrate import calibrate
from stainbook.optics.curves import MODEL_BAND_SD, MODEL_LEVEL_SD, Pooled
from stainbook.records import Stain
from tests.optics.painted import BANDS, fired, stripes, true_numbers

STAINS = {name: Stain(name, "surface", None) for name in ("husk", "straw")}


def made(*, band, level, seed=3):
    """Chips of two stains whose readings repeat worse than they state."""
    rng, out = np.random.default_rng(seed), []
    for i, name in enumerate(STAINS):
        for chip in fired(stripes(name), {name: true_numbers(i + 1)}, hand=0.1, seed=seed + i):
            off = band * rng.standard_normal(BANDS) + level * rng.standard_normal()
            out.append(replace(chip, reading=chip.reading * np.exp(off)))
    return out


def found(chips):
    return calibrate(chips, STAINS)


@pytest.mark.parametrize("band", [0.015, 0.03])
def test_band_noise_that_no_reading_states_is_found(band):
    result = found(made(band=band, level=0.0))
    assert result.optics.pooled.band == pytest.approx(band, rel=0.25)
    assert not result.held_back


def test_a_sample_that_sits_unevenly_is_found():
    pooled = found(made(band=0.0, level=0.03)).optics.pooled
    assert pooled.level > 2.0 * MODEL_LEVEL_SD
    assert pooled.band < MODEL_BAND_SD


def test_chips_that_repeat_as_they_state_are_left_so():
    pooled = found(made(band=MODEL_BAND_SD, level=MODEL_LEVEL_SD)).optics.pooled
    assert pooled.band == pytest.approx(MODEL_BAND_SD, rel=0.3)
    assert np.all(Pooled().unstated == 0.0)


def test_one_wrong_chip_makes_no_noisy_instrument():
    chips = made(band=0.002, level=0.0)
    wrong = [replace(chips[0], reading=chips[5].reading), *chips[1:]]
    assert found(wrong).optics.pooled.band < 2.0 * MODEL_BAND_SD


def test_what_a_reading_does_not_state_is_half_of_what_two_show():
    more = Pooled(band=0.02, level=0.01).unstated
    assert more[0, 0] == pytest.approx((0.02**2 - MODEL_BAND_SD**2 + 0.01**2 - MODEL_LEVEL_SD**2) / 2.0)
    assert more[0, 1] == pytest.approx((0.01**2 - MODEL_LEVEL_SD**2) / 2.0)
