"""Liquids of a simulated lab, narrow bands among them: learnt from seven discs each, and met on blanks and mixes."""

import numpy as np

from tests.benchmarks.green_pieces import GreenLab, predicted


def test_liquids_are_met_and_no_good_disc_is_held_back():
    lab, pieces = GreenLab.simulated(12)
    found = lab.learnt()
    rows = predicted(lab, found, pieces)
    assert not found.held_back
    assert np.median(rows["ideal"]) < 0.9
    assert np.percentile(rows["ideal"], 95) < 2.2
    assert np.mean(rows["after"] <= rows["radius"]) > 0.85
