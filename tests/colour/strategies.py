"""Colours and spectra for hypothesis."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

COLOUR = st.tuples(st.floats(0, 100), st.floats(-110, 110), st.floats(-110, 110))
SURFACE = st.tuples(st.floats(25, 92), st.floats(-8, 28), st.floats(-5, 30))  # what ceramics, teeth and gums reach
COLOURS = st.lists(COLOUR, min_size=1, max_size=12).map(lambda rows: np.array(rows, dtype=float))
REFLECTANCE = hnp.arrays(float, 31, elements=st.floats(0.02, 0.95))
LIGHT = st.sampled_from(["A", "D50", "D55", "D65", "F2", "F11", "LED-B3"])
OBSERVER = st.sampled_from([2, 10])
