"""The ranked next steps of one zone: each a row that can be chosen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stainbook.faces.view_types import limits_of, reason
from stainbook.language import joined, say
from stainbook.pages.shell import texts, wording
from stainbook.pages.widgets import swatches
from stainbook.pages.widgets.scale import Scale, common_scale, head, line
from stainbook.words.chances import chance
from stainbook.words.escaping import escape
from stainbook.work.documents.schemas import AdvisedZone, Move


def steps_markup(zone: AdvisedZone, others: Mapping[str, Move] | None = None) -> str:
    """All steps of a zone as rows of one grid; before them ``others`` that were not proposed, by their names."""
    named = [*(others or {}).items(), *((str(move.rank), move) for move in zone.moves)]
    return rows_markup(zone, named)


def rows_markup(zone: AdvisedZone, named: Sequence[tuple[str, Move]]) -> str:
    """Steps as rows of one grid, each under the name that is its key."""
    scale = common_scale([move for _, move in named], limits_of(zone))
    rows = "".join(_row(zone, name, move, scale) for name, move in named)
    return f'<div class="steps">{_heads(scale)}{rows}</div>'


def _heads(scale: Scale) -> str:
    words, colours, expected, accepted = texts.STEP_HEADS
    return (
        f'<div class="heads" aria-hidden="true"><span></span><span>{escape(words)}</span><span>{escape(colours)}</span>'
        f"<span>{escape(expected)}{head(scale)}</span><span>{escape(accepted)}</span></div>"
    )


def _row(zone: AdvisedZone, name: str, move: Move, scale: Scale) -> str:
    said = wording.step(move)
    words = "".join(f"<li>{escape(one)}</li>" for one in said)
    patches = swatches.trio(zone.now, move.colour, zone.target)
    label = say(
        "{name}. {mixes}. Expected ΔE00, 5–95 %: {expected}, {low} to {high}. {chance} in this firing. {reason}",
        name=name, mixes=joined(said, "; "), expected=wording.one_decimal(move.dE00),
        low=wording.one_decimal(move.dE00_p05), high=wording.one_decimal(move.dE00_p95),
        chance=chance(move.accept), reason=reason(move),
    )  # fmt: skip
    return (
        f'<div class="step" data-key="{escape(name)}" aria-label="{escape(label)}">'
        f'<span class="rank{"" if name.isdigit() else " named"}">{escape(name)}</span>'
        f'<div class="words"><ul>{words}</ul><p>{escape(reason(move))}</p></div>'
        f'<div class="colours">{swatches.small(patches)}</div>'
        f"<div>{line(scale, move.dE00, move.dE00_p05, move.dE00_p95)}</div>"
        f'<div class="chance">{_chance(move)}</div></div>'
    )


def _chance(move: Move) -> str:
    when = texts.LEFT_AS_IT_IS if move.kind == "leave" else texts.AT_ONCE
    at_once = f"<strong>{escape(chance(move.accept))}</strong><span>{escape(when)}</span>"
    if chance(move.accept_within) == chance(move.accept):
        return at_once
    return f"{at_once}<span>{escape(within_firings(move.accept_within))}</span>"


def within_firings(value: float | None) -> str:
    """A chance that is not of this firing alone."""
    return say("{chance} within the firings that remain", chance=chance(value))
