"""The words of the recipes page that other pages do not share."""

from __future__ import annotations

from stainbook.language import Numbered, say
from stainbook.pages.shell.plain import ours

MORE = say("Further conditions")
ANY = say("any")
CONDITIONS = {
    "zone": say("Zone"),
    "state": say("State"),
    "material": say("Material"),
    "lot": say("Lot"),
    "programme": say("Programme"),
    "tissue": say("Tissue"),
    "surface": say("Surface read on"),
}
USED, NEVER_USED = Numbered("used {n} time", "used {n} times"), say("never used yet")
ACCEPTED = say("{accepted} of {judged} in tolerance (likely {low:.0f} to {high:.0f} %)")
APART = say("ΔE00 to target {apart}, median")
BACK = say("came back: {reasons}")
LIFE, LIFE_HEADS = say("Its life"), ("", say("state"), say("by, on"), say("why"))
REVISE, REVISE_IT = say("Change it"), say("Save as a new revision")
NO_COLOUR = {
    "outcome": say("no colour: it was not read after this firing"),
    "recipe": say("no colour: it was kept of a zone that was not read after its firing"),
}
REVISE_NOTE = say("The old revision stays. What was approved and is painted otherwise begins as a draft again.")
PAINTED, NOTES, WHY = say("Painted, bottom first"), say("Notes"), say("Why")
PAINTED_HELP = say("2 coats of (1 part husk + 7 parts clear); a second layer after a semicolon")
MEANWHILE = say(
    "Another bench saved revision {other} while you were changing it. Both are stored; yours is "
    "the newer one. This is how they differ:"
)
BESIDE, BESIDE_HELP = say("Set beside"), say("Another recipe, or another revision of this one.")
REVISION = say("{name}, revision {revision}")
POINTS = {
    "state": say("state"),
    "layer 1": say("first layer"),
    "layer 2": say("second layer"),
    "layer 3": say("third layer"),
    "holds for": say("holds for"),
    "consistency": say("consistency"),
    "by eye": say("drawn by eye"),
    "notes": say("notes"),
    "kept by": say("kept by"),
    "why": say("why"),
}
DIFFERS = "≠"
USE, USE_IT = say("Use it on a case"), say("Make it the next step")
CASE, ZONES = say("Case"), say("Zones")
NO_CASE = say("No case is open.")
USED_ON = say("It is the next step of {zones} in {case} now.")

ours(__name__)
