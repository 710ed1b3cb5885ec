"""The table of a photo's target, as a chart that the photo's arithmetic can use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import WAVELENGTHS, recover_reflectance, resample
from stainbook.errors import FileError
from stainbook.files import NamedFile, read_readings
from stainbook.files.scene import Scene
from stainbook.language import say, say_n
from stainbook.photo.target import ColourChart
from stainbook.records import Reading
from stainbook.work.reading.viewing_conditions import viewing_of

Floats = NDArray[np.float64]

# Share of a patch's light that its table may be wrong by: print to print, and what L*, a*, b* leave open
SPECTRAL, FROM_LAB = 0.012, 0.03


def read_target(scene: Scene, brought: NamedFile | None = None) -> tuple[ColourChart, tuple[str, ...]]:
    """The chart of a scene from its table, spectra or L*, a*, b*, row by row; and what is to be said of it.

    brought : the table, where it was brought as bytes

    Raises FileError for a table that cannot be read or has another number of patches than rows times columns.
    """
    table = read_readings(brought or scene.reference)
    scene = replace(scene, reference=Path(brought)) if brought else scene
    wanted = scene.rows * scene.columns
    if len(table.all) != wanted:
        raise FileError(
            scene.reference,
            say_n("{n} patch", "{n} patches", len(table.all)),
            say(
                "{n}, {rows} rows of {columns} as in {source}",
                n=wanted,
                rows=scene.rows,
                columns=scene.columns,
                source=scene.source,
            ),
        )
    curves = _curves(table.all, scene)
    spectral = np.array([reading.is_spectral for reading in table.all])
    target = ColourChart(
        scene.rows,
        scene.columns,
        tuple(reading.sample for reading in table.all),
        np.maximum(curves, 1e-3),
        np.asarray(WAVELENGTHS),
        np.where(spectral, SPECTRAL, FROM_LAB),
        scene.patch_fill,
    )
    notes = (
        ()
        if spectral.all()
        else (say("the chart's table holds L*, a*, b* alone: spectra of its patches make colours surer"),)
    )
    return target, (*table.warnings, *notes)


def _curves(patches: Sequence[Reading], scene: Scene) -> Floats:
    """Reflectances (p, 31) of all patches."""
    grids = {reading.wavelengths for reading in patches}
    if len(grids) == 1 and all(reading.is_spectral for reading in patches):
        return resample(np.array([reading.reflectance for reading in patches]), patches[0].wavelengths)
    return np.array([_curve(reading, scene) for reading in patches])


def _curve(reading: Reading, scene: Scene) -> Floats:
    if reading.is_spectral:
        return resample(np.asarray(reading.reflectance), reading.wavelengths)
    viewing = viewing_of(reading)
    if viewing is None or not viewing.known:
        raise FileError(
            scene.reference,
            say("patch {sample!r} as L*, a*, b* of unknown light", sample=reading.sample),
            say("spectra, or L*, a*, b* with illuminant and observer"),
        )
    found = recover_reflectance(reading.lab or (), illuminant=viewing.illuminant, observer=viewing.observer)
    return np.asarray(found.reflectance)
