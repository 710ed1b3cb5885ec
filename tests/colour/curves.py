"""Reflectance curves by formula, at any wavelengths in nm."""

from __future__ import annotations

import numpy as np


def gauss(nm, centre, width):
    return np.exp(-(((nm - centre) / width) ** 2))


def step(nm, centre, width):
    return 1.0 / (1.0 + np.exp(-(nm - centre) / width))


def tooth(nm):
    return 0.20 + 0.42 * step(nm, 470, 45) + 0.00012 * (nm - 550)


def gum(nm):
    bands = 0.055 * gauss(nm, 542, 14) + 0.06 * gauss(nm, 577, 10) + 0.06 * gauss(nm, 415, 22)
    return 0.10 + 0.10 * step(nm, 440, 30) + 0.32 * step(nm, 600, 14) - bands


CURVES = {"tooth": tooth, "gum": gum}
