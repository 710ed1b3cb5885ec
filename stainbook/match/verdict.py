"""Stain, leave, or out of reach, and what would help."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.errors import some_of
from stainbook.match.moves import Field, Tried
from stainbook.match.problem import Bench, Start
from stainbook.match.rank import CHANCE_TIE
from stainbook.match.talk import hue_towards, single_parts
from stainbook.optics.two_by_two import Array

OUT_OF_REACH = 0.5  # a zone whose best move is less likely than this to be accepted, and misses at its likeliest
GOOD_ENOUGH = 0.9  # chance of being accepted as it is, above which no firing is asked for


def leaves(field: Field) -> bool:
    """True when the zone is best left: accepted surely enough, or as surely as any stain would make it.

    That the piece would look closer to the target with stain is no reason for a firing; that it
    would be accepted more surely is.
    """
    short = field.leave.later == 1.0  # liquids aim short: what surface stain makes of them is compared
    leave, *adds = (move.accept_within if short else move.accept for move in field.all)
    likely = field.leave.accept >= OUT_OF_REACH
    return field.leave.accept >= GOOD_ENOUGH or (likely and leave >= max(adds, default=0.0) - CHANCE_TIE)


def reached(moves: Sequence[Tried]) -> bool:
    """False when even the best move is more likely refused than accepted and misses at its likeliest."""
    if not moves:
        return False
    limit = moves[0].problem.thresholds.acceptable
    return max(m.accept_within for m in moves) >= OUT_OF_REACH or min(m.point for m in moves) <= limit


def what_would_help(bench: Bench, field: Field, best: Tried) -> str:
    """What could bring a zone there that stain alone cannot."""
    wants = _wants(best.lab, field.frame.target)
    helps = [f"another blank, {wants}"]
    if field.problem.bare is None and not field.problem.now.is_bare:
        helps.insert(0, "a reading of the bare piece, to see what stripping and restaining would give")
    elif field.problem.bare is not None:
        helps.insert(0, "stripping and restaining")
    unknown = unseen_stains(bench)
    if unknown:
        helps.append(f"chips of {some_of(unknown)}, whose strength is a guess so far")
    if not bench.stains:
        helps.insert(0, "a stain that this material and stage bear: none is on the list")
    return "it would take " + ", or ".join(helps)


def unseen_stains(bench: Bench, names: Sequence[str] | None = None) -> list[str]:
    """Stains that no chip shows."""
    curves = bench.optics.stains
    return [n for n in (bench.stains if names is None else names) if n not in curves or curves[n].chips == 0]


def face_unknown(bench: Bench, start: Start) -> bool:
    """True when a bare reading's way under the glaze rests on handbook figures alone."""
    return start.is_bare and not start.piece.ceramic.known


def _wants(lab: Array, target: Array) -> str:
    """The blank that the target asks for, from what is still missing."""
    value, chroma, _ = single_parts(lab, target)
    if value >= chroma:
        return "a lighter one" if lab[0] < target[0] else "a darker one"
    stronger = (lab[1] ** 2 + lab[2] ** 2) < (target[1] ** 2 + target[2] ** 2)
    return f"one with more chroma towards {hue_towards(lab, 1.0)}" if stronger else "one with less chroma"
