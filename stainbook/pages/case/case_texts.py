"""Every word of the case's steps, its plan, its bench sheet and of long work."""

from __future__ import annotations

from stainbook.pages.shell.plain import ours

# ---------------------------------------------------------------- long work

DOING = {
    "": "Reading the case",
    "prepare": "Looking at the zones",
    "search": "Trying mixes on the zones",
    "mixes": "Choosing mixes for all zones",
    "forecast": "Working out the chances of each number of mixes",
}
PACE = "{doing}: {done} of {of} …"
STOP, GO_ON = "Stop", "Go on"
WORKED_OUT = "not worked out yet"
WITHOUT_LOST = "{chance} without the {n} zones that stain cannot bring there"
STEPS_COME = "Its next steps are not worked out yet."
STOPPED = "Stopped: {n} of {of} zones have their next steps. Nothing that was found is lost."
PLAN_STOPPED = "Stopped: no plan of so many mixes yet."

# ---------------------------------------------------------------- the choice of zones

MORE_ZONES = "Choose more zones"
MORE_HELP = "A tap then adds a zone to the choice or removes it; with keys and mouse hold Shift."
SEVERAL = "{n} zones chosen: {names}. What is chosen below holds for all of them."
AND_MORE = "{zone} and {n} more"
BACK_TO_FIRST = "Back to the first proposal"
ALSO_TITLE = "With the chosen step"
ALSO_HEADS = ("zone", "painted, bottom first", "ΔE00", "5–95 %", "in tolerance")

# ---------------------------------------------------------------- a mix by hand

MIX_TITLE = "Mix by hand"
CHANGE_THIS, START_EMPTY, CLOSE_MIX = "Change this step", "Mix by hand", "Close"
LAYER_NAME = {0: "Layer 1, on the piece", 1: "Layer 2, when dry", 2: "Layer 3, when dry"}
STAINS_LABEL = "Stains, two at most"
SHARE_LABEL = "Share of {stain}"
COATS_LABEL = "Coats"
ADD_LAYER, TAKE_LAYER = "Add a layer", "Remove the last layer"
USE_MIX = "Use this as my next step"
USE_MIX_FOR = "Use this for all {n} zones"
CHOSEN_ROW, HAND_ROW, BEST_ROW = "chosen", "yours", "best"
MANY_LAYERS = "This case is fired with {n} layers at most: more are only dried in between and drag a little."
NOTHING_TO_MIX = "No stain that this material and stage bear is on the list."

# ---------------------------------------------------------------- plots

DOUBT = "90 % of what may come out"
FIRED_BEFORE = "after a firing, measured"
EXPECTED_BEFORE = "expected of a firing"

# ---------------------------------------------------------------- the plan

PLAN_TITLE = "Plan"
MIXES_LABEL = "Mixes for the whole case"
MAKE_PLAN = "Make the plan"
TAKE_OVER = "Use these as next steps"
TAKEN_OVER = "These are the next steps of all zones now."
NO_PLAN_YET = (
    "A few mixes for all zones, laid on in one firing: fewer to stir, and neighbours from one mix. Choose how many, "
    "and see what each one more is worth."
)
CANNOT_PLAN = "There is no plan yet: {reason}"
NO_STAINS_YET = "no stain was calibrated; steps, chances and plans come with the first stripes"
PLAN_MIX_HEADS = ("mix", "parts", "zones")
PLAN_ZONE_HEADS = ("zone", "painted, bottom first", "ΔE00", "in tolerance", "with any mixes")
SUFFER = "Zones that suffer most from few mixes"
NONE_SUFFER = "No zone suffers noticeably from so few mixes."
ALL_ZONES = "All zones of the plan"
MIX_SHOWN = "Show on the arch"
TRADE_TITLE = "What one more mix is worth"
TRADE_HEADS = ("mixes", "in tolerance after this firing", "within the firings that remain")
TRADE_X, TRADE_Y = "mixes", "zones expected in tolerance"
TRADE_NOTE = "Of all zones that stain can bring there; {n} mixes would give {chance}."
PLAN_ARCH = "zones of the plan; arrow keys walk along the arch"
COATS_OF_ALL = "Letter and dots: Y•• is two coats of mix Y. Dry the whole piece once between the passes."
COATS_OF_ONE = "A dot for each coat of this mix."
NO_LAYER = "nothing"

# ---------------------------------------------------------------- the bench sheet

SHEET_TITLE = "Bench sheet"
TO_SHEET, TO_PLAN, TO_CASE_PAGE = "Bench sheet", "Plan", "Back to the case"
PRINT_SHEET = "Sheet to print"
BATCH, BATCH_HELP = "Grams of each mix", "Empty: parts alone. Weights keep to the step of the scale."
SCALE, SCALE_HELP = "Step of the scale, g", "The smallest step that the scale shows, such as 0.01."
CANNOT_WEIGH = "This cannot be weighed: {reason}"

ours(globals())
