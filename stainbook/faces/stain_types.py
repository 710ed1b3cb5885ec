"""What goes in and comes out of ``lab.stains``."""

from stainbook.work.lab.stain_views import StainRow as StainRow
from stainbook.work.lab.stain_views import StainView as StainView
from stainbook.work.lab.stain_views import StripeMet as StripeMet
from stainbook.work.stains.predict import Meant as Meant
from stainbook.work.stains.stain_calibration import ChipFiles as ChipFiles
from stainbook.work.stains.stain_desk import MOST_MB as MOST_MB
from stainbook.work.stains.stain_entry import NewStain as NewStain
from stainbook.work.stains.stripes import PlateOrder as PlateOrder
