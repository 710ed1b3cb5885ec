"""What goes in and comes out of ``lab.case(...)``."""

from stainbook.work.case.case_plan import PlanAsked as PlanAsked
from stainbook.work.case.problems import AdviceAsked as AdviceAsked
from stainbook.work.case.way import WayShown as WayShown
from stainbook.work.sheets.bench import cells as cells
from stainbook.work.sheets.case_report import ReportAsked as ReportAsked
