"""Reasons as plain data: what is to be told of a move and of a zone; `stainbook.words` makes sentences of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from stainbook.colour import delta_e_2000, delta_e_2000_parts, lab_to_lch, lch_to_lab
from stainbook.optics.two_by_two import Array
from stainbook.records import Layers

Kind = Literal["add", "leave", "strip and restain", "remake"]


@dataclass(frozen=True, slots=True)
class ColourShift:
    """One colour against another: ``dE00`` of all, of value, chroma and hue alone, and which way each is off.

    ``dL``, ``dC``, ``dH`` are ΔL′, ΔC′, ΔH′, first minus second; ``h`` the second's hue in degrees.
    """

    dE00: float
    value: float
    chroma: float
    hue: float
    dL: float
    dC: float
    dH: float
    h: float


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a move is offered: what it does (None where nothing goes on), and how far it ends from the target.

    ``on`` names the blank of a remake; ``liquid`` layers soak in; ``fires`` says that the finish fires the piece;
    ``face_unknown`` that no clear-glaze chip shows what the glaze does; ``film`` that a film over the matt face as it
    was read would halve the doubt; no chip shows how strong ``unseen`` fire. It is
    painted otherwise than its mirror image ``unlike``, since that pays for itself.
    """

    kind: Kind
    layers: Layers
    does: ColourShift | None
    ends: ColourShift
    perceptible: float
    on: str | None = None
    liquid: bool = False
    fires: bool = True
    face_unknown: bool = False
    film: bool = False
    unseen: tuple[str, ...] = ()
    unlike: tuple[int, str] | None = None


@dataclass(frozen=True, slots=True)
class ZoneNote:
    """What there is to know of a zone's verdict.

    ``what`` says which: it is accepted as it is; nothing is fired at ``stage``, or no firing is left; no liquid brings
    gum there, and ``later`` is the chance of surface stain, None where none may follow; or what would help where stain
    does not: the way from the best move to the target in ``lacks``, the stripped piece (``strip``) or a reading of it
    (``read_bare``), chips of ``unseen`` stains, any stain at all.
    """

    what: Literal["accepted", "no firing", "no firing left", "no liquid", "would help"]
    stage: str | None = None
    lacks: ColourShift | None = None
    strip: bool = False
    read_bare: bool = False
    unseen: tuple[str, ...] = ()
    no_stain: bool = False
    later: float | None = None


def shift_of(lab: Array, other: Array) -> ColourShift:
    """How a colour differs from another, in ΔE00 of all and of its parts.

    Parameters
    ----------
    lab, other : (3,) float, L*, a*, b* under one light and observer

    >>> import numpy as np
    >>> from stainbook.match.reasons import shift_of
    >>> shift = shift_of(np.array([70.0, 1.0, 15.0]), np.array([72.0, 1.0, 15.0]))
    >>> round(shift.value, 1), round(shift.chroma, 1), round(shift.dL, 1)
    (1.5, 0.0, -2.0)
    """
    (L, C, h), (goal_L, goal_C, goal_h) = lab_to_lch(lab), lab_to_lch(other)
    moved = lch_to_lab(np.array([[L, goal_C, goal_h], [goal_L, C, goal_h], [goal_L, goal_C, h]]))
    value, chroma, hue = (float(one) for one in delta_e_2000(moved, other))
    parts = delta_e_2000_parts(lab, other)
    return ColourShift(
        dE00=float(parts.dE00),
        value=value,
        chroma=chroma,
        hue=hue,
        dL=float(parts.dL),
        dC=float(parts.dC),
        dH=float(parts.dH),
        h=float(goal_h),
    )
