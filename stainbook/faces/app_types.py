"""What goes in and comes out of ``lab.app``."""

from stainbook.work.app.at_once import AtOnce as AtOnce
from stainbook.work.app.jobs import Pace as Pace
from stainbook.work.app.start_app import LOOPBACK as LOOPBACK
from stainbook.work.app.to_do import ToDo as ToDo
from stainbook.work.app.waiting import Waiting as Waiting
