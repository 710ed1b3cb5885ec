"""Outlines suggested: teeth told from gum and ground by colour, cut into thirds, the gum in bands along their necks.

Only what is reliable is suggested, and why not is said of the rest. A tooth must be whole (it fills nine tenths of its
convex hull), of a tooth's proportions, upright, and unlike what is around it along six tenths of its edge; the teeth
found must be as many as those asked for, in one row. A band of gum must be gum by nine tenths.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stainbook.language import say, say_n
from stainbook.photo.rough import Rough

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Key = tuple[int, str]

SMALLEST = 0.004  # of the picture: a tooth that can be measured
SOLID = 0.9  # of its convex hull
TALL = (0.75, 2.4)  # height over width
UPRIGHT = 15.0  # degrees
EDGE, UNLIKE = 0.6, 8.0  # share of the edge along which what is around differs by so many L*, a*, b* units
LINE = 4.0  # L* by which a line between two teeth is darker than these
THIRDS = ("cervical", "middle", "incisal")
INSET, BETWEEN = 0.09, 0.04  # of the width from the edge, of the height from the next third
BANDS = {"margin": (0.06, 0.18), "attached": (0.32, 0.6)}  # widths of the tooth from its neck; half a tooth wide
GUM = 0.9  # share of a band
LEAST_LEFT = 0.4  # of a third's or a band's box that its outline must fill


@dataclass(frozen=True, slots=True)
class Suggested:
    """Outlines (n, 2) in the picture's pixels by tooth and zone, and in words why others are not suggested."""

    zones: dict[Key, Floats]
    why: tuple[str, ...]


def suggest(view: Rough, wanted: Sequence[Key]) -> Suggested:
    """Suggest outlines for zones of teeth of one jaw, seen from the front as in the mouth.

    A zone that cannot be outlined reliably gets none, and a reason in words.

    >>> from stainbook.photo.rough import rough
    >>> suggest(rough(picture, corners, chart), [(11, "middle"), (21, "middle")]).why[0]
    '1 tooth stands out clearly in the picture, 2 are asked for'
    """
    teeth = sorted({tooth for tooth, _ in wanted}, key=along)
    jaws = {upper(tooth) for tooth in teeth}
    if len(jaws) != 1:
        return Suggested({}, (say("teeth of one jaw at a time can be told apart"),))
    found, trouble = _teeth(view)
    if len(found) != len(teeth):
        seen = say_n(
            "{n} tooth stands out clearly in the picture, {asked} are asked for",
            "{n} teeth stand out clearly in the picture, {asked} are asked for",
            len(found),
            asked=len(teeth),
        )
        return Suggested({}, (seen, *trouble))
    if not _in_a_row(found):
        return Suggested({}, (say("the teeth do not stand in one row"),))
    gum = _gum(view)
    up = jaws.pop()
    if _gum_side(found, gum) not in (None, up):
        return Suggested({}, (say("the gum is on the other side than these teeth have it; turn the picture"),))
    zones: dict[Key, Floats] = {}
    why: list[str] = []
    for tooth, mask in zip(teeth, found, strict=True):
        made = _thirds(mask, up=up) | _bands(mask, found, gum, up=up)
        zones |= {(tooth, zone): view.to_picture(made[zone]) for t, zone in wanted if t == tooth and zone in made}
        why += [
            say("{tooth} {zone}: not told reliably", tooth=tooth, zone=zone)
            for t, zone in wanted
            if t == tooth and zone not in made
        ]
    return Suggested(zones, tuple(why))


def upper(tooth: int) -> bool:
    """Tell whether a tooth, by ISO 3950, is one of the upper jaw.

    >>> upper(11), upper(31)
    (True, False)
    """
    return tooth // 10 in (1, 2, 5, 6)


def along(tooth: int) -> int:
    """Give a number that sorts teeth from left to right of a picture from the front, the patient's right first.

    >>> sorted([11, 21, 12, 22], key=along)
    [12, 11, 21, 22]
    """
    return -(tooth % 10) if tooth // 10 in (1, 4, 5, 8) else tooth % 10


# ---------------------------------------------------------------- what is tooth, what is gum


