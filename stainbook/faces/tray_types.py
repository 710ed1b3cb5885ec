"""What goes in and comes out of ``lab.tray``."""

from stainbook.work.firing.tray_firing import TrayRow as TrayRow
from stainbook.work.firing.tray_firing import TrayShown as TrayShown
from stainbook.work.firing.tray_firing import TrayWish as TrayWish
from stainbook.work.firing.tray_firing import kinds as kinds
from stainbook.work.firing.tray_firing import minutes_of as minutes_of
