"""The words of what was painted otherwise than the sheet says."""

from __future__ import annotations

from stainbook.language import Numbered, say
from stainbook.pages.shell.plain import ours

AS_SHEET = say("Painted as the sheet says. Tap what differs.")
DIFFER = Numbered("{n} zone differs from the sheet.", "{n} zones differ from the sheet.")
DIFFERS = say("differs")
NOTHING = say("nothing")
LIST_LABEL = say("zones with what lies on them; a tap chooses one or several")
CHOOSE = say("Choose the zones that were painted otherwise.")
CHOSEN = say("Chosen: {zones}")
NOT_PAINTED, RESET = say("Not painted"), say("As the sheet says")
COATS, MIX = say("Layer {number}: coats"), say("Layer {number}: mix")
PAINTED_WITH = say("Painted with one coat of mix")
OTHER_MIX = say("A mix that is not on the sheet")
TYPED = say("What was painted there, one layer a line, bottom first")
TYPED_HELP = say("Such as 2 coats of (1 part husk + 7 parts clear).")
USE_TYPED = say("Painted so")
UNKNOWN = say("the lab does not know {names} yet; enter it on the page Stains")
CANNOT = say("Not changed: {reason}")

ours(__name__)
