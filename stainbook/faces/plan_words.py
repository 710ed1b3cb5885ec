"""A plan as a table of work says it: mixes, passes, what is not painted, how it looks under each light."""

from stainbook.work.sheets.plan_sheet import chances as chances
from stainbook.work.sheets.plan_sheet import expected as expected
from stainbook.work.sheets.plan_sheet import heading as heading
from stainbook.work.sheets.plan_sheet import not_painted as not_painted
from stainbook.work.sheets.plan_sheet import passes as passes
from stainbook.work.sheets.plan_sheet import pot_rows as pot_rows
from stainbook.work.sheets.plan_sheet import stroke_rows as stroke_rows
from stainbook.work.sheets.seen_lights import HEADS as LIGHT_HEADS
from stainbook.work.sheets.seen_lights import NUMBERS as LIGHT_NUMBERS
from stainbook.work.sheets.seen_lights import light_rows as light_rows
from stainbook.work.sheets.seen_lights import piece_in_lights as piece_in_lights

__all__ = [
    "LIGHT_HEADS", "LIGHT_NUMBERS", "chances", "expected", "heading", "light_rows", "not_painted", "passes",
    "piece_in_lights", "pot_rows", "stroke_rows",
]  # fmt: skip
