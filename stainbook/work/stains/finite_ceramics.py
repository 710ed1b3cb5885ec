"""Ceramics that were read over two backings or at two thicknesses: how much they scatter and absorb."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from stainbook.errors import ConditionsError, some_of
from stainbook.language import say
from stainbook.optics.ceramic import Ceramic
from stainbook.optics.finite import UNEXPLAINED, FiniteBody, Laying, finite_body, inner_of
from stainbook.records import Body, Reading
from stainbook.work.reading.optical import optical

Find = Callable[[str], Reading | None]
WANTED = say("two backings at one known thickness, or two thicknesses")


@dataclass(frozen=True, slots=True, eq=False)
class FiniteCeramics:
    """What scatters how much, by the name of the ceramic; and why of others that is not known."""

    known: Mapping[str, FiniteBody] = field(default_factory=dict)
    why_not: Mapping[str, str] = field(default_factory=dict)
    unexplained: Mapping[str, str] = field(default_factory=dict)  # readings that contradict each other: a mistake
    told: tuple[str, ...] = ()


def finite_ceramics(bodies: Mapping[str, Body], find: Find, face: Callable[[str | None], Ceramic]) -> FiniteCeramics:
    """Scattering and absorption of each ceramic of bodies.csv.

    Parameters
    ----------
    find : the reading of a sample, None where there is none
    face : what is known of the face of a material
    """
    rows: dict[str, list[Body]] = {}
    for body in bodies.values():
        if body.ceramic:
            rows.setdefault(body.ceramic, []).append(body)
    known, why_not, unexplained, told = {}, {}, {}, []
    for name, own in rows.items():
        usable = [(body, reading, found) for body in own for reading, found in _laid(body, find)]
        if len(own) > 1:
            told += [line for body in own if (line := _missing(body, find)) is not None]
        if len({(found.thickness, *found.backing) for _, _, found in usable}) < 2:
            why_not[name] = say(
                "{ceramic} was not read in {wanted}, with a reading of what lay behind", ceramic=name, wanted=WANTED
            )
            continue
        found = _fitted(usable, face(own[0].material))
        if found.unexplained > UNEXPLAINED:
            names = some_of(body.body for body, _, _ in usable)
            unexplained[name] = say(
                "{bodies}: no scattering explains these readings of ceramic {ceramic}", bodies=names, ceramic=name
            )
            why_not[name] = unexplained[name]
        else:
            known[name] = found
    return FiniteCeramics(known, why_not, unexplained, tuple(told))


def laying(thickness: float, backing: Reading) -> Laying:
    """A thickness of ceramic over what a reading shows."""
    return Laying(thickness, np.clip(optical(backing).reflectance, 1e-3, 0.98))


def _laid(body: Body, find: Find) -> list[tuple[Reading, Laying]]:
    own, behind = find(body.body), find(body.backing) if body.backing else None
    if own is None or behind is None or body.thickness_mm is None:
        return []
    try:
        return [(own, laying(body.thickness_mm, behind))]
    except ConditionsError:  # L*a*b* of unknown light
        return []


def _missing(body: Body, find: Find) -> str | None:
    """What a body of a ceramic that was read more than once lacks to tell how it scatters."""
    if body.thickness_mm is None:
        return say(
            "{body} has no thickness_mm: it does not tell how ceramic {ceramic} scatters",
            body=body.body,
            ceramic=body.ceramic,
        )
    if body.backing is None:
        return say(
            "{body} names no backing: it does not tell how ceramic {ceramic} scatters",
            body=body.body,
            ceramic=body.ceramic,
        )
    if find(body.backing) is None:
        return say(
            "the backing {backing!r} of {body} has no reading: it does not tell how ceramic {ceramic} scatters; read "
            "it as a sample of that name",
            backing=body.backing,
            body=body.body,
            ceramic=body.ceramic,
        )
    return None


def _fitted(usable: Sequence[tuple[Body, Reading, Laying]], face: Ceramic) -> FiniteBody:
    inner = []
    for body, reading, _ in usable:
        found = optical(reading, body=body)
        stray = face.stray if found.surface == "matt" else 0.0
        inner.append(inner_of(found.reflectance, surface=found.surface, stray=stray, ceramic=face))
    return finite_body(inner, [found for _, _, found in usable], ceramic=face)
