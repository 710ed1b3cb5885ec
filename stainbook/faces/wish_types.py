"""What goes in and comes out of ``lab.cases`` and ``lab.case(code).wish``."""

from stainbook.work.case.case_edits import Aim as Aim
from stainbook.work.case.case_edits import CaseSettings as CaseSettings
from stainbook.work.case.new_case import GREEN as GREEN
from stainbook.work.case.new_case import NewCase as NewCase
from stainbook.work.case.new_case import TypedTarget as TypedTarget
from stainbook.work.case.prescription import GROUPS as GROUPS
from stainbook.work.case.prescription import STEP as STEP
from stainbook.work.case.prescription import GroupWish as GroupWish
from stainbook.work.case.prescription import group_of as group_of
from stainbook.work.case.tab_and_tooth import TabAndTooth as TabAndTooth
from stainbook.work.case.tab_and_tooth import is_piece as is_piece
