"""A plan as a table of work says it: mixes, passes and what is left alone."""

from stainbook.work.sheets.plan_sheet import chances as chances
from stainbook.work.sheets.plan_sheet import expected as expected
from stainbook.work.sheets.plan_sheet import heading as heading
from stainbook.work.sheets.plan_sheet import left_alone as left_alone
from stainbook.work.sheets.plan_sheet import passes as passes
from stainbook.work.sheets.plan_sheet import pot_rows as pot_rows
from stainbook.work.sheets.plan_sheet import stroke_rows as stroke_rows
from stainbook.work.stains.mix_words import parts_of as parts_of
