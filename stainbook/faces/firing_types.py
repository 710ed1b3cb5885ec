"""What goes in and comes out of ``lab.case(code).firing`` and ``.measured``, and of its delivery."""

from stainbook.work.case.delivery import DeliveryState as DeliveryState
from stainbook.work.case.delivery import listed as listed
from stainbook.work.case.hand_desk import DeliveryView as DeliveryView
from stainbook.work.case.typed_readings import Given as Given
from stainbook.work.case.typed_readings import Preview as Preview
from stainbook.work.case.typed_readings import ReadingPlace as ReadingPlace
from stainbook.work.firing.corrections import RecordedZone as RecordedZone
from stainbook.work.firing.corrections import ToldFiring as ToldFiring
from stainbook.work.firing.read_one import ZoneToRead as ZoneToRead
from stainbook.work.firing.results import FiringNow as FiringNow
from stainbook.work.firing.results import FiringResult as FiringResult
from stainbook.work.firing.results import Since as Since
from stainbook.work.firing.results import ZoneResult as ZoneResult
from stainbook.work.firing.tried_piece import SAID_FROM as SAID_FROM
from stainbook.work.firing.tried_piece import PieceView as PieceView
from stainbook.work.firing.witness_desk import DiscRun as DiscRun
from stainbook.work.firing.witness_desk import WitnessView as WitnessView
from stainbook.work.sheets.report_files import KINDS as KINDS
from stainbook.work.sheets.report_files import file_name as file_name
