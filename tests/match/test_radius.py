"""The claimed radius of a step: 9 in 10 of its draws lie within it."""

from __future__ import annotations

import numpy as np
import pytest

from stainbook.colour import delta_e_2000
from stainbook.match.odds import radius_about


@pytest.mark.parametrize("spread", [0.3, 1.0, 4.0])
def test_it_holds_nine_in_ten_of_the_draws(spread: float) -> None:
    rng = np.random.default_rng(5)
    lab = np.array([[72.0, 1.6, 17.0], [45.0, 22.0, 9.0], [60.0, 0.5, -2.0]])
    draws = lab[:, None] + spread * rng.standard_normal((3, 512, 3)) * [1.5, 0.5, 1.0]
    held = (delta_e_2000(draws, lab[:, None]) <= radius_about(lab, draws)[:, None]).mean(axis=1)
    assert held == pytest.approx(0.9, abs=0.015)


def test_what_is_sure_has_none() -> None:
    lab = np.array([[72.0, 1.6, 17.0]])
    assert radius_about(lab, np.repeat(lab[:, None], 512, axis=1)) == pytest.approx([0.0])
