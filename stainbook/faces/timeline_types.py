"""What comes out of ``lab.case(code).timeline``."""

from stainbook.work.firing.case_timeline import TimelineEntry as TimelineEntry
from stainbook.work.firing.case_timeline import TimelineZone as TimelineZone
