"""What goes in and comes out of ``lab.readings``."""

from stainbook.work.reading.dropped import Dropped as Dropped
from stainbook.work.reading.instruments import Stated as Stated
from stainbook.work.reading.typed_colour import Light as Light
from stainbook.work.reading.typed_colour import numbers_of as numbers_of
from stainbook.work.reading.typed_colour import typed_number as typed_number
from stainbook.work.reading.typing_slips import ExpectedReading as ExpectedReading
from stainbook.work.reading.typing_slips import Slip as Slip
from stainbook.work.reading.typing_slips import same_again as same_again
from stainbook.work.reading.viewing_conditions import Asked as Asked
