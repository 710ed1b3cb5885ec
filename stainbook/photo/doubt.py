"""The radius that holds a zone's true colour in 95 % of cases, by what the shot was like.

The figures are 95th percentiles of simulated scenes of three families of cameras, lights and reflectances
(tests/worlds/photo_accuracy.py); without grey frame and tab they are wider, so that a piece that gets 5 to 12 % less
light than its chart lies within. What the target tells of this very shot joins them (`examine`). Living gum is as wide
as it is because nobody knows how deep the bands of blood stand in it. How far patches are missed that are left out of
the fit says little of a zone's error among good shots, and much where a chart is worn or the camera changed the
picture: what exceeds the usual joins too. How the radii held on families that were not looked at stands in the
guide's results.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stainbook.language import say
from stainbook.photo.examine import USUAL_STRAIN, ZoneSigns

KINDS = ("living tooth", "living gum", "fired tooth", "fired gum", "unknown", "unknown gum")
# ΔE00 by file, grey frame and tab, of KINDS in order; simulated. Unknown gum: blood that a chart's paints do not tell
RADII: dict[tuple[str, bool, bool], tuple[float, ...]] = {
    ("linear", False, False): (2.1, 4.6, 2.5, 2.7, 3.4, 7.5),
    ("linear", True, False): (1.2, 4.4, 1.7, 1.6, 3.1, 7.4),
    ("linear", False, True): (1.7, 4.5, 1.9, 2.0, 3.2, 7.4),
    ("linear", True, True): (1.1, 4.4, 1.6, 1.5, 2.9, 7.3),
    ("srgb", False, False): (2.2, 4.7, 2.6, 2.7, 3.5, 7.6),
    ("srgb", True, False): (1.6, 4.5, 2.0, 1.8, 3.2, 7.5),
    ("srgb", False, True): (1.9, 4.6, 2.1, 2.1, 3.4, 7.5),
    ("srgb", True, True): (1.5, 4.5, 1.9, 1.8, 3.0, 7.4),
}
# With a grey card alone, without and with a tab: as a study with makers' real matrices has it, which was less kind than
# these scenes; gum is then off by more than can be said and gets no absolute value
GREY_ONLY = {False: 4.5, True: 4.0}
GREY_GUM = {False: 8.0, True: 7.8}
FAR_TAB = 2.0  # ΔE00: a tab that is met no better
USUAL_MISS = 1.9  # ΔE00, median of patches left out: nine in ten ordinary shots lie below (simulated: 0.6-2.6)
MISS = 1.0  # ΔE00 by the root of what the square of that exceeds the usual one's: worn patches, flare, JPEG as met
MUCH_MASKED = 0.3  # share of a zone
# What is found at the target, drawn on to the zone (`examine`), in ΔE00, joins the radius in quadrature. Within what
# ordinary pictures show it says next to nothing of a zone's error (simulated: the tenth with the strongest bowl of
# light is met as the rest), so only what lies beyond counts in full. The doubt of the bow of light grows with the
# distance from the target and counts whole
USUAL_LIGHT, USUAL_COLOUR = 1.8, 1.5  # ΔE00: nine in ten ordinary zones lie below
LIGHT, LIGHT_SD, COLOUR, MUCH_COLOUR = 1.0, 1.0, 0.5, 1.5
BESIDE_TAB = 0.35  # of the light's part, where a tab lies beside the piece
APART_EVEN = 0.35  # of the part of a piece that lies deeper, where a grey frame was taken: set up with care
STRAIN = 0.45  # ΔE00 by the root of what patches stray beyond the usual
# What two shots leave open is wider than errors are, most where cameras leave much open (simulated): its share, and
# what joins it in ΔE00: light, and what no model has
SIX, SIX_LEAST = 0.8, {"linear": 1.0, "srgb": 1.2}
GLOSS, USUAL_UNEVEN = 400.0, 0.02  # ΔE00 by the spread of a zone's ln luminance beyond the usual: a broad highlight
STRAYS = 6.0  # ΔE00 by the share of patches that are unlike their table


@dataclass(frozen=True, slots=True)
class Condition:
    """What a shot was like: the file, whether the light was evened out, whether a tab was used, the target."""

    encoding: str
    even: bool
    tab: bool
    grey_only: bool = False


def kind_words(kind: str) -> str:
    """A kind as screens have it.

    >>> kind_words("living gum")
    'living gum'
    """
    return _KIND_WORDS[kind]


_KIND_WORDS = {
    "living tooth": say("living tooth"),
    "living gum": say("living gum"),
    "fired tooth": say("fired tooth"),
    "fired gum": say("fired gum"),
    "unknown": say("unknown"),
    "unknown gum": say("unknown gum"),
}


def gloss(uneven: float) -> float:
    """ΔE00 that a broad highlight below the flag may add to a zone, by the spread of its ln luminance without grain.

    >>> gloss(0.015), round(gloss(0.03), 1)
    (0.0, 4.0)
    """
    return GLOSS * max(0.0, uneven - USUAL_UNEVEN)


def radius_kind(kind: str, *, by_prior: bool) -> str:
    """The kind that a zone's radius goes by: its own where it was met by a prior, else what no prior helped with."""
    if by_prior:
        return kind
    return "unknown gum" if kind == "living gum" else "unknown"


def zone_radius(
    kind: str,
    condition: Condition,
    *,
    masked: float = 0.0,
    closure: float | None = None,
    left_out: float | None = None,
    flagged: bool = False,
    signs: ZoneSigns | None = None,
    six: float | None = None,
    strain: float = 0.0,
    strays: float = 0.0,
    uneven: float = 0.0,
) -> float:
    """95 % radius in ΔE00 of one zone, widened by the signs that something is wrong.

    masked : share of the zone that was not used
    closure : ΔE00 by which the tabs were missed before they were used
    left_out : median ΔE00 of patches left out of the fit
    signs : what the target tells of light and its colour at the zone
    six : what two shots, one through a filter, leave open of the zone; it stands for the table's radius
    strain : mean square of what the patches leave, in their table's doubt
    strays : share of the patches that are unlike their table
    uneven : spread of the zone's ln luminance without its grain
    """
    known = kind if kind in KINDS else "unknown"
    radius = RADII[condition.encoding, condition.even, condition.tab][KINDS.index(known)]
    if six is not None:
        radius = float(np.hypot(SIX_LEAST[condition.encoding], SIX * six))
    if condition.grey_only:
        least = GREY_GUM if known in ("living gum", "unknown gum") else GREY_ONLY
        radius = max(radius, least[condition.tab])
    worse = [1.0, (closure or 0.0) / FAR_TAB, 1.0 + max(0.0, masked - MUCH_MASKED)]
    parts = [radius * max(worse), STRAYS * strays, STRAIN * max(0.0, strain - USUAL_STRAIN) ** 0.5]
    parts.append(gloss(uneven))
    parts.append(MISS * max(0.0, (left_out or 0.0) ** 2 - USUAL_MISS**2) ** 0.5)
    if signs is not None:
        beside = BESIDE_TAB if condition.tab else 1.0
        parts += [beside * LIGHT * max(0.0, signs.light - USUAL_LIGHT), beside * LIGHT_SD * signs.light_sd]
        parts += [COLOUR * signs.colour, MUCH_COLOUR * max(0.0, signs.colour - USUAL_COLOUR)]
        apart = APART_EVEN if condition.even else beside
        parts += [signs.veil, 0.0 if six is not None else apart * signs.apart]  # two shots have it in their own
    return float(np.linalg.norm(parts)) * (4.0 if flagged else 1.0)
