"""A plan as a table of work says it: mixes, passes and what is not painted."""

from stainbook.work.sheets.plan_sheet import chances as chances
from stainbook.work.sheets.plan_sheet import expected as expected
from stainbook.work.sheets.plan_sheet import heading as heading
from stainbook.work.sheets.plan_sheet import not_painted as not_painted
from stainbook.work.sheets.plan_sheet import passes as passes
from stainbook.work.sheets.plan_sheet import pot_rows as pot_rows
from stainbook.work.sheets.plan_sheet import stroke_rows as stroke_rows