def _teeth(view: Rough) -> tuple[list[Mask], list[str]]:
    """Teeth from left to right, and what else looked like one but is not sure."""
    lightness, a, b = np.moveaxis(view.lab, -1, 0)
    like = (lightness > 45) & (a < 13) & (b > 3) & (b > a) & (np.hypot(a, b) < 40) & ~view.target
    closed = _closed(lightness, round(0.03 * max(lightness.shape)))
    like &= closed - lightness < LINE
    like = cv2.morphologyEx(like.astype(np.uint8), cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(like, connectivity=4)
    found: list[Mask] = []
    trouble: list[str] = []
    for number in range(1, count):
        if stats[number, cv2.CC_STAT_AREA] < SMALLEST * like.size:
            continue
        mask = _filled(labels == number)
        reason = _doubtful(mask, view)
        if reason is None:
            found.append(mask)
        else:
            trouble.append(say("something like a tooth is left out: {reason}", reason=reason))
    return sorted(found, key=lambda mask: _middle(mask)[0]), list(dict.fromkeys(trouble))


def _closed(lightness: Floats, size: int) -> Floats:
    """Lightness without dark lines thinner than ``size``."""
    across = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size | 1, size | 1))
    return np.asarray(cv2.morphologyEx(lightness.astype(np.float32), cv2.MORPH_CLOSE, across), np.float64)


def _gum(view: Rough) -> Mask:
    lightness, a, b = np.moveaxis(view.lab, -1, 0)
    return np.asarray((a > 8) & (lightness > 20) & (lightness < 80) & (b < 1.3 * a) & ~view.target)


def _doubtful(mask: Mask, view: Rough) -> str | None:
    """Why a piece of the picture is no tooth that can be relied on; None where it is."""
    outline = _outline(mask)
    hull = float(cv2.contourArea(cv2.convexHull(outline)))
    x, y, width, height = cv2.boundingRect(outline)
    rows, columns = mask.shape
    if x <= 1 or y <= 1 or x + width >= columns - 1 or y + height >= rows - 1:
        return say("it is cut by the picture's edge")
    if mask.sum() < SOLID * hull:
        return say("its outline is ragged, or two run together")
    if not TALL[0] < height / width < TALL[1]:
        return say("its proportions are none of a tooth")
    (_, (one, other), angle) = cv2.minAreaRect(outline)
    if max(one, other) > 1.2 * min(one, other) and min(angle % 90, 90 - angle % 90) > UPRIGHT:
        return say("it does not stand upright")
    ring = _grown(mask, 6) & ~_grown(mask, 2)
    own = np.median(view.lab[mask], axis=0)
    if np.mean(np.linalg.norm(view.lab[ring] - own, axis=-1) > UNLIKE) < EDGE:
        return say("what is around it has nearly its colour")
    return None


def _in_a_row(teeth: Sequence[Mask]) -> bool:
    places = np.array([_middle(mask) for mask in teeth])
    tall = float(np.median([np.ptp(np.nonzero(mask)[0]) for mask in teeth]))
    return bool(np.ptp(places[:, 1]) < 0.6 * tall)


