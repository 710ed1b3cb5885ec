"""All zones of a case as rows that can be chosen: where each is, in words and numbers, and what is next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stainbook.faces.view_types import zone_state
from stainbook.language import joined
from stainbook.pages.shell import texts, wording
from stainbook.pages.widgets.arch_svg import ZoneKey, key_text
from stainbook.pages.widgets.signs import inline_sign
from stainbook.words.chances import chance
from stainbook.words.escaping import escape
from stainbook.words.places import place
from stainbook.words.sentences import AS_IT_IS
from stainbook.words.states import VERDICTS
from stainbook.work.documents.schemas import AdvisedZone, Move

GAP_CELLS = 6  # of a row, before those of its next step


def zone_label(zone: AdvisedZone) -> str:
    """``11 cervical: out of tolerance, ΔE00 7.3`` for a screen reader."""
    said = [zone_state(zone).said]
    if zone.gap:
        said.append(f"ΔE00 {wording.one_decimal(zone.gap.dE00)}")
    return joined([place(zone.tooth, zone.zone), joined(said)], ": ")


def next_step(zone: AdvisedZone, move: Move | None = None) -> str:
    """What comes next here, in one line; ``move`` is what is to be done, else the first that is proposed."""
    move = move or (zone.moves[0] if zone.moves else None)
    if zone.verdict == "no firing":  # of a zone that nobody read it would sound as if nothing were to be done
        return VERDICTS[zone.verdict] if zone.now is not None else zone.why or zone_state(zone).said
    if move is None:
        return zone.why or ("" if zone.verdict == "stain" else VERDICTS[zone.verdict])
    return AS_IT_IS if move.kind == "leave" else joined(wording.step(move), "; ")


def list_markup(zones: Sequence[AdvisedZone], moves: Mapping[ZoneKey, Move] | None = None) -> str:
    """The rows, with their heads; ``moves`` are what is to be done, where that is not the first that is proposed.

    Where nothing is to be said of next steps, their columns are left out.
    """
    rows = [_cells(zone, (moves or {}).get((zone.tooth, zone.zone))) for zone in zones]
    gaps_only = not any("".join(cells[GAP_CELLS:]) for cells in rows)
    shown = GAP_CELLS if gaps_only else None
    heads = "".join(f"<span>{escape(head)}</span>" for head in texts.ZONE_HEADS[:shown])
    body = "".join(_row(zone, cells[:shown]) for zone, cells in zip(zones, rows, strict=True))
    kind = "zones gaps" if gaps_only else "zones"
    return f'<div class="{kind}" data-scroll><div class="heads" aria-hidden="true">{heads}</div>{body}</div>'


def _cells(zone: AdvisedZone, move: Move | None) -> tuple[str, ...]:
    state = zone_state(zone)
    gap = zone.gap
    move = move or (zone.moves[0] if zone.moves else None)
    return (
        escape(place(zone.tooth, zone.zone)),
        f"{inline_sign(state)} {escape(state.said)}",
        wording.one_decimal(gap.dE00) if gap else "–",
        escape(wording.value(gap)) if gap else "",
        escape(wording.chroma(gap)) if gap else "",
        escape(wording.hue(gap, zone.target)) if gap else "",
        escape(next_step(zone, move)),
        escape(chance(move.accept)) if move else "",
    )


def _row(zone: AdvisedZone, cells: Sequence[str]) -> str:
    said = "; ".join([escape(zone_label(zone)), *cells[GAP_CELLS:-1]])
    key = escape(key_text((zone.tooth, zone.zone)))
    heads = ["", "", f' data-head="{escape(texts.ZONE_HEADS[2])}"', *[""] * len(cells)]
    body = "".join(f"<span{head}>{cell}</span>" for head, cell in zip(heads, cells, strict=False))
    return f'<div class="zone-row" data-key="{key}" aria-label="{said}">{body}</div>'
