"""Rendered scenes as the files that a user has: picture, table of the target, scene.yaml."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np

from tests.worlds.photo_scenes import FILL, Scene, as_uint16, compressed, developed
from tests.worlds.photo_spectra import NM

TABLE_NM = np.arange(380, 731, 10)
PLACES = [(tooth, zone) for tooth in (11, 21) for zone in ("cervical", "middle", "margin", "attached")]


def table(path: Path, scene: Scene, patches: slice = slice(None)) -> Path:
    """The target's patches as a CGATS table."""
    curves = np.array([np.interp(TABLE_NM, NM, curve) for curve in scene.chart[patches]])
    fields = " ".join(["SAMPLE_ID", *(f"SPECTRAL_NM{nm}" for nm in TABLE_NM)])
    rows = [f"P{i} " + " ".join(f"{value:.5f}" for value in curve) for i, curve in enumerate(curves, 1)]
    head = ["CGATS.17", f"NUMBER_OF_FIELDS {len(TABLE_NM) + 1}", "BEGIN_DATA_FORMAT", fields, "END_DATA_FORMAT"]
    body = [f"NUMBER_OF_SETS {len(rows)}", "BEGIN_DATA", *rows, "END_DATA"]
    path.write_text("\n".join([*head, *body]) + "\n")
    return path


def by_kind(scene: Scene, subject: str) -> list:
    """The scene's zones of a subject with a tooth and zone name each."""
    what = "living" if subject == "patient" else "fired"
    teeth, gums = ([z for z in scene.zones if z.kind == f"{what} {kind}"] for kind in ("tooth", "gum"))
    return list(zip(((11, "cervical"), (21, "middle"), (11, "margin"), (21, "attached")), [*teeth, *gums], strict=True))


def points(polygon: np.ndarray) -> str:
    return "[" + ", ".join(f"[{x:.2f}, {y:.2f}]" for x, y in polygon) + "]"


def scene_yaml(path: Path, scene: Scene, *, subject: str = "piece", corners: bool = True, **keys: object) -> Path:
    """What is where, as a user writes it."""
    lines = [f"subject: {subject}", "reference: target.txt", "rows: 4", "columns: 6", f"patch_fill: {FILL}"]
    lines += [f"{key}: {value}" for key, value in keys.items()]
    lines += [f"corners: {points(scene.corners)}"] if corners else []
    zones = [
        f"  - {{tooth: {tooth}, zone: {zone}, polygon: {points(truth.polygon)}}}"
        for (tooth, zone), truth in by_kind(scene, subject)
    ]
    path.write_text("\n".join([*lines, "zones:", *zones]) + "\n")
    return path


def write_tiff(path: Path, linear: np.ndarray) -> Path:
    """Linear pixels as a TIFF of 16 bits."""
    assert cv2.imwrite(str(path), as_uint16(linear)[..., ::-1])
    return path


def write_jpeg(path: Path, scene: Scene, quality: int = 95) -> Path:
    """What the camera would have written."""
    assert cv2.imwrite(str(path), developed(scene)[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])
    return path


def decoded(scene: Scene) -> np.ndarray:
    return compressed(developed(scene))