def _gum_side(teeth: Sequence[Mask], gum: Mask) -> bool | None:
    """True where the gum is above the teeth, False below, None where there is hardly any."""
    above = below = 0
    for mask in teeth:
        x, y, width, height = cv2.boundingRect(_outline(mask))
        above += int(gum[max(0, y - height // 3) : y, x : x + width].sum())
        below += int(gum[y + height : y + height + height // 3, x : x + width].sum())
    if max(above, below) < 0.1 * sum(int(mask.sum()) for mask in teeth):
        return None
    return above > below


# ---------------------------------------------------------------- outlines


def _thirds(mask: Mask, *, up: bool) -> dict[str, NDArray[Any]]:
    """Outlines of the thirds of a tooth; those of which too little is left are left out."""
    x, y, width, height = cv2.boundingRect(_outline(mask))
    inner = _shrunk(mask, max(1, round(INSET * width)))
    made = {}
    for number, zone in enumerate(THIRDS if up else THIRDS[::-1]):
        top, low = y + height * number / 3, y + height * (number + 1) / 3
        part = np.zeros_like(mask)
        rows = slice(round(top + BETWEEN * height), round(low - BETWEEN * height))
        part[rows, x : x + width] = inner[rows, x : x + width]
        if part.sum() > LEAST_LEFT * width * height / 3:
            made[zone] = _smooth(part)
    return made


def _bands(mask: Mask, teeth: Sequence[Mask], gum: Mask, *, up: bool) -> dict[str, NDArray[Any]]:
    """Outlines of the gum along a tooth's neck; those that are not gum nearly all over are left out."""
    _, y, width, height = cv2.boundingRect(_outline(mask))
    away = cv2.distanceTransform(255 - 255 * mask.astype(np.uint8), cv2.DIST_L2, 5) / width
    rows, columns = np.indices(mask.shape)
    neck = rows < y + 0.25 * height if up else rows > y + 0.75 * height
    beside = neck & (np.abs(columns - _middle(mask)[0]) < 0.25 * width) & ~np.logical_or.reduce(teeth)
    made = {}
    for zone, (low, high) in BANDS.items():
        band = beside & (away > low) & (away < high)
        enough = band.sum() > LEAST_LEFT * (high - low) * 0.5 * width**2
        if enough and gum[band].mean() > GUM:
            made[zone] = _smooth(band & gum)
    return made


def _smooth(part: Mask) -> NDArray[Any]:
    outline = _outline(part)
    return np.asarray(cv2.approxPolyDP(outline, 0.012 * cv2.arcLength(outline, True), True)[:, 0], np.float64)


def _outline(mask: Mask) -> NDArray[Any]:
    outlines, _ = cv2.findContours(mask.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    return np.asarray(max(outlines, key=cv2.contourArea))


def _filled(mask: Mask) -> Mask:
    """Without the holes that highlights leave."""
    return np.asarray(cv2.drawContours(np.zeros(mask.shape, np.uint8), [_outline(mask)], -1, 1, cv2.FILLED), bool)


def _grown(mask: Mask, by: int) -> Mask:
    return np.asarray(cv2.dilate(mask.astype(np.uint8), _round(by)), bool)


def _shrunk(mask: Mask, by: int) -> Mask:
    return np.asarray(cv2.erode(mask.astype(np.uint8), _round(by)), bool)


def _round(by: int) -> NDArray[Any]:
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * by + 1, 2 * by + 1)))


def _middle(mask: Mask) -> Floats:
    rows, columns = np.nonzero(mask)
    return np.array([columns.mean(), rows.mean()])


# ---------------------------------------------------------------- from a tap

NEAR = 7.0  # L*, a*, b* units from the colour under a tap that still belong to it
SEED = 3  # pixels about a tap whose colour counts
MOST, FEWEST = 0.15, 0.0006  # of the picture


def grown(view: Rough, tap: Floats) -> Floats | str:
    """Give the outline (n, 2) of what has nearly the colour under a tap (2,), both in the picture's pixels; or why not.

    >>> from stainbook.photo.rough import rough
    >>> found = grown(rough(picture, corners, chart), np.array([340.0, 100.0]))
    >>> found.min(axis=0).round(), found.max(axis=0).round()  # of the square from (300, 60) to (380, 140)
    (array([301.,  62.]), array([378., 137.]))
    """
    column, row = (int(value) for value in np.round(view.to_copy(tap)))
    height, width = view.lab.shape[:2]
    if not (0 <= row < height and 0 <= column < width):
        return say("the tap lies outside the picture")
    smooth = cv2.GaussianBlur(view.lab.astype(np.float32), (0, 0), 1.5)
    seed = smooth[max(0, row - SEED) : row + SEED + 1, max(0, column - SEED) : column + SEED + 1].reshape(-1, 3)
    apart = np.linalg.norm((smooth - np.median(seed, axis=0)) * [0.6, 1.0, 1.0], axis=-1)  # shading is lightness
    near = (apart < NEAR) & ~view.target
    if not near[row, column]:
        return say("the colour under the tap is not even")
    _, labels = cv2.connectedComponents(near.astype(np.uint8), connectivity=4)
    mask = _filled(labels == labels[row, column])
    opened = cv2.morphologyEx(mask.astype(np.uint8), cv2.MORPH_OPEN, _round(max(1, round(0.004 * width))))
    _, labels = cv2.connectedComponents(opened, connectivity=4)
    if not opened[row, column]:
        return say("too little there has one colour; draw the outline")
    mask = labels == labels[row, column]
    if mask.sum() > MOST * mask.size or mask[[0, -1]].any() or mask[:, [0, -1]].any():
        return say("what has this colour runs on and on; draw the outline")
    if mask.sum() < FEWEST * mask.size:
        return say("too little there has one colour; draw the outline")
    return view.to_picture(_smooth(mask))
