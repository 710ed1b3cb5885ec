"""The bench sheet on a screen: what stands before the passes, each pass with rows to tick, what stands after them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from stainbook.work.documents.plan_schemas import PlanResult
from stainbook.work.documents.printed import SheetContent, body
from stainbook.work.sheets.plan_sheet import (
    drawings_of,
    effects_table,
    grouped,
    heading,
    pass_row,
    passes,
    sheet_content,
)

Key = tuple[int, str]


@dataclass(frozen=True, slots=True)
class PassRow:
    """One mix of a pass: where it goes, in words and by zone."""

    pot: str
    zones: str
    keys: tuple[Key, ...]


@dataclass(frozen=True, slots=True)
class ScreenPass:
    """One pass over the piece: its heading, its drawing (SVG), its rows in the order of the brush."""

    heading: str
    drawing: str
    rows: tuple[PassRow, ...]

    def rows_ticked(self, ticked: Collection[str]) -> dict[tuple[Key, ...], bool]:
        """The zones of each row, and whether its place is among those that are ticked."""
        return {row.keys: str(number) in ticked for number, row in enumerate(self.rows)}


@dataclass(frozen=True, slots=True)
class ScreenSheet:
    """A sheet in the order of work; ``before`` and ``after`` are markup of our own."""

    before: str
    passes: tuple[ScreenPass, ...]
    after: str


def screen_sheet(plan: PlanResult) -> ScreenSheet:
    """The sheet of what is to be done, with the passes apart so that they can be ticked."""
    whole, layers, drawn = sheet_content(plan), passes(plan), drawings_of(plan)
    mixes = tuple(whole.tables[:1]) if plan.pots else ()
    effects = (effects_table(plan.effects),) if plan.effects else ()
    found = []
    for number, strokes in enumerate(layers):
        rows = [
            PassRow(pot, pass_row(own), tuple((one.zone.tooth, one.zone.zone) for one in own))
            for pot, own in grouped(strokes)
        ]
        found.append(ScreenPass(heading(plan, number, len(layers)), drawn[number], tuple(rows)))
    before = body(SheetContent(whole.title, whole.lead, mixes))
    after = body(SheetContent("", "", effects, whole.notes))
    return ScreenSheet(before, tuple(found), after)
