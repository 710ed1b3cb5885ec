"""Every word of the pages that does not come from a file or a result, in one place, to be put into another language."""

from __future__ import annotations

TITLE = "Case"
CHOOSE_CASE = "Case"
WHOLE_CASE = "Whole case accepted"
WITHIN_FIRINGS = "within the firings left"
WHOLE_CASE_UNKNOWN = "cannot be told: some zones have no reading or no target"
NO_ODDS_HERE = "no firing at this stage"
CHIPS_HAND = "the hand of the chips"
FACTS = {
    "material": "material",
    "stage": "stage",
    "finish": "leaves with",
    "operator": "technician",
    "viewing": "light and observer",
    "mixes": "mixes",
}
FINISH = {"glaze": "glaze", "polish": "polish"}
STAGE = {"green": "bare, before sintering", "trial": "provisional"}
OWN_SCALE = "the instrument's own scale"
NOT_STATED = "not stated"

FILL_LABEL = "Show on the arch"
FILLS = {"now": "now", "target": "target", "predicted": "predicted", "difference": "difference ΔE00"}
RIGHT, LEFT = "patient's right", "patient's left"
ARCH_LABEL = "zones of the case; arrow keys walk along the arch"
LIST_LABEL = "all zones of the case"
STATE_MEANS = {
    "met": "difference not seen",
    "close": "seen, but accepted",
    "off": "not accepted yet",
    "out of reach": "stain cannot bring it there",
    "not read": "no reading or no target",
}
STEPS_OF_RAMP = ("not seen", "accepted", "up to 2 ×", "up to 3 ×", "more")
RAMP_TITLE = "ΔE00 by the thresholds of the tissue (×: times acceptable)"

NOW, PREDICTED, TARGET = "now", "predicted", "target"
NOTHING_THERE = "none"
CUT_CORNER = "A corner cut off: this screen cannot show that colour."
GAP_TITLE = "from the target"
PERCEPTIBLE, ACCEPTABLE = "perceptible", "acceptable"
EXPECTED = "Expected ΔE00, 5–95 %"
STEPS_TITLE = "Next steps"
STEPS_LABEL = "next steps for this zone, best first"
STEP_HEADS = ("mixes and coats, bottom first", "now | predicted | target", EXPECTED, "accepted")
AT_ONCE = "in this firing"
LEFT_AS_IT_IS = "as it is"
KINDS = {
    "add": "add",
    "leave": "Leave it as it is",
    "strip and restain": "Strip and restain",
    "remake": "Remake on another blank",
}
CLEAR_ALONE = "clear glaze alone"
DRY_BEFORE = "when dry: "
VERDICTS = {
    "leave": "Nothing to do here",
    "no firing": "No firing at this stage",
    "out of reach": "Stain cannot bring this zone to its target",
}
NO_STEP = "No step is proposed for this zone."

PLOTS_TITLE = "In numbers"
PLANE_AB = "Hue and chroma at this value"
PLANE_LC = "Value and chroma at this hue"
SPECTRUM = "Reflectance"
WAVELENGTH = "wavelength, nm"
REFLECTANCE = "reflectance, %"
NO_SPECTRUM = "No spectrum was read for this zone: bring one to see where along the light it differs."
MEASURED, EXPECTED_COLOUR = "measured", "expected"

ZONES_TITLE = "All zones"
ZONE_HEADS = ("zone", "state", "ΔE00 now", "value", "chroma", "hue", "next step", "accepted")
EFFECTS_TITLE = "Drawn by eye"
EFFECTS_NOTE = "listed, never scored"

CAUTIONS = (
    "A bench aid, not a medical device: hands and eye decide. Materials are used by their maker's instructions. "
    "No stain or glaze on base seats, screw channels and fitting surfaces. Surface stain wears. "
    "Ceramic dust: extraction and a fitted mask. A case is not delivered while a stain has no later firing."
)
ALSO_BY_EYE = (
    "Depth, fluorescence, gloss and texture are judged by eye, and the evenness of an arch counts before the last half "
    "unit of ΔE00."
)

WORKING = "Working out the next steps of {case} …"
NO_CASES = (
    "No case here yet. Bring a case file (`case: W-1`, its zones with a reading and a target each) into the folder "
    "`{folder}`, then choose “Look again”."
)
LOOK_AGAIN = "Look again"
CANNOT_SHOW = "This case cannot be shown yet: {reason}"
NO_ZONES = "This case has no zones yet. Name its zones in the case file, each with a reading and a target."
NO_GAP = "No difference yet: bring a reading of this zone and a target for it."
FAILED = "This page could not be made. Nothing was stored or lost; look again, or choose another case."
