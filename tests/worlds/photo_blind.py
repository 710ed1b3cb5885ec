"""A third family of cameras, lights and reflectances for photos, made to be looked at once: after the method froze.

Twice its gum was first drawn with made-up bands of blood that strayed from haemoglobin by a third and more between 450
and 500 nm; that was met by 3.4 / 6.9 ΔE00 and held by the radius in 12 to 41 %: what is coloured by anything but blood
is no living gum to the method. What is here has haemoglobin's own extinction, as published, in another medium.

It shares no camera, light, lab or functional form with the two of ``photo_spectra``, nor, but for haemoglobin, with
the families that the package itself uses. Its figures stand in DEVELOPERS.md as they
first came out; the doubt of living gum was then widened by it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import WAVELENGTHS
from stainbook.photo.tissue_families import OXYGENATED, REDUCED
from tests.colour.library import colour_science
from tests.worlds.photo_spectra import LIVING_RANGE, NM, Family, fired_pieces, within

Array = NDArray[np.float64]
LAB = 43  # seed of the simulated lab whose pieces these are
LIGHTS = ("LED-V1", "ID50", "ISO 7589 Photographic Daylight", "LED-BH1")


def blind_family() -> Family:
    """The blind family."""
    rng = np.random.default_rng(4099)
    fired, known = fired_pieces(LAB)
    living = {"living tooth": _teeth(rng), "living gum": _gums(rng)}
    living = {kind: within(curves, *LIVING_RANGE[kind]) for kind, curves in living.items()}
    return Family(np.array([_camera(rng) for _ in range(4)]), _lights(), _chart(), living | fired, known)


def _camera(rng: np.random.Generator) -> Array:
    """Bells in the logarithm of wavelength, steeper towards red, with a flat skirt, light leaking between channels."""
    rows = []
    for centre, blue_side, red_side in ((600, 0.055, 0.045), (530, 0.075, 0.070), (458, 0.055, 0.075)):
        away = np.log(NM / (centre + rng.normal(0, 5)))
        width = np.where(away < 0, blue_side, red_side) * rng.lognormal(0, 0.1)
        rows.append(np.exp(-(np.abs(away / width) ** rng.uniform(1.7, 2.6))) + rng.uniform(0.005, 0.02))
    mixed = (np.eye(3) + rng.uniform(0.0, 0.08, (3, 3))) @ np.array(rows)
    mirror = 0.5 + 0.5 * np.cos(np.pi * np.clip((NM - rng.normal(640, 6)) / 55, 0, 1))
    glass = 1 - np.exp(-np.maximum(NM - rng.normal(388, 3), 0) / 12)
    return np.asarray((mixed * mirror * glass).T)


def _lights() -> Array:
    """Four listed lamps, a flash tube with its lines, and a lamp beside a window."""
    lamps = []
    for name in LIGHTS:
        sd = colour_science().SDS_ILLUMINANTS[name]
        values = np.interp(NM, sd.wavelengths, sd.values)
        lamps.append(values / values.mean())
    glow = (NM / 560) ** -5 / (np.exp(1.4388e7 / (NM * 5900)) - 1)
    glow = glow / glow.mean()
    lines = sum(high * np.exp(-0.5 * ((NM - at) / 5) ** 2) for at, high in ((450, 0.15), (467, 0.35), (484, 0.2)))
    flash = glow + lines
    return np.array([*lamps, flash / flash.mean(), 0.7 * lamps[3] + 0.3 * lamps[2]])


def _chart() -> Array:
    return np.array(
        [np.interp(NM, sd.wavelengths, sd.values) for sd in colour_science().SDS_COLOURCHECKERS["ISO 17321-1"].values()]
    )


def _teeth(rng: np.random.Generator) -> Array:
    """A bluish veil of enamel over dentine whose reflectance saturates towards red."""
    draw = _drawn(rng, 1500)
    veil = draw(0.05, 0.28) * (NM / 500) ** -draw(0.3, 2.2)
    clear = (1 - veil) * (1 - draw(0.02, 0.12) * (NM / 450) ** -draw(1.0, 4.0))
    dentine = draw(0.45, 0.85) * (1 - draw(0.4, 0.95) * np.exp(-(((NM - 380) / draw(60, 170)) ** draw(0.8, 1.6))))
    return np.asarray(veil + clear**2 * dentine / (1 - veil * dentine))


def _gums(rng: np.random.Generator) -> Array:
    """Total diffuse reflectance of a deep scattering medium with blood in it, under a thin brown, horny layer."""
    draw = _drawn(rng, 4000)
    full, empty = (np.interp(NM, WAVELENGTHS, blood) / 3550.0 for blood in (OXYGENATED, REDUCED))  # about 15 at 540 nm
    held = draw(0.35, 0.95)
    absorbed = draw(0.02, 0.16) * (held * full + (1 - held) * empty) * 10 + draw(0.05, 0.3)
    scattered = draw(8, 22) * (NM / 600) ** -draw(0.8, 2.4)
    albedo = scattered / (scattered + absorbed)
    inner = albedo / (1 + 5.2 * (1 - albedo) + (1 + 3.5 / 3) * np.sqrt(3 * (1 - albedo)))
    brown = np.exp(-draw(0.0, 0.4) * (NM / 450) ** -3.4)
    return np.asarray(draw(0.01, 0.05) + brown * inner)


def _drawn(rng: np.random.Generator, count: int):
    return lambda low, high: rng.uniform(low, high, (count, 1))
