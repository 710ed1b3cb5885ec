"""The words of the page of the lab's numbers."""

from __future__ import annotations

from stainbook.language import say
from stainbook.pages.shell.plain import ours

SINCE, UNTIL = say("Firings from"), say("to")
BY_LABEL = say("By")
BY = {
    "stain": say("stain"),
    "programme": say("programme"),
    "technician": say("technician"),
    "clinic": say("clinic"),
    "month": say("month"),
}
COSTS, COSTS_SINCE = say("What a case took"), say("Before and since")
COSTS_HEADS = (
    say("first fired"),
    say("cases"),
    say("firings"),
    say("strips"),
    say("try-ins"),
    say("remakes"),
    say("minutes"),
    say("cost"),
)
COSTS_NOTE = say(
    "Means a case. A remake is a milling after the first. The cost is of firings, blanks and minutes of "
    "firing, by the prices that Settings has."
)
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
TRUST = say("What chances were worth")
TRUST_HEADS = (
    "",
    say("zones"),
    say("expected"),
    say("came out"),
    say("likely"),
    say("inside radius"),
    say("ΔE00 expected"),
    say("ΔE00 got"),
)
TRUST_NOTE = say(
    "“Expected” and “came out” are shares of zones in tolerance, claimed before the firing and read after it, of zones "
    "painted as chosen. “Inside radius” is the share within the radius that was to hold 9 in 10. With fewer than 20 "
    "zones a share is unknown."
)
TRUST_BY = {
    "month": say("month"),
    "stain": say("stain"),
    "programme": say("programme"),
    "technician": say("technician"),
}
TRUST_BY_LABEL = say("Chances by")
TRUST_CLAIMED = say("claimed {least} to {most}")
TRUST_PLOT, TRUST_X, TRUST_Y = say("Zones in tolerance, %"), say("expected"), say("came out")
UNKNOWN = say("unknown")
CSV, EXCEL = say("As CSV"), say("As Excel")
WORKING = say("Adding up the firings …")

ours(__name__)
