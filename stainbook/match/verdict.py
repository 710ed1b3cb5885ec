"""Stain, leave, or out of reach, and what would help."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.match.moves import Field, Tried
from stainbook.match.problem import Bench, Start
from stainbook.match.rank import CHANCE_TIE
from stainbook.match.reasons import ZoneNote, shift_of

OUT_OF_REACH = 0.5  # a zone whose best move is less likely than this to be accepted, and misses at its likeliest
GOOD_ENOUGH = 0.9  # chance of being accepted as it is, above which no firing is asked for


def leaves(field: Field) -> bool:
    """True when the zone is best without stain: accepted surely enough, or as surely as any stain would make it.

    That the piece would look closer to the target with stain is no reason for a firing; that it
    would be accepted more surely is.
    """
    short = field.leave.later == 1.0  # liquids aim short: what surface stain makes of them is compared
    leave, *adds = (move.accept_within if short else move.accept for move in field.all)
    likely = field.leave.accept >= OUT_OF_REACH
    return field.leave.accept >= GOOD_ENOUGH or (likely and leave >= max(adds, default=0.0) - CHANCE_TIE)


def reached(moves: Sequence[Tried]) -> bool:
    """False when even the best step is more likely refused than accepted and misses at its likeliest."""
    if not moves:
        return False
    limit = moves[0].problem.thresholds.acceptable
    return max(m.accept_within for m in moves) >= OUT_OF_REACH or min(m.point for m in moves) <= limit


def brought_there(bench: Bench, field: Field) -> bool:
    """Whether a step brings the zone there; gum of an unsintered piece takes a liquid that does so alone, or none."""
    if not (bench.soaks and field.problem.tissue == "gingiva"):
        return reached(field.all)
    limit = field.problem.thresholds.acceptable
    return any(one.accept >= OUT_OF_REACH or one.point <= limit for one in field.all)


def no_liquid(bench: Bench, field: Field) -> ZoneNote:
    """That no liquid brings gum there, and the chance of the surface stain that may follow on the sintered piece."""
    follows = bench.later is not None and bench.later.options is not None and bench.limits.firings_left > 0
    return ZoneNote("no liquid", later=field.leave.accept_within if follows else None)


def what_would_help(bench: Bench, field: Field, best: Tried) -> ZoneNote:
    """What could bring a zone there that stain alone cannot; ``best`` is its best step."""
    bare = field.problem.bare is not None
    return ZoneNote(
        "would help",
        lacks=shift_of(best.lab, field.frame.target),
        strip=bare,
        read_bare=not bare and not field.problem.now.is_bare,
        unseen=tuple(unseen_stains(bench)),
        no_stain=not bench.stains,
    )


def unseen_stains(bench: Bench, names: Sequence[str] | None = None) -> list[str]:
    """Stains that no stripe shows, of ``names`` or of the bench."""
    curves = bench.optics.stains
    return [n for n in (bench.stains if names is None else names) if n not in curves or curves[n].chips == 0]


def face_unknown(bench: Bench, start: Start) -> bool:
    """True when the colour of a bare reading under glaze rests on handbook figures alone."""
    return start.is_bare and not start.piece.ceramic.known
