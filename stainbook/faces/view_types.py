"""What pages draw of a case: how zones stand, planes around a target, curves; mixes and hues in words."""

from stainbook.work.case.case_edits import said_target as said_target
from stainbook.work.case.views import CaseView as CaseView
from stainbook.work.case.views import Curve as Curve
from stainbook.work.case.views import Floats as Floats
from stainbook.work.case.views import ZoneSeen as ZoneSeen
from stainbook.work.case.views import contour as contour
from stainbook.work.case.views import difference as difference
from stainbook.work.case.views import ellipse as ellipse
from stainbook.work.case.views import half_span as half_span
from stainbook.work.case.views import in_plane as in_plane
from stainbook.work.case.views import lab_of as lab_of
from stainbook.work.case.views import limits_of as limits_of
from stainbook.work.case.views import parts_of as parts_of
from stainbook.work.case.views import predicted as predicted
from stainbook.work.case.views import reason as reason
from stainbook.work.case.views import step_of as step_of
from stainbook.work.case.views import zone_state as zone_state
