"""Two-flux theory as the textbooks have it: the baseline that the product's model is measured against.

References
----------
Kubelka P, Munk F. Z Tech Phys 1931;12:593-601. Kubelka P. J Opt Soc Am 1948;38:448-57 and 1954;44:330-5.
Saunderson JL. J Opt Soc Am 1942;32:727-36.
"""

from __future__ import annotations

import numpy as np

TINY = 1e-12


def slab(K, S, X=1.0):
    """Reflectance and transmittance of a layer of thickness X by itself."""
    KX, SX = (np.maximum(np.asarray(value, dtype=float) * X, TINY) for value in (K, S))
    a = 1.0 + KX / SX
    b = np.sqrt(a * a - 1.0)
    fall = np.exp(-2.0 * b * SX)  # sinh and cosh over e^x: no overflow in thick layers
    sinh, cosh = -np.expm1(-2.0 * b * SX) / 2.0, (1.0 + fall) / 2.0
    below = a * sinh + b * cosh
    return sinh / below, b * np.sqrt(fall) / below


def reflectance(K, S, X, Rg):
    """Of a layer over a backing Rg."""
    R0, T = slab(K, S, X)
    return R0 + T * T * Rg / (1.0 - R0 * Rg)


def infinite_reflectance(K, S):
    """Of a layer too thick to see through."""
    ratio = np.asarray(K, dtype=float) / S
    return 1.0 + ratio - np.sqrt(ratio * (ratio + 2.0))


def k_over_s(R):
    return (1.0 - R) ** 2 / (2.0 * R)


def from_two_backings(R1, Rb, R2, Rw, X):
    """K and S from the reflectances R1 over Rb and R2 over Rw."""
    a = ((R2 - R1) * (1.0 + Rw * Rb) - (Rw - Rb) * (1.0 + R1 * R2)) / (2.0 * (R2 * Rb - Rw * R1))
    b = np.sqrt(a * a - 1.0)
    S = (np.arctanh(b / (a - R1)) - np.arctanh(b / (a - Rb))) / (b * X)
    return S * (a - 1.0), S


def saunderson(Ri, k1, k2, *, specular=True):
    """Measured reflectance from the one below the face; ``specular`` False leaves out the face's own."""
    return (k1 if specular else 0.0) + (1.0 - k1) * (1.0 - k2) * Ri / (1.0 - k2 * Ri)


def inverse_saunderson(Rm, k1, k2, *, specular=True):
    net = Rm - (k1 if specular else 0.0)
    return net / ((1.0 - k1) * (1.0 - k2) + k2 * net)
