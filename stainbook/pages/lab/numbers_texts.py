"""The words of the page of the lab's numbers."""

from __future__ import annotations

from stainbook.pages.shell.plain import ours

SINCE, UNTIL = "Firings from", "to"
BY_LABEL = "By"
BY = {"technician": "technician", "clinic": "clinic", "stain": "stain", "month": "month"}
NOTHING = "No firing was recorded yet. Record one, and the numbers begin."
NONE_THEN = "No firing in these days."
FIRST = "in tolerance after the first firing"
FACTS = {
    "first": FIRST, "firings": "firings a unit", "returned": "came back", "minutes": "minutes a firing",
    "apart": "ΔE00 to target, median",
}  # fmt: skip
OF_UNITS = "{share} of {judged} units (likely {low} to {high})"
LIKELY = "{low} to\u00a0{high}"
HEADS = ("", "units", "at first", "likely", "firings", "minutes", "ΔE00", "came back")
NOTE = (
    "A unit is one tooth of a case. It counts as in tolerance after the first firing when all its zones were. "
    "“Likely” is the interval in which the true share lies in 95 of 100 cases: with few units it is wide."
)
PLOT = "In tolerance after the first firing, with what is likely"
AXIS = "%"
REASONS = "Came back for"
REASON_AXIS = "firings"
NOT_STATED = "not stated"
TRUST = "What chances were worth"
TRUST_HEADS = ("", "zones", "expected", "came out", "likely", "inside radius", "ΔE00 expected", "ΔE00 got")
TRUST_NOTE = (
    "“Expected” and “came out” are shares of zones in tolerance, claimed before the firing and read after it, of zones "
    "painted as chosen. “Inside radius” is the share within the radius that was to hold 9 in 10. With fewer than 20 "
    "zones a share is unknown."
)
TRUST_BY = {"month": "month", "stain": "stain", "programme": "programme", "technician": "technician"}
TRUST_BY_LABEL = "Chances by"
TRUST_CLAIMED = "claimed {least} to {most}"
TRUST_PLOT, TRUST_X, TRUST_Y = "Zones in tolerance, %", "expected", "came out"
UNKNOWN = "unknown"
CSV, EXCEL = "As CSV", "As Excel"
WORKING = "Adding up the firings …"

ours(globals())
