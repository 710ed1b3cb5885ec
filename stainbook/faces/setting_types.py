"""What goes in and comes out of ``lab.settings``."""

from stainbook.work.lab.settings import LabSettings as LabSettings
from stainbook.work.lab.settings import OwnLimits as OwnLimits
from stainbook.work.lab.settings import sets_of as sets_of
