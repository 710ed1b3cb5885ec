"""The words of jars and bottles."""

from __future__ import annotations

from stainbook.language import Numbered, say, say_as
from stainbook.pages.shell.plain import ours

IN_USE, IN_USE_NONE = say("Jars in use"), say("the newest lot of each stain")
IN_USE_HELP = say("Choose from those known, or type a stain and its lot, such as husk: 24-117.")
CONFIRM = say("{names}: a new jar of the lab")

LEAD = say("One row a jar or bottle. A case that names no jar means the one in use: the newest lot of its stain.")
NONE = say("The book knows no jar yet: open the first one here, or bring jars.csv by `stainbook jars jars.csv`.")
LABEL = say("jars and bottles")
HEADS = (say("stain"), say("lot"), say("state"), say("opened"), say("run out"), say("open cases"))
JAR, BOTTLE = say("jar"), say("bottle")
IN_STOCK, EMPTY, USED, NOT_ENTERED = (
    say_as("of a jar", "open"),
    say_as("of a jar", "run out"),
    say("in use"),
    say("not entered"),
)
NO_STRIPE = say("no stripe yet")
FIND = say("Find a jar")
ONLY_LEFT = say("Only those that did not run out")

CONCERNS = Numbered("{n} open case means it.", "{n} open cases mean it.")
NO_CASE = say("No open case means it.")
OPEN_CASE = say("Open {case}")
STILL_MEANT = say("{jar} has run out and is still meant: name another jar in these cases, or open a new one.")
RUN_OUT_TODAY, NOT_RUN_OUT = say("Run out today"), say("Undo: it is not empty")
TO_STRIPES = say("Paint its first stripe")

NEW = say("Open a jar or bottle")
STAIN, LOT, MAKERS_LOT = say("Stain"), say("Lot, as the lab calls it"), say("Maker's lot")
OPENED_ON = say("Opened on")
DAY_HELP = say("A day such as 2026-03-02. Empty: today.")
NOTE = say("Note")
SURE = say("{jar} is a new jar of the lab")
KEEP = say("Enter it")
KNOWN = say("{jar} is known: what is typed is added to it.")
NOT_KEPT = say("Not entered: {reason}")

ours(__name__)
