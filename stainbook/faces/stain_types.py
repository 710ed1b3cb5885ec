"""What goes in and comes out of ``lab.stains``."""

from stainbook.work.lab.stain_reach import OpenedZone as OpenedZone
from stainbook.work.lab.stain_reach import ShareColour as ShareColour
from stainbook.work.lab.stain_reach import StainReach as StainReach
from stainbook.work.lab.stain_views import StainRow as StainRow
from stainbook.work.lab.stain_views import StainView as StainView
from stainbook.work.lab.stain_views import StripeMet as StripeMet
from stainbook.work.stains.predict import Meant as Meant
from stainbook.work.stains.stain_calibration import ChipFiles as ChipFiles
from stainbook.work.stains.stain_desk import MOST_MB as MOST_MB
from stainbook.work.stains.stain_entry import NewStain as NewStain
from stainbook.work.stains.stripes import PLAN as PLAN
from stainbook.work.stains.stripes import SOAKING_PLAN as SOAKING_PLAN
from stainbook.work.stains.stripes import PlateOrder as PlateOrder
from stainbook.work.stains.typed_plate import BARE_FACES as BARE_FACES
from stainbook.work.stains.typed_plate import PlannedPlate as PlannedPlate
from stainbook.work.stains.typed_plate import PlateRow as PlateRow
from stainbook.work.stains.typed_plate import TypedPlates as TypedPlates
