"""Light to numbers: spectra, CIELAB, CIEDE2000, thresholds, indices, viewing light. Arrays in, arrays out."""

from stainbook.colour.adaptation import Adapted, adapt_lab
from stainbook.colour.bandpass import bandpass_correct
from stainbook.colour.cielab import lab_to_lch, lab_to_xyz, lch_to_lab, xyz_to_lab
from stainbook.colour.conditions import WAVELENGTHS, apply_ratio, resample
from stainbook.colour.difference import DeltaE2000, delta_e_2000, delta_e_2000_parts
from stainbook.colour.illuminants import SHIPPED_ILLUMINANTS, illuminant_name, illuminants
from stainbook.colour.indices import contrast_ratio, metamerism_index, translucency_tp00, whiteness_wi_d
from stainbook.colour.metric import delta_e_2000_metric, delta_e_2000_radius
from stainbook.colour.recovery import Recovered, recover_reflectance
from stainbook.colour.screen import Swatch, lab_to_srgb
from stainbook.colour.spectra import lab_jacobian, spectrum_to_lab, spectrum_to_xyz
from stainbook.colour.thresholds import (
    ThresholdSet,
    grade,
    grade_interval,
    own_set,
    review_grade,
    threshold_set,
    threshold_sets,
    thresholds,
    visibility,
    visibility_interval,
)
from stainbook.colour.weights import tristimulus_weights, white_point

__all__ = [
    "SHIPPED_ILLUMINANTS",
    "WAVELENGTHS",
    "Adapted",
    "DeltaE2000",
    "Recovered",
    "Swatch",
    "ThresholdSet",
    "adapt_lab",
    "apply_ratio",
    "bandpass_correct",
    "contrast_ratio",
    "delta_e_2000",
    "delta_e_2000_metric",
    "delta_e_2000_parts",
    "delta_e_2000_radius",
    "grade",
    "grade_interval",
    "illuminant_name",
    "illuminants",
    "lab_jacobian",
    "lab_to_lch",
    "lab_to_srgb",
    "lab_to_xyz",
    "lch_to_lab",
    "metamerism_index",
    "own_set",
    "recover_reflectance",
    "resample",
    "review_grade",
    "spectrum_to_lab",
    "spectrum_to_xyz",
    "threshold_set",
    "threshold_sets",
    "thresholds",
    "translucency_tp00",
    "tristimulus_weights",
    "visibility",
    "visibility_interval",
    "white_point",
    "whiteness_wi_d",
    "xyz_to_lab",
]
