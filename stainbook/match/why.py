"""Why a move is offered: one sentence as it would be said at the bench."""

from __future__ import annotations

from stainbook.match.moves import Field, Tried
from stainbook.match.problem import Bench
from stainbook.match.talk import coating, remainder, shift
from stainbook.match.verdict import face_unknown, unseen_stains


def why(bench: Bench, field: Field, move: Tried) -> str:
    """The sentence for one move of a zone."""
    limits = move.problem.thresholds
    end = remainder(move.lab, field.frame.target, limits.perceptible)
    if move.kind == "leave":
        said = f"it {end} {'with the glaze alone' if move.problem.finish_fires else 'as it is'}"
    else:
        many = sum(layer.coats for layer in move.layers) > 1
        before = field.leave.lab if move.kind == "add" else move.plain
        said = f"{_start(move)}{coating(move.layers)} {shift(before, move.lab, many=many)}; {end}"
    return "; ".join([said, *_doubts(bench, move)])


def _start(move: Tried) -> str:
    if move.kind == "strip and restain":
        return "strip it to the bare piece, then "
    return f"on the blank {move.on}, " if move.kind == "remake" else ""


def _doubts(bench: Bench, move: Tried) -> list[str]:
    told = []
    if face_unknown(bench, move.problem.now):
        told.append("the doubt is wide, for no clear-glaze chip of this material shows what the glaze does to it")
    unseen = unseen_stains(bench, sorted({name for layer in move.layers for name in layer.pot.stains}))
    if unseen:
        told.append(
            f"the doubt is wide, for no chip shows how strong {' and '.join(unseen)} fire{'s' * (len(unseen) == 1)}"
        )
    return told
