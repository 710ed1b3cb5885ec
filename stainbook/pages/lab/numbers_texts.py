"""The words of the page of the lab's numbers."""

from __future__ import annotations

from stainbook.language import say
from stainbook.pages.shell.plain import ours

SINCE, UNTIL = say("Firings from"), say("to")
BY_LABEL = say("By")
BY = {"technician": say("technician"), "clinic": say("clinic"), "stain": say("stain"), "month": say("month")}
NOTHING = say("No firing was recorded yet. Record one, and the numbers begin.")
NONE_THEN = say("No firing in these days.")
FIRST = say("in tolerance after the first firing")
FACTS = {
    "first": FIRST,
    "firings": say("firings a unit"),
    "returned": say("came back"),
    "minutes": say("minutes a firing"),
    "apart": say("ΔE00 to target, median"),
}
OF_UNITS = say("{share} of {judged} units (likely {low} to {high})")
LIKELY = say("{low} to\u00a0{high}")
HEADS = (
    "",
    say("units"),
    say("at first"),
    say("likely"),
    say("firings"),
    say("minutes"),
    say("ΔE00"),
    say("came back"),
)
NOTE = say(
    "A unit is one tooth of a case. It counts as in tolerance after the first firing when all "
    "its zones were. “Likely” is the interval in which the true share lies in 95 of 100 cases: "
    "with few units it is wide."
)
PLOT = say("In tolerance after the first firing, with what is likely")
AXIS = "%"
REASONS = say("Came back for")
REASON_AXIS = say("firings")
NOT_STATED = say("not stated")
CSV, EXCEL = say("As CSV"), say("As Excel")
WORKING = say("Adding up the firings …")

ours(__name__)
