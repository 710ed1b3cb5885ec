"""The words of the practice lab, a page of its five minutes each."""

from __future__ import annotations

from stainbook.language import say
from stainbook.pages.shell.plain import ours

TRY = say("Try it on an invented case")
MAKING = say("Making the practice lab; the first time it takes half a minute …")
LEAVE = say("Leave the practice")
APART = say("An invented lab, its readings simulated; nothing of it goes into your book.")
ELSEWHERE = say("**Practice.**")
ON = {
    "start": say("**Practice 1 of 5.** Tap the row of W-1051, then press “Open W-1051”."),
    "case": say(
        "**Practice 2 of 5.** The gap of each zone stands in words; below are next steps with their chances. Tap "
        "another zone and see its own. Then open “Bench sheet” in the menu."
    ),
    "sheet": say("**Practice 3 of 5.** You would print this and paint by it. Then open “Result”."),
    "result": say(
        "**Practice 4 of 5.** The steps are filled in as painted. Type three rows of readings after the firing, such "
        "as 70,3 1,8 16,9, then 73,2 1,0 14,3, then 71,6 0,2 10,2, and record. Then open “Deliver”."
    ),
    "deliver": say("**Practice 5 of 5.** Say who accepted it, and deliver. That is the whole way of a case."),
}

ours(__name__)
