"""The words of the tray: several pieces in one firing."""

from __future__ import annotations

from stainbook.language import Numbered, say
from stainbook.pages.shell.plain import ours

LEAD = say("Tick the pieces of one firing, and say once how it is fired. Each is recorded as it was painted.")
KIND = say("Firing")
MINUTES_HELP = say("Door to door, as the maker's sheet has it. Empty: no time is counted.")
NEW = say("What goes in")
NO_PIECES = say("No piece is in the lab. Make a case first.")
ROW = say("{case}: {stage}, {material}")
ROW_PAINTED = Numbered("{row}, {n} zone painted", "{row}, {n} zones painted")
NO_MATERIAL = say("material not named")
NO_STAGE = say("at no stage yet")
WHY_NOT = say("Not in this firing: {reason}.")
MORE = say("Show more")
PUT_IN = Numbered("Into the furnace: {n} piece", "Into the furnace: {n} pieces")
NONE_TICKED = say("Tick a piece first.")
CANNOT = say("Not noted: {reason}")

IN_TITLE = say("In the furnace")
WHAT = say("{kind}: {cases}")
SINCE = say("In since {at}, by {name}.")
TO_GO = Numbered("{n} minute to go, out at {due}", "{n} minutes to go, out at {due}")
LESS = say("Less than a minute to go, out at {due}")
OVER = Numbered("Due at {due}, {n} minute ago", "Due at {due}, {n} minutes ago")
DUE_NOW = say("Due now, at {due}")
FOR = Numbered("In for {n} minute; nobody said how long it takes", "In for {n} minutes; nobody said how long it takes")
OUT = Numbered("Out of the furnace: record {n} piece", "Out of the furnace: record {n} pieces")
NEVER_IN = say("It did not go in")
ONE_NOT_IN = say("One piece was not on it")
THIS_ONE = say("{case} was not on it")

RECORDED = Numbered(
    "Taken out at {at} and recorded: {n} piece, {cases}. Next: let it cool, read it.",
    "Taken out at {at} and recorded: {n} pieces, {cases}. Next: let them cool, read them.",
)
UNDO_OUT = say("Undo: taken out at {at}")
READ = say("Read {case}")

ours(__name__)
