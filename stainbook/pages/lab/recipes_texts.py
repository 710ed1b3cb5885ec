"""The words of the recipes page that other pages do not share."""

from __future__ import annotations

from stainbook.pages.shell.plain import ours

MORE = "Further conditions"
ANY = "any"
CONDITIONS = {
    "zone": "Zone", "state": "State", "material": "Material", "lot": "Lot", "programme": "Programme",
    "tissue": "Tissue", "surface": "Surface read on",
}  # fmt: skip
WORDS_OF = {"gingiva": "gum"}
RECORD = {True: "used {n} times", False: "never used yet"}
ACCEPTED = "{accepted} of {judged} in tolerance (likely {low:.0f} to {high:.0f} %)"
APART = "ΔE00 to target {apart}, median"
BACK = "came back: {reasons}"
LIFE, LIFE_HEADS = "Its life", ("", "state", "by, on", "why")
REVISE, REVISE_IT = "Change it", "Save as a new revision"
REVISE_NOTE = "The old revision stays. What was approved and is painted otherwise begins as a draft again."
PAINTED, NOTES, WHY = "Painted, bottom first", "Notes", "Why"
PAINTED_HELP = "2 coats of (1 part husk + 7 parts clear); a second layer after a semicolon"
MEANWHILE = (
    "Another bench saved revision {other} while you were changing it. Both are stored; yours is the newer one. "
    "This is how they differ:"
)
BESIDE, BESIDE_HELP = "Set beside", "Another recipe, or another revision of this one."
REVISION = "{name}, revision {revision}"
POINTS = {
    "state": "state", "layer 1": "first layer", "layer 2": "second layer", "layer 3": "third layer",
    "holds for": "holds for", "consistency": "consistency", "by eye": "drawn by eye", "notes": "notes",
    "kept by": "kept by", "why": "why",
}  # fmt: skip
DIFFERS = "≠"
USE, USE_IT = "Use it on a case", "Make it the next step"
CASE, ZONES = "Case", "Zones"
NO_CASE = "No case is open."
USED_ON = "It is the next step of {zones} in {case} now."

ours(globals())
