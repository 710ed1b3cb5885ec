"""Light to numbers: spectra, CIELAB, CIEDE2000, thresholds, indices, viewing light. Arrays in, arrays out."""

from stainbook.colour.cielab import lab_to_lch, lab_to_xyz, lch_to_lab, xyz_to_lab
from stainbook.colour.conditions import WAVELENGTHS, apply_ratio, resample
from stainbook.colour.difference import DeltaE2000, delta_e_2000, delta_e_2000_parts
from stainbook.colour.illuminants import SHIPPED_ILLUMINANTS, illuminant_name, illuminants
from stainbook.colour.spectra import lab_jacobian, spectrum_to_lab, spectrum_to_xyz
from stainbook.colour.weights import tristimulus_weights, white_point

__all__ = [
    "SHIPPED_ILLUMINANTS",
    "WAVELENGTHS",
    "DeltaE2000",
    "apply_ratio",
    "delta_e_2000",
    "delta_e_2000_parts",
    "illuminant_name",
    "illuminants",
    "lab_jacobian",
    "lab_to_lch",
    "lab_to_xyz",
    "lch_to_lab",
    "resample",
    "spectrum_to_lab",
    "spectrum_to_xyz",
    "tristimulus_weights",
    "white_point",
    "xyz_to_lab",
]
