"""Whether the target in a picture can be believed: refused where it cannot, else what must be said of it.

A wrong table, wrong corners or a target that is not there leave patches that no single response of a camera explains.
Dropping the worst of them until the rest agree would hide just that, so patches that stray count as misfit.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from stainbook.errors import InputError
from stainbook.language import joined, say
from stainbook.photo.examine import Examination, ZoneSigns
from stainbook.photo.picture import Picture
from stainbook.photo.target import OFF_WORDS, STRAY_WORDS, ColourChart, PatchReadings, neutral
from stainbook.records import LIGHTEST, MOST_CHROMATIC

Floats = NDArray[np.float64]

WORST_LEFT_OUT = 6.0  # median ΔE00 of patches left out: turned or mirrored corners give 18 and more (simulated)
MANY_STRAYS = 0.25  # share of patches that are not as the table has them
SOME_STRAYS = 0.125  # of which something must be said
BADLY_LEFT_OUT = 3.0  # median ΔE00 of patches left out, from which nothing is stored
LEAST_WHITE = 0.5  # reflectance factor of the lightest grey of a chart: all printed charts have white paper or paint
GREYS_OF_A_CHART = 3  # neutral patches, from which a chart is one with a scale of greys
TINTED = 0.25  # of ln: how far from neutral a grey card may be in a JPEG, whose camera balances white
UNEQUAL = 0.12  # of ln: how far greys may lie apart in balance and, after a tone curve, in level


# Evidence at the target of two lights times their ΔE00 at a zone: 1 in 100 ordinary pictures lies above the first
SOME_TINT, TWO_LIGHTS = 20.0, 35.0
# Evidence of light that falls off from one place times its ΔE00 at a zone (ordinary pictures: below 50; lenses that
# darken to a half, a lamp close by: 100 and more): drawn on to the zones it would be off by more than can be said
SOME_BOWL, BOWL = 70.0, 200.0
# Of ln light from the target's middle to its edge (ordinary pictures: below 0.08; a lamp close by: 0.5)
SOME_STEEP, STEEP = 0.08, 0.15
MAPPED = 12.0  # evidence that brightness follows the surroundings (ordinary pictures: below 12)
STRAINED = 1.1  # mean square that the patches leave, in their table's doubt (ordinary pictures: below 0.8)


def refuse_table(target: ColourChart, source: str) -> None:
    """Raise InputError for a table that cannot be that of a chart: a scale of greys without anything light."""
    if target.grey_only:
        return
    greys = neutral(target.reflectance)
    lightest = float(target.reflectance.mean(axis=1).max())
    if greys.sum() >= GREYS_OF_A_CHART and lightest < LEAST_WHITE:
        raise InputError(
            say(
                "{source}: the lightest patch of the chart's table reflects {percent:.0f} %, expected "
                "white, some 90 %; check the table's scale",
                source=source,
                percent=100 * lightest,
            )
        )


def refuse_patches(patches: PatchReadings, target: ColourChart, left_out: Floats, source: str) -> None:
    """Raise InputError where a quarter of the patches stray or those left out are met by nothing."""
    strays = straying(patches)
    if strays >= MANY_STRAYS * len(target.names) and not target.grey_only:
        raise InputError(
            say(
                "{source}: {strays} of {patches} patches are unlike the chart's table; {advice}",
                source=source,
                strays=strays,
                patches=len(target.names),
                advice=_ADVICE,
            )
        )
    if left_out.size and np.median(left_out) > WORST_LEFT_OUT:
        raise InputError(
            say(
                "{source}: the chart is not met (median {median:.0f} ΔE00 when left out, expected below "
                "{most:g}); {advice}",
                source=source,
                median=np.median(left_out),
                most=WORST_LEFT_OUT,
                advice=_ADVICE,
            )
        )


_ADVICE = say("check that the corners are in the order of the table, that it is this chart's table, and the picture")


def refuse_greys(picture: Picture, patches: PatchReadings, target: ColourChart) -> None:
    """Raise InputError where what lies at a grey card's corners is not grey, or greys are not as their table has them.

    The balance of a linear file is the sensor's own, so that only differences between its greys tell.
    """
    used = patches.used
    ln = np.log(np.maximum(patches.rgb[used], 1e-6))
    tint = ln - ln[:, 1:2]
    apart = float(np.abs(tint - np.median(tint, axis=0)).max())
    expected = np.log(target.reflectance[used].mean(axis=1))
    if apart > UNEQUAL or _off_curve(ln.mean(axis=1), expected) > UNEQUAL:
        raise InputError(
            say(
                "{source}: the grey patches are not as their table has them; check corners and table",
                source=picture.source,
            )
        )
    off = float(np.abs(np.median(tint, axis=0)).max())
    if picture.encoding == "srgb" and off > TINTED:
        raise InputError(
            say(
                "{source}: the grey card is not grey in this picture ({percent:.0f} % between its channels); "
                "check its corners, or set the camera's white balance on the card",
                source=picture.source,
                percent=100 * np.expm1(off),
            )
        )


def _off_curve(seen: Floats, expected: Floats) -> float:
    """How far greys lie from a straight or gently bent line of ln value over ln reflectance; equal ones from equal."""
    span = float(np.ptp(expected))
    order = 0 if span < 0.1 else 1 if len(seen) < 5 else 2
    if len(seen) <= order + 1 and order > 0:
        return 0.0
    return float(np.abs(seen - np.polyval(np.polyfit(expected, seen, order), expected)).max())


def refuse_colours(lab: Floats, source: str) -> None:
    """Raise InputError for L*, a*, b* (…, 3) that no surface has and no file may hold."""
    found = np.asarray(lab, dtype=np.float64).reshape(-1, 3)
    wrong = (found[:, 0] > LIGHTEST) | (found[:, 0] < 0.0) | (np.abs(found[:, 1:]) > MOST_CHROMATIC).any(axis=1)
    if wrong.any():
        L, a, b = found[int(np.flatnonzero(wrong)[0])]
        raise InputError(
            say(
                "{source}: a zone came out as L* {lightness:.0f}, a* {a:.0f}, b* {b:.0f}, which no surface has; "
                "check the chart's corners, its table and the exposure",
                source=source,
                lightness=L,
                a=a,
                b=b,
            )
        )


def refuse_lights(examination: Examination, signs: Sequence[ZoneSigns], source: str, *, tab: bool = False) -> None:
    """Raise InputError where the light or its colour changes over the target so much that zones are off by it.

    tab : whether a tab beside the piece tells how bright it is there
    """
    if examination.two_lights * _tint(signs) > TWO_LIGHTS:
        raise InputError(joined([source, _changing(signs)], ": "))
    if (examination.bowed * _fall(signs) > BOWL or examination.slope > STEEP) and not tab:
        raise InputError(joined([source, _FALLING], ": "))


def _tint(signs: Sequence[ZoneSigns]) -> float:
    return max((one.colour for one in signs), default=0.0)


def _changing(signs: Sequence[ZoneSigns]) -> str:
    return say(
        "the light changes its colour over the chart, which puts zones off by some {difference:.0f} "
        "ΔE00: light the scene by one kind of lamp, others off and daylight out",
        difference=_tint(signs),
    )


def _fall(signs: Sequence[ZoneSigns]) -> float:
    return max((one.light for one in signs), default=0.0)


_FALLING = say(
    "the light falls off too strongly over the chart to be known at the zones: move the lamp away, lay the piece "
    "close beside the chart in the middle of the picture, or take a grey frame"
)


def straying(patches: PatchReadings) -> int:
    """How many patches are unlike their table or do not lie where the corners have them."""
    return sum(reason in (STRAY_WORDS, OFF_WORDS) for _, reason in patches.dropped)


def troubles(
    patches: PatchReadings,
    target: ColourChart,
    left_out: Floats,
    examination: Examination | None = None,
    signs: Sequence[ZoneSigns] = (),
    *,
    tab: bool = False,
) -> tuple[str, ...]:
    """What must be said of a target that is met badly; with any of it nothing is stored.

    signs : what the target tells of the light at the zones
    tab : whether a tab beside the piece tells how bright it is there
    """
    lines = []
    if examination is not None and examination.strain > STRAINED:
        lines.append(
            say(
                "the patches stray from their table by more than it allows: it is of another edition, or the "
                "chart is worn, soiled or shaded"
            )
        )
    if examination is not None and examination.two_lights * _tint(signs) > SOME_TINT:
        lines.append(_changing(signs))
    falls = examination is not None and (examination.bowed * _fall(signs) > SOME_BOWL or examination.slope > SOME_STEEP)
    if falls and not tab:
        lines.append(_FALLING)
    if examination is not None and examination.mapped > MAPPED and not tab:
        lines.append(
            say(
                "brightness follows its surroundings, as a phone's tone mapping makes it: take a raw file, "
                "or put a tab of known colour beside the piece"
            )
        )
    if left_out.size and np.median(left_out) > BADLY_LEFT_OUT:
        lines.append(
            say(
                "the chart is met badly (median {median:.1f} ΔE00 when left out): check corners, the "
                "table and whether the camera changed the picture",
                median=np.median(left_out),
            )
        )
    strays = straying(patches)
    if strays > SOME_STRAYS * len(target.names) and not target.grey_only:
        lines.append(
            say(
                "{strays} of {patches} patches are unlike the chart's table: clean it, check it",
                strays=strays,
                patches=len(target.names),
            )
        )
    return tuple(lines)
