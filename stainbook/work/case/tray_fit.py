"""Which pieces share a firing: an arch goes alone, all are of one ceramic and of one programme."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stainbook.language import say, say_as
from stainbook.records import Case

ARCH = 7  # teeth from which on a piece is an arch
ONE_FIRING = ("material", "programme")  # of a case, that all pieces of a firing share where they name it
ONE_PLAN = ("stage", *ONE_FIRING)


def is_arch(case: Case) -> bool:
    """Whether a piece has so many teeth that it goes alone on its tray."""
    return len({zone.tooth for zone in case.zones}) >= ARCH


def cannot_share(case: Case, first: Case, names: Sequence[str], *, strict: bool) -> str | None:
    """Why a case cannot go with the first one of its tray; None where it can.

    names : what they have to share; strict : also what only one of the two names
    """
    for one in (case, first):
        if is_arch(one):
            teeth = len({zone.tooth for zone in one.zones})
            return say("{case}: found {teeth} teeth, an arch: it goes alone on its tray", case=one.case, teeth=teeth)
    for name in names:
        mine, theirs = getattr(case, name), getattr(first, name)
        if mine != theirs and (strict or None not in (mine, theirs)):
            return _unlike(name, {"case": case.case, "own": mine, "other": theirs, "first": first.case})
    return None


def _unlike(name: str, told: Mapping[str, str | None]) -> str:
    known = {key: value or say_as("a word of a case that is not set", "none") for key, value in told.items()}
    if name == "stage":
        return say("{case}: found stage {own}, expected {other} as {first}: cases of one firing share it", **known)
    if name == "material":
        return say("{case}: found material {own}, expected {other} as {first}: cases of one firing share it", **known)
    return say("{case}: found programme {own}, expected {other} as {first}: cases of one firing share it", **known)
