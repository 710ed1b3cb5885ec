"""The words of readings that are typed one by one."""

from __future__ import annotations

from stainbook.language import Numbered, say
from stainbook.pages.shell.plain import ours

FIELD = say("L* a* b* of {zone}")
EXPECTED, GOT = say("expected"), say("got")
LEFT = say("still to read: {n}")
ALL_READ = say("all read; type again to correct")
BACK, SKIP, WIPE, NEXT = say("the zone before"), say("the next zone"), say("delete a digit"), say("next")
HEADS = (say("zone"), say("expected"), say("got"), say("ΔE00"), "")
FORM_HEADS = (say("row"), "L* a* b*", "")
LIST_LABEL = say("zones to read, in order; a tap reads that one again")
AS_TYPED = say("It is {typed}")
AS_MEANT = say("{meant} was meant")
READ_AGAIN = say("Read it again")
CANNOT_TAKE = say("Not stored: {reason}")
STORED = Numbered("Stored: {n} zone.", "Stored: {n} zones.")
ASKED = say("asked about")
NOT_READ = say("not read")

ours(__name__)
