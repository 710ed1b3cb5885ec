"""Why a move is offered, as data."""

from __future__ import annotations

from stainbook.match.moves import Field, Tried
from stainbook.match.problem import Bench
from stainbook.match.reasons import Reason, shift_of
from stainbook.match.verdict import face_unknown, unseen_stains


def why(bench: Bench, field: Field, move: Tried) -> Reason:
    """The reason of one step of a zone."""
    before = field.leave.lab if move.kind == "add" else move.plain
    return Reason(
        kind=move.kind,
        layers=move.layers,
        does=None if move.kind == "leave" else shift_of(move.lab, before),
        ends=shift_of(move.lab, field.frame.target),
        perceptible=move.problem.thresholds.perceptible,
        on=move.on,
        liquid=bench.soaks,
        fires=move.problem.finish_fires,
        face_unknown=face_unknown(bench, move.problem.now),
        film=move.film and not bench.soaks,
        unseen=tuple(unseen_stains(bench, sorted({name for layer in move.layers for name in layer.pot.stains}))),
    )
