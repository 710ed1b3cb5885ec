"""How far one reading may be from the true colour: as it says itself, else from its repeats and common practice.

Doubts are covariances; nothing here knows of differences between instruments, which are larger
than all of this (two of one make agreed in half of the cases: Kim HK. J Adv Prosthodont
2018;10:252-8): it is the doubt of a colour on the instrument that read it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import delta_e_2000_metric, delta_e_2000_radius, lab_jacobian
from stainbook.records import Reading, Viewing

Floats = NDArray[np.float64]

SEATING = 0.003  # share of R, common to all bands: the piece put before the port once more; common practice
NOISE = 0.001  # reflectance factor, each band on its own; common practice for bench spectrophotometers
LAB_SPREAD = (0.3, 0.2, 0.2)  # L*, a*, b*: repeats of hand-held instruments in the lab; common practice
ROWS_OF_PRACTICE = 4  # how many repeats the usual scatter is worth beside those that were read
STEP_DOUBT = {5: 0.01, 10: 0.03, 20: 0.15}  # ΔE00, root mean square, against 1 nm; facts in tests/published
GUM_STEP_DOUBT = {5: 0.03, 10: 0.10, 20: 0.40}  # the same where haemoglobin's bands are


def reflectance_covariance(reading: Reading) -> Floats:
    """Covariance of a spectral reading's reflectance (n, n) on its own wavelengths, factor²."""
    R = np.asarray(reading.reflectance)
    usual = SEATING**2 * np.outer(R, R) + NOISE**2 * np.eye(R.size)
    return _with_repeats(reading, usual)


def lab_covariance(reading: Reading) -> Floats:
    """Covariance (3, 3) of the L*, a*, b* of a reading that has no spectrum; its own doubt does not fall by repeats."""
    if reading.u is not None:
        return _of_radius(np.asarray(reading.lab), reading.u)
    return _with_repeats(reading, np.diag(np.square(LAB_SPREAD)))


def seen_covariance(reading: Reading, lab: Floats, viewing: Viewing, *, tissue: str | None = None) -> Floats:
    """Covariance (3, 3) of L*, a*, b* computed from a spectral reading, the step of its bands included."""
    by_R = lab_jacobian(
        np.asarray(reading.reflectance), reading.wavelengths, illuminant=viewing.illuminant, observer=viewing.observer
    )
    return np.asarray(by_R @ reflectance_covariance(reading) @ by_R.T + step_covariance(reading, lab, tissue=tissue))


def step_covariance(reading: Reading, lab: Floats, *, tissue: str | None = None) -> Floats:
    """Covariance (3, 3) of L*, a*, b* that the step of a reading's bands leaves; nothing of L*a*b* alone."""
    if not reading.is_spectral:
        return np.zeros((3, 3))
    step = round(reading.wavelengths[1] - reading.wavelengths[0])
    rms = (GUM_STEP_DOUBT if tissue == "gingiva" else STEP_DOUBT)[step]
    alike = np.linalg.inv(delta_e_2000_metric(lab)) / 3.0  # one ΔE00, root mean square, in any direction
    return np.asarray(rms**2 * alike)


def _of_radius(lab: Floats, u: float) -> Floats:
    """The covariance (3, 3), alike in all directions by ΔE00, whose radius is ``u``."""
    alike = np.linalg.inv(delta_e_2000_metric(lab))
    return np.asarray(alike * (u / delta_e_2000_radius(lab, alike)) ** 2)


def _with_repeats(reading: Reading, usual: Floats) -> Floats:
    """The usual covariance of one row, each axis scaled to its scatter; of a mean of n rows one n-th.

    Few repeats say little of their scatter: it is pooled with the usual one (inverse chi-square prior).
    """
    n = reading.repeats
    if reading.scatter is None or n < 2:
        return usual / n
    read = np.square(reading.scatter) / usual.diagonal()
    ratio = np.sqrt((ROWS_OF_PRACTICE + (n - 1) * read) / (ROWS_OF_PRACTICE + n - 1))
    return np.asarray(usual * np.outer(ratio, ratio) / n)
