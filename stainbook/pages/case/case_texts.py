"""Every word of the case's steps, its plan, its bench sheet and of long work."""

from __future__ import annotations

from stainbook.language import Numbered, say, say_as
from stainbook.pages.shell.plain import ours

# ---------------------------------------------------------------- long work

DOING = {
    "": say("Reading the case"),
    "wait": say("Waiting for a worker"),
    "turn": say("Waiting for its turn"),
    "prepare": say("Looking at the zones"),
    "search": say("Trying mixes on the zones"),
    "mixes": say("Choosing mixes for all zones"),
    "forecast": say("Working out the chances of each number of mixes"),
    "others": say("Waiting until other pictures are done"),
    "look": say("Reading the picture and looking for the chart"),
    "outlines": say("Looking for teeth and gum"),
    "measure": say("Measuring"),
    "bundle": say("Looking into the file"),
    "history": say("Checking its history and what was learnt"),
    "store": say("Taking in"),
}
PACE = say("{doing}: {done} of {of} …")
STOP, GO_ON = say("Stop"), say("Go on")
STOPPED_BEFORE = say("Stopped. Nothing was stored.")
WORKED_OUT = say("not worked out yet")
WITHOUT_LOST = Numbered(
    "{chance} without the {n} zone that stain cannot bring there",
    "{chance} without the {n} zones that stain cannot bring there",
)
NEXT_STEP = say("Next step")
COMES = say("expected ΔE00 {dE00} ({low}–{high})")
STEPS_COME = say("Its next steps are not worked out yet.")
STOPPED = Numbered(
    "Stopped: {n} of {of} zones has its next steps. Nothing that was found is lost.",
    "Stopped: {n} of {of} zones have their next steps. Nothing that was found is lost.",
)
PLAN_STOPPED = say("Stopped: no plan of so many mixes yet.")

# ---------------------------------------------------------------- the choice of zones

MORE_ZONES = say("Choose more zones")
MORE_HELP = say("A tap then adds a zone to the choice or removes it; with keys and mouse hold Shift.")
SEVERAL = Numbered(
    "{n} zone chosen: {names}. What is chosen below holds for it.",
    "{n} zones chosen: {names}. What is chosen below holds for all of them.",
)
AND_MORE = Numbered("{zone} and {n} more", "{zone} and {n} more")
BACK_TO_FIRST = say("Back to the first proposal")
ALSO_TITLE = say("With the chosen step")
ALSO_HEADS = (say("zone"), say("painted, bottom first"), say("ΔE00"), "5–95 %", say("in tolerance"))

# ---------------------------------------------------------------- a mix by hand

MIX_TITLE = say("Mix by hand")
CHANGE_THIS, START_EMPTY, CLOSE_MIX = say("Change this step"), say("Mix by hand"), say("Close")
LAYER_NAME = {0: say("Layer 1, on the piece"), 1: say("Layer 2, when dry"), 2: say("Layer 3, when dry")}
STAINS_LABEL = say("Stains, two at most")
SHARE_LABEL = say("Share of {stain}")
COATS_LABEL = say("Coats")
ADD_LAYER, TAKE_LAYER = say("Add a layer"), say("Remove the last layer")
USE_MIX = say("Use this as my next step")
USE_MIX_FOR = Numbered("Use this for {n} zone", "Use this for all {n} zones")
CHOSEN_ROW, HAND_ROW, BEST_ROW = say_as("the row of a next step", "chosen"), say("yours"), say("best")
MANY_LAYERS = Numbered(
    "This case is fired with {n} layer at most: more are only dried in between and drag a little.",
    "This case is fired with {n} layers at most: more are only dried in between and drag a little.",
)
NOTHING_TO_MIX = say("No stain that this material and stage bear is on the list.")

# ---------------------------------------------------------------- plots

DOUBT = say("90 % of what may come out")
FIRED_BEFORE = say("after a firing, measured")
EXPECTED_BEFORE = say("expected of a firing")

# ---------------------------------------------------------------- the plan

PLAN_TITLE = say("Plan")
MIXES_LABEL = say("Mixes for the whole case")
MAKE_PLAN = say("Make the plan")
TAKE_OVER = say("Use these as next steps")
TAKEN_OVER = say("These are the next steps of all zones now.")
NO_PLAN_YET = say(
    "A few mixes for all zones, laid on in one firing: fewer to stir, and neighbours from one "
    "mix. Choose how many, and see what each one more is worth."
)
CANNOT_PLAN = say("There is no plan yet: {reason}")
NO_STAINS_YET = say("no stain was calibrated; steps, chances and plans come with the first stripes")
PLAN_MIX_HEADS = (say("mix"), say("parts"), say("zones"))
PLAN_ZONE_HEADS = (say("zone"), say("painted, bottom first"), say("ΔE00"), say("in tolerance"), say("with any mixes"))
SUFFER = say("Zones that suffer most from few mixes")
NONE_SUFFER = say("No zone suffers noticeably from so few mixes.")
ALL_ZONES = say("All zones of the plan")
MIX_SHOWN = say("Show on the arch")
TRADE_TITLE = say("What one more mix is worth")
TRADE_HEADS = (say("mixes"), say("in tolerance after this firing"), say("within the firings that remain"))
TRADE_X, TRADE_Y = say("mixes"), say("zones expected in tolerance")
TRADE_NOTE = Numbered(
    "Of all zones that stain can bring there; {n} mix would give {chance}.",
    "Of all zones that stain can bring there; {n} mixes would give {chance}.",
)
PLAN_ARCH = say("zones of the plan; arrow keys walk along the arch")
COATS_OF_ALL = say("Letter and dots: Y•• is two coats of mix Y. Dry the whole piece once between the passes.")
COATS_OF_ONE = say("A dot for each coat of this mix.")
NO_LAYER = say("nothing")

# ---------------------------------------------------------------- the bench sheet

SHEET_TITLE = say("Bench sheet")
TO_SHEET, TO_PLAN, TO_CASE_PAGE = say("Bench sheet"), say("Plan"), say("Back to the case")
PRINT_SHEET = say("Sheet to print")
BATCH, BATCH_HELP = say("Grams of each mix"), say("Empty: parts alone. Weights keep to the step of the scale.")
SCALE, SCALE_HELP = say("Step of the scale, g"), say("The smallest step that the scale shows, such as 0.01.")
CANNOT_WEIGH = say("This cannot be weighed: {reason}")

ours(__name__)
