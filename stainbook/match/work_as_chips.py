"""Ordinary work as chips: a zone painted with one stain alone, read before and after, of a stain without a chip.

Learning moves the curves that chips have left, along straight lines. What is commonly expected of a stain without a
chip is too far off for that: six zones left 33 ΔE00 where nothing learnt left 3 (simulated). They are fitted as chips.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from stainbook.match.fired import Fired
from stainbook.optics.calibrate import fit_more
from stainbook.optics.causes import LOT_SD, OPERATOR_SD
from stainbook.optics.curves import Optics
from stainbook.optics.fit import FiredChip
from stainbook.optics.unlike import Unlike
from stainbook.records import CLEAR, Layers


def with_work(
    optics: Optics, outcomes: Sequence[Fired], families: Mapping[str, tuple[str, str | None]]
) -> tuple[Optics, list[Fired]]:
    """The optics with stains that work alone has shown, and the outcomes that remain to learn from.

    ``families`` : kind and family of stains that may have no stripe.
    """
    alone = ((one.key, stain_alone(one.layers)) for one in outcomes)
    own = {key: stain for key, stain in alone if stain is not None and stain not in optics.stains}
    if not own:
        return optics, list(outcomes)
    work = [one for one in outcomes if one.key in own]
    lots = {stain: one.lots.get(stain) for one in work for stain in [own[one.key]]}  # the newest, as it comes last
    chips = [_chip(one, own[one.key], optics, lots) for one in work]
    stains = fit_more(optics, chips, {name: families.get(name, ("surface", None)) for name in own.values()})
    return replace(optics, stains={**optics.stains, **stains}), [one for one in outcomes if one.key not in own]


def stain_alone(layers: Layers) -> str | None:
    """The stain that a zone was painted with, where it is the only one and lies in one layer.

    >>> from stainbook.records import Layer, Pot
    >>> stain_alone((Layer(Pot.of({"husk": 0.5}), 2),)), stain_alone((Layer(Pot()),))
    ('husk', None)
    """
    stains = layers[0].pot.stains if len(layers) == 1 else ()
    return stains[0] if len(stains) == 1 and stains[0] != CLEAR else None


def _chip(one: Fired, stain: str, optics: Optics, lots: Mapping[str, str | None]) -> FiredChip:
    """An outcome as a chip: another hand than that of the chips, another jar than the newest are unlike."""
    unlike = []
    if one.operator is None or one.operator != optics.operator:
        unlike.append(Unlike(0, f"operator {one.operator or ''}", OPERATOR_SD))
    if one.lots.get(stain) not in (None, lots[stain]):
        unlike.append(Unlike(0, f"lot {one.lots[stain]} of {stain}", LOT_SD))
    stray = one.ceramic.stray if one.surface == "matt" else 0.0
    stray_sd = one.ceramic.stray_sd if one.surface == "matt" else 0.0
    slope = -stray_sd / np.maximum(one.reading - stray, 0.02)
    return FiredChip(
        name=one.key,
        body=one.key,
        material=one.material,
        layers=one.layers,
        body_reading=one.reading,
        body_surface=one.surface,
        reading=one.after,
        covariance=one.covariance + np.outer(slope, slope),
        stray=stray,
        glazed=one.glazed,
        unlike=tuple(unlike),
    )
