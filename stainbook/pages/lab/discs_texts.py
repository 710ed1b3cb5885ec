"""The words of the page of witness discs."""

from __future__ import annotations

from stainbook.language import say
from stainbook.pages.shell.plain import ours

LEAD = say(
    "Mill two discs from the offcut of this piece's blank. Leave one bare, colour the other as the piece. Dry and "
    "sinter both in the same run, and read them first: what blank, bottle and run became shows on them before the "
    "piece is touched."
)
NOT_GREEN = say(
    "{code} was sintered without discs. Where that was noted by mistake, undo it on the case page; else its readings "
    "say what came out."
)
NO_BLANK = say("{code} names no blank. Name it under Targets, Piece.")
MIX, MIX_HELP = say("On the coloured disc"), say("Such as 2 coats of bracken undiluted: passes of the brush.")
RUN, RUN_HELP = say("Run"), say("A name that all pieces of this sintering carry.")
WHO, PROGRAMME = say("Who painted"), say("Programme")
SINTERED = say("Dried fully, sintered with both discs")
READ = say("Read the discs now, dry and at room temperature")
BARE, COLOURED = say("bare disc"), say("coloured disc: {painted}")
SAVE = say("Save the discs")
IGNORED = say("Not used, {disc}: {reason}")
EXPECTED = say("What the piece is expected to be now, by its discs")
EXPECTED_HEADS = (say("zone"), "L*", "a*", "b*", say("± ΔE00"))
NOTHING_KNOWN = say("No colour can be expected yet: the blank was never read, or nothing is known of the liquid.")
TO_CASE = say("Open the case")
TO_DISCS = say("Sinter it with witness discs")
CANNOT = say("This cannot be noted yet: {reason}")

ours(__name__)
