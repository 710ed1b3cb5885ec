"""The words of a bench sheet that is ticked on the screen."""

from __future__ import annotations

from stainbook.language import Numbered, say
from stainbook.pages.shell.plain import ours

TICK_HELP = say(
    "Each dot (•) is a coat. Tap a row once its mix is on. A tick is stored, and is there on another screen too."
)
PAINT_ALL = Numbered("Painted as the sheet says: {n} zone", "Painted as the sheet says: {n} zones")
TO_RESULT = say("All painted: on to the result")
MOVED_ON = say(
    "The piece has moved on since this sheet was shown: somebody painted, fired or read it meanwhile. Nothing was "
    "stored. This is its sheet now."
)
CANNOT_TICK = say("Not noted: {reason}")

ours(__name__)
