"""What goes in and comes out of ``lab.case(code).desk``."""

from stainbook.work.app.jobs import Job as Job
from stainbook.work.case.case_desk import CaseDesk as CaseDesk
from stainbook.work.case.case_desk import Key as Key
from stainbook.work.case.case_desk import Offer as Offer
from stainbook.work.case.case_desk import Step as Step
from stainbook.work.case.case_desk import step_of as step_of
from stainbook.work.case.chosen import DoneNext as DoneNext
from stainbook.work.case.undo import Undo as Undo
from stainbook.work.sheets.screen_sheet import ScreenPass as ScreenPass
from stainbook.work.sheets.screen_sheet import ScreenSheet as ScreenSheet
