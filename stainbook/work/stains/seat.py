"""A piece on something else: how it was read, how it will lie, and how much of what lies behind it shows."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from stainbook.colour import WAVELENGTHS, apply_ratio, contrast_ratio, spectrum_to_xyz, translucency_tp00
from stainbook.optics.ceramic import Ceramic
from stainbook.optics.finite import BLACK, WHITE, FiniteBody, Laying, inner_of, reading_of, seated
from stainbook.optics.two_by_two import Array
from stainbook.work.reading.optical import OpticalReading, lab_on_grid
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER


@dataclass(frozen=True, slots=True, eq=False)
class Seat:
    """How one zone was read and how it will lie, of a ceramic whose scattering is known."""

    body: FiniteBody
    face: Ceramic
    read: Laying
    on: Laying
    on_name: str | None

    def translucency(self, piece: OpticalReading) -> tuple[float, float]:
        """TP00 and contrast ratio of a piece."""
        return translucency_of(*(one.reflectance for one in self.on_black_and_white(piece)))

    def on_black_and_white(self, piece: OpticalReading) -> tuple[OpticalReading, OpticalReading]:
        """The piece over black (1 %) and over white (90 %)."""
        black, white = (self.put(piece, Laying(self.on.thickness, np.full(31, behind))) for behind in (BLACK, WHITE))
        return black, white

    def put(self, piece: OpticalReading, on: Laying | None = None) -> OpticalReading:
        """A reading of the piece as it will read on what it is seated on, with the doubt of that."""
        way = {"surface": piece.surface, "stray": self.face.stray if piece.surface == "matt" else 0.0}
        inner = inner_of(piece.reflectance, **way, ceramic=self.face)  # type: ignore[arg-type]
        moved, rows = seated(inner, self.body, self.read, on or self.on, ceramic=self.face)
        R, *steps = (reading_of(one, **way, ceramic=self.face) for one in (moved, *moved * np.exp(rows)))  # type: ignore[arg-type]
        doubt = np.log(np.array(steps) / R)
        own = replace(piece.reading, reflectance=_own_bands(piece, R))
        return replace(piece, reading=own, reflectance=R, ln_covariance=piece.ln_covariance + doubt.T @ doubt)


def _own_bands(piece: OpticalReading, R: np.ndarray) -> tuple[float, ...]:
    if not piece.reading.is_spectral:
        return piece.reading.reflectance
    own = np.asarray(piece.reading.wavelengths)
    return tuple(apply_ratio(np.asarray(piece.reading.reflectance), own, R / piece.reflectance).tolist())


def translucency_of(black: Array, white: Array) -> tuple[float, float]:
    """TP00 and contrast ratio of reflectances (31,) over black and over white."""
    seen = SPECTRA_SEEN_UNDER
    xyz = [spectrum_to_xyz(R, WAVELENGTHS, illuminant=seen.illuminant, observer=seen.observer) for R in (black, white)]
    tp00 = translucency_tp00(*(lab_on_grid(R, seen) for R in (black, white)))
    return float(tp00), float(contrast_ratio(*xyz))
