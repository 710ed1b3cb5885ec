"""Readings as the optics want them: reflectance on 400-700/10 nm, its doubt, and the face read through."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import WAVELENGTHS, apply_ratio, lab_jacobian, recover_reflectance, resample, spectrum_to_lab
from stainbook.errors import ConditionsError
from stainbook.language import say
from stainbook.optics.ceramic import FILM, has_bare_face
from stainbook.records import Body, Reading, Viewing
from stainbook.work.reading.reading_conditions import AS_READ, Crossing, brought, ln_doubt
from stainbook.work.reading.reading_doubt import lab_covariance, reflectance_covariance
from stainbook.work.reading.viewing_conditions import viewing_of

Floats = NDArray[np.float64]

DARKEST = 1e-3  # reflectance factor: below it instruments read nothing but their own stray light
_UNDER = {"water": "wet", "glycerine": FILM, "stain liquid": FILM}  # n 1.33, 1.47, 1.5 (formats.md)
_BARE_STAGES = {"sintered": "matt", "blasted": "matt", "stained": "glazed", "glazed": "glazed"}


@dataclass(frozen=True, slots=True, eq=False)
class OpticalReading:
    """Reflectance (31,), covariance (31, 31) of its logarithm, and the surface it was read through.

    ``reflectance`` is that of a flat plate where ``shape`` (31,) says what the piece's shape makes of it when read;
    None where the two read alike. ``read_flat``: the reading itself is a plate's, that stands for a piece.
    ``crossed`` is how it was brought to how the chips were read.
    """

    reading: Reading
    reflectance: Floats
    ln_covariance: Floats
    surface: str
    shape: Floats | None = None
    read_flat: bool = False
    crossed: Crossing = AS_READ

    def crossing(self, way: Crossing) -> OpticalReading:
        """The reading as the other way of reading would have it, with the doubt of that."""
        if not way:
            return self
        R = np.maximum(self.reflectance + way.shift, DARKEST)
        ratio = self.reflectance / R
        spread = self.ln_covariance * np.outer(ratio, ratio) + ln_doubt(R, way)
        moved = brought(self.reading, way)
        return replace(self, reading=moved, reflectance=R, ln_covariance=spread, crossed=way)

    def after(self, reflectance: Floats) -> tuple[Floats, Floats]:
        """Wavelengths and reflectance of a result on the reading's own wavelengths: only the ratio is the optics'."""
        shape = 1.0 if self.shape is None else self.shape
        if not self.reading.is_spectral:
            return np.asarray(WAVELENGTHS), reflectance * shape
        ratio = reflectance / self.reflectance * (shape if self.read_flat else 1.0)
        own = np.asarray(self.reading.wavelengths)
        return own, apply_ratio(np.asarray(self.reading.reflectance), own, ratio)

    def lab_offset(self, viewing: Viewing) -> Floats:
        """What shape, and bands outside 400-700 nm and between its tens, add to L*, a*, b* (3,)."""
        wavelengths, reflectance = self.after(self.reflectance)
        return lab_of(reflectance, wavelengths, viewing) - lab_of(self.reflectance, np.asarray(WAVELENGTHS), viewing)


def optical(reading: Reading, *, body: Body | None = None, tissue: str | None = None) -> OpticalReading:
    """A reading made ready for the optics; L*a*b* alone becomes the likeliest smooth reflectance.

    Raises ConditionsError for L*a*b* of unknown light or observer.
    """
    surface = surface_of(reading, body)
    if reading.is_spectral:
        R = np.maximum(resample(np.asarray(reading.reflectance), reading.wavelengths), DARKEST)
        spread = _on_grid(reading)
        return OpticalReading(reading, R, spread / np.outer(R, R), surface)
    viewing = viewing_of(reading)
    if viewing is None or not viewing.known:
        raise ConditionsError(
            say(
                "{source}: {sample!r} is L*a*b* of unknown light and observer, from which no stain can be "
                "computed; state them in columns or with --illuminant and --observer",
                source=reading.source,
                sample=reading.sample,
            )
        )
    found = recover_reflectance(
        reading.lab or (), illuminant=viewing.illuminant, observer=viewing.observer, tissue=_ceramic_prior(tissue)
    )
    R = np.maximum(found.reflectance, DARKEST)
    by_R = lab_jacobian(R, WAVELENGTHS, illuminant=viewing.illuminant, observer=viewing.observer)
    back = np.linalg.pinv(by_R)
    spread = found.covariance + back @ lab_covariance(reading) @ back.T
    return OpticalReading(reading, R, spread / np.outer(R, R), surface)


def _ceramic_prior(tissue: str | None) -> str | None:
    """A piece's teeth are shaded like teeth; pink ceramic has none of the bands of living gum."""
    return "tooth" if tissue == "tooth" else None


def _on_grid(reading: Reading) -> Floats:
    """Covariance of the resampled reflectance: band noise stays as it is, common noise is common."""
    own = np.asarray(reading.wavelengths)
    spread = reflectance_covariance(reading)
    if own.size == WAVELENGTHS.size and np.allclose(own, WAVELENGTHS):
        return spread
    places = np.clip(np.searchsorted(own, WAVELENGTHS - 1e-6), 0, own.size - 1)
    return np.asarray(spread[np.ix_(places, places)])


def surface_of(reading: Reading, body: Body | None = None) -> str:
    """The surface that was read: as stated, else the body's, else what its stage commonly has, else glazed.

    Under a film of about the index of glass a bare face is read as under glaze: no stray light is left of a matt one.
    """
    stated = reading.surface or (body.surface if body else None)
    below = stated or _BARE_STAGES.get(reading.stage or "", "glazed")
    return _UNDER.get(reading.film or "", below) if has_bare_face(below) else below


def lab_of(reflectance: Floats, wavelengths: Floats, viewing: Viewing) -> Floats:
    """L*, a*, b* (…, 3) of spectra under a viewing."""
    return spectrum_to_lab(reflectance, wavelengths, illuminant=viewing.illuminant, observer=viewing.observer)


def lab_on_grid(reflectance: Floats, viewing: Viewing) -> Floats:
    """L*, a*, b* (…, 3) of reflectances on 400-700/10 nm."""
    return lab_of(reflectance, np.asarray(WAVELENGTHS), viewing)
