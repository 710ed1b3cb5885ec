"""What goes in and comes out of ``lab.photo``."""

from stainbook.work.photo.photo_chart import LabChart as LabChart
from stainbook.work.photo.photo_colours import PhotoAsked as PhotoAsked
from stainbook.work.photo.photo_desk import TAB as TAB
from stainbook.work.photo.photo_desk import Measured as Measured
from stainbook.work.photo.photo_desk import OpenedPhoto as OpenedPhoto
from stainbook.work.photo.photo_desk import ShotCheck as ShotCheck
from stainbook.work.photo.photo_desk import ShownPhoto as ShownPhoto
from stainbook.work.photo.photo_store import usable_zones as usable_zones
from stainbook.work.photo.photo_suggest import Outlines as Outlines
from stainbook.work.photo.photo_suggest import teeth_shown as teeth_shown
from stainbook.work.photo.photo_suggest import wanted_of as wanted_of
from stainbook.work.photo.photo_summary import summary_of as summary_of
from stainbook.work.photo.shot_quality import judged_shot as judged_shot
