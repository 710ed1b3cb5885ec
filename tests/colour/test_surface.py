from __future__ import annotations

import doctest
import subprocess
import sys

import stainbook.colour
import stainbook.colour.difference

# fmt: off
PUBLIC = [
    "Adapted", "DeltaE2000", "Recovered", "SHIPPED_ILLUMINANTS", "Swatch", "ThresholdSet", "WAVELENGTHS",
    "adapt_lab", "apply_ratio", "bandpass_correct", "contrast_ratio", "delta_e_2000", "delta_e_2000_metric",
    "delta_e_2000_parts", "delta_e_2000_radius", "grade", "grade_interval", "illuminant_name", "illuminants",
    "lab_jacobian", "lab_to_lch", "lab_to_srgb", "lab_to_xyz", "lch_to_lab", "metamerism_index",
    "own_set", "recover_reflectance", "resample", "review_grade", "spectrum_to_lab", "spectrum_to_xyz", "threshold_set",
    "threshold_sets", "thresholds", "translucency_tp00", "tristimulus_weights", "visibility",
    "visibility_interval", "white_point", "whiteness_wi_d", "xyz_to_lab",
]
# fmt: on


def test_public_names():
    assert sorted(stainbook.colour.__all__) == PUBLIC
    assert all(hasattr(stainbook.colour, name) for name in PUBLIC)


def test_common_work_loads_nothing_heavy():
    script = (
        "import sys; from stainbook.colour import *;"
        "lab = spectrum_to_lab([0.5] * 31, WAVELENGTHS, illuminant='D65', observer=10);"
        "recover_reflectance(lab, illuminant='f11', observer=10);"
        "print(sorted({'colour', 'scipy', 'pandas', 'matplotlib'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_examples_in_docstrings():
    results = doctest.testmod(stainbook.colour.difference)
    assert results.attempted > 0
    assert results.failed == 0
