"""Which stains may go on a piece: what its material, its stage and the makers allow."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations

from stainbook.match.reasons import ZoneNote
from stainbook.records import CLEAR, NO_FIRING_STAGES, Stain

# Stages at which a kind of stain can be fired when its jar names none (facts of the trade).
_STAGES_OF_KIND = {
    "surface": frozenset({"sintered", "blasted", "stained", "glazed"}),
    "infiltrating": frozenset({"green"}),
}
_AS_IF = {"returned": ("stained", "glazed")}  # cleaned and dried, a returned piece is a fired one


def offered(
    stains: Iterable[Stain], *, material: str | None, stage: str | None, only: Iterable[str] | None = None
) -> list[Stain]:
    """The stains that may be fired on a piece of this material at this stage, sorted by name.

    Parameters
    ----------
    stains : those of the lab
    material, stage : of the case; None is not known and excludes nothing but stains for green pieces alone
    only : names that the case limits itself to

    >>> from stainbook.match import offered
    >>> from stainbook.records import Stain
    >>> jars = [Stain("husk", materials=("zirconia",)), Stain("tide", kind="infiltrating")]
    >>> [one.name for one in offered(jars, material="zirconia", stage="blasted")]
    ['husk']
    """
    names = None if only is None else set(only)
    return sorted(
        (
            one
            for one in stains
            if one.kind != CLEAR and _fits(one, material, stage) and (names is None or one.name in names)
        ),
        key=lambda one: one.name,
    )


def kept_apart(stains: Iterable[Stain], together: Iterable[tuple[str, str]] = ()) -> frozenset[frozenset[str]]:
    """Pairs of stains that no mix may hold: of two systems or two forms, where their jars state them.

    Parameters
    ----------
    stains : those of the lab
    together : pairs of systems or of forms that the lab mixes all the same

    >>> from stainbook.match import kept_apart
    >>> from stainbook.records import Stain
    >>> jars = [Stain("husk", system="one"), Stain("moss", system="other")]
    >>> [sorted(pair) for pair in kept_apart(jars)]
    [['husk', 'moss']]
    """
    allowed = {frozenset(pair) for pair in together}
    return frozenset(
        frozenset((one.name, other.name))
        for one, other in combinations(stains, 2)
        if any(
            None not in words and len(set(words)) == 2 and frozenset(words) not in allowed
            for words in ((one.system, other.system), (one.form, other.form))
        )
    )


def firings_of(stains: Iterable[Stain], *, fired: int) -> dict[str, int]:
    """Firings that each stain may still go through, where its maker limits them.

    Parameters
    ----------
    stains : those of the lab
    fired : firings that the piece has had

    >>> from stainbook.match import firings_of
    >>> from stainbook.records import Stain
    >>> firings_of([Stain("husk", max_firings=4)], fired=1)
    {'husk': 3}
    """
    return {one.name: max(0, one.max_firings - fired) for one in stains if one.max_firings is not None}


def no_firing_reason(stage: str | None, firings_left: int) -> ZoneNote | None:
    """The reason why nothing is to be fired, or None.

    Parameters
    ----------
    stage : of the piece; None where it is not known
    firings_left : firings that the case still allows; sintering takes none of them

    >>> from stainbook.match import no_firing_reason
    >>> no_firing_reason("delivered", 2).what, no_firing_reason("glazed", 2)
    ('no firing', None)
    """
    if stage in NO_FIRING_STAGES:
        return ZoneNote("no firing", stage=stage)
    return ZoneNote("no firing left") if firings_left < 1 and stage != "green" else None  # sintering takes none


def _fits(stain: Stain, material: str | None, stage: str | None) -> bool:
    bearable = _STAGES_OF_KIND.get(stain.kind, frozenset())
    stages = _AS_IF.get(stage or "", (stage,))
    if stain.materials is not None and material is not None and material not in stain.materials:
        return False
    if stage is None:
        return stain.kind == "surface"
    own = bearable if stain.stages is None else bearable & set(stain.stages)
    return any(one in own for one in stages)
