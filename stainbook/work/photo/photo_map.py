"""A map of ΔE00 over the zones of a photo, to the case's targets or since an earlier photo, as a PNG."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import ThresholdSet, delta_e_2000, white_point
from stainbook.errors import InputError
from stainbook.language import say
from stainbook.photo.measure import ZoneColour
from stainbook.photo.preview import preview
from stainbook.photo.zone_map import RasterFrame, frame_like, frame_of, raster, raster_lab
from stainbook.private import part_of
from stainbook.records import Viewing
from stainbook.work.reading.samples import SampleColour

if TYPE_CHECKING:
    from stainbook.files.scene import SceneZone
    from stainbook.work.photo.photo_colours import Taken

Floats = NDArray[np.float64]
Key = tuple[int, str]

LONGEST = 1500  # pixels of the map's longer side
DARK = 110  # grey below which lines are white
GREYS = (245, 205, 150, 95, 40)  # not seen, accepted, up to twice, up to three times acceptable, more
HATCH = 6  # pixels between the lines over cells of which nothing is known, twice that where less than the doubt


def difference_rasters(
    now: Taken, before: Taken | None, targets: Mapping[Key, SampleColour], viewing: Viewing
) -> dict[Key, tuple[RasterFrame, Floats]]:
    """ΔE00 (rows, columns) by zone, NaN where nothing is known; to the target where there is one, else since before.

    Raises InputError when there is neither a target nor an earlier photo of any zone.
    """
    earlier = {(z.tooth, z.zone): (z, found) for z, found in _zones(before)} if before else {}
    found: dict[Key, tuple[RasterFrame, Floats]] = {}
    for zone, colour in _zones(now):
        key, frame = (zone.tooth, zone.zone), frame_of(zone.polygon)
        if key in targets:
            found[key] = frame, _against(_lab(now, zone, colour, frame, viewing), targets[key].lab)
        elif before is not None and key in earlier:
            then, was = earlier[key]
            other = _lab(before, then, was, frame_like(frame, zone.polygon, then.polygon), viewing)
            found[key] = frame, _against(_lab(now, zone, colour, frame, viewing), other)
    if not found:
        raise InputError(say("a map shows ΔE00 to a case or since an earlier photo: give --case or --before"))
    return found


def write_map(
    path: Path,
    now: Taken,
    before: Taken | None,
    targets: Mapping[Key, SampleColour],
    viewing: Viewing,
    limits: Mapping[str, ThresholdSet],
    doubts: Mapping[Key, float],
) -> None:
    """Write the map over a pale copy of the photo; raises InputError when there is nothing to show or no place.

    doubts : 95 % radius of each zone's ΔE00: cells of less are hatched
    """
    from PIL import Image

    ground, scale = preview(now.picture, LONGEST)
    pale = (150 + 0.25 * ground.mean(axis=-1, keepdims=True)).astype(np.uint8).repeat(3, axis=-1)
    rasters = difference_rasters(now, before, targets, viewing)
    for zone, _ in _zones(now):
        if (key := (zone.tooth, zone.zone)) in rasters:
            _paint(pale, *rasters[key], limits[zone.tissue], scale, doubts.get(key, 0.0))
    with part_of(path) as part:
        Image.fromarray(pale).save(part, format="PNG")


def _zones(taken: Taken) -> list[tuple[SceneZone, ZoneColour]]:
    return list(zip(taken.scene.zones, taken.reading.zones, strict=True))


def _lab(taken: Taken, zone: SceneZone, found: ZoneColour, frame: RasterFrame, viewing: Viewing) -> Floats:
    rgb = raster(taken.picture, np.asarray(zone.polygon), frame, taken.light)
    white = white_point(viewing.illuminant, viewing.observer, taken.target.wavelengths)
    return raster_lab(rgb, taken.reading.calibration, found.place, found.matrix, white, found.offset)


def _against(lab: Floats, other: Floats) -> Floats:
    both = np.isfinite(lab).all(axis=-1) & np.isfinite(np.broadcast_to(other, lab.shape)).all(axis=-1)
    dE = np.full(lab.shape[:-1], np.nan)
    dE[both] = delta_e_2000(lab[both], np.broadcast_to(other, lab.shape)[both])
    return dE


def _paint(
    image: NDArray[np.uint8], frame: RasterFrame, dE: Floats, limits: ThresholdSet, scale: float, doubt: float
) -> None:
    """Fill a zone's pixels with the grey of its step; lines where less than the doubt, crossed where not known."""
    ends = [limits.perceptible, limits.acceptable, 2 * limits.acceptable, 3 * limits.acceptable]
    corners = np.array([[0, 0, 1], [frame.columns, 0, 1], [frame.columns, frame.rows, 1], [0, frame.rows, 1]])
    box = (corners @ frame.matrix + 0.5) * scale - 0.5
    low, high = np.floor(box.min(axis=0)).astype(int), np.ceil(box.max(axis=0)).astype(int)
    x, y = np.meshgrid(
        np.arange(max(low[0], 0), min(high[0], image.shape[1])), np.arange(max(low[1], 0), min(high[1], image.shape[0]))
    )
    pixels = (np.stack([x, y], axis=-1) + 0.5) / scale - 0.5
    cell = np.floor((pixels - frame.matrix[2]) @ np.linalg.inv(frame.matrix[:2])).astype(int)
    within = (cell >= 0).all(axis=-1) & (cell[..., 0] < frame.columns) & (cell[..., 1] < frame.rows)
    value = dE[np.clip(cell[..., 1], 0, frame.rows - 1), np.clip(cell[..., 0], 0, frame.columns - 1)]
    known = within & np.isfinite(value)
    shade = np.asarray(GREYS)[np.searchsorted(ends, np.where(known, value, 0.0))]
    image[y[known], x[known]] = shade[known][:, np.newaxis]
    unknown = within & ~known & (((x + y) % HATCH == 0) | ((x - y) % HATCH == 0))
    unsure = known & (value < doubt) & ((x + y) % (2 * HATCH) == 0)
    image[y[unknown], x[unknown]] = 0
    image[y[unsure], x[unsure]] = np.where(shade[unsure] < DARK, 255, 0)[:, np.newaxis]
