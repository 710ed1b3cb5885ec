"""Every word of the pages that does not come from a file or a result, in one place, to be put into another language."""

from __future__ import annotations

from stainbook.pages.case.case_texts import PLAN_TITLE, SHEET_TITLE
from stainbook.pages.shell.plain import ours
from stainbook.pages.shell.way_texts import DELIVER_TITLE, TARGETS_TITLE
from stainbook.words.states import MEANS

TITLE = "Case"
CHOOSE_CASE = "Case"
WHOLE_CASE = "Whole case in tolerance"
WITHIN_FIRINGS = "within the firings that remain"
WHOLE_CASE_UNKNOWN = "not known: some zones have no reading or no target"
NO_CHANCE_YET = "known once stains are calibrated"
NO_CHANCE_HERE = "no firing at this stage"
CHIPS_HAND = "the technician who painted the stripes"
FACTS = {
    "material": "material",
    "stage": "stage",
    "finish": "finish",
    "operator": "technician",
    "viewing": "light and observer",
    "mixes": "mixes",
}
FINISH = {"glaze": "glaze", "polish": "polish"}
STAGE = {"green": "unsintered", "trial": "provisional"}
OWN_SCALE = "the instrument's own scale"
NOT_STATED = "not stated"

FILL_LABEL = "Show on the arch"
FILLS = {"now": "now", "target": "target", "predicted": "predicted", "difference": "difference ΔE00"}
RIGHT, LEFT = "patient's right", "patient's left"
ARCH_LABEL = "zones of the case; arrow keys walk along the arch"
LIST_LABEL = "all zones of the case"
STATE_MEANS = MEANS
STEPS_OF_RAMP = ("not visible", "in tolerance", "up to 2 ×", "up to 3 ×", "more")
RAMP_TITLE = "ΔE00 by the thresholds of the tissue (×: times the tolerance)"

NOW, PREDICTED, TARGET = "now", "predicted", "target"
NOTHING_THERE = "none"
CUT_CORNER = "A corner cut off: this screen cannot show that colour."
GAP_TITLE = "from the target"
PERCEPTIBLE, ACCEPTABLE = "visible from", "in tolerance up to"
EXPECTED = "Expected ΔE00, 5–95 %"
STEPS_TITLE = "Next steps"
STEPS_LABEL = "next steps for this zone, best first"
STEP_HEADS = ("mixes and coats, bottom first", "now | predicted | target", EXPECTED, "in tolerance")
AT_ONCE = "in this firing"
LEFT_AS_IT_IS = "as it is"
KINDS = {
    "add": "add",
    "leave": "As it is",
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
ZONE_HEADS = ("zone", "state", "ΔE00 now", "value", "chroma", "hue", "next step", "in tolerance")
EFFECTS_TITLE = "Drawn by eye"
EFFECTS_NOTE = "listed, never scored"

ALSO_BY_EYE = (
    "Depth, fluorescence, gloss and texture are judged by eye, and the evenness of an arch counts before the last half "
    "unit of ΔE00."
)

WORKING = "Working out the next steps of {case} …"
NO_CASES = "No case here yet. Make one here, or bring a case file into the folder `{folder}`."
CANNOT_SHOW = "This case cannot be shown yet: {reason}"
NO_ZONES = "This case has no zones yet. Name its zones in the case file, each with a reading and a target."
NO_GAP = "No difference yet: bring a reading of this zone and a target for it."
FAILED = "This page could not be made. Nothing was stored or lost; look again, or choose another case."

# ---------------------------------------------------------------- what all pages share

MAKE_FIRST_CASE, MAKE_CASE = "Make the first case", "Make a case"
TO_READINGS, TO_RESULT, TO_CASE = "Readings", "Record a firing", "Open the case"
BENCH_SHEET = "Bench sheet to print"
CANNOT = "This does not work yet: {reason}"
LIGHT_LABEL = "Light and observer"
LIGHT_HELP = "The instrument's manual says under which light and observer it shows L*a*b*."

# ---------------------------------------------------------------- what waits

START_TITLE = "What waits"
FIND_CASE = "Find a case"
WAITS_LABEL = "cases, the one changed last first"
WAIT_HEADS = ("case", "material", "stage", "worst zone", "ΔE00", "value", "chroma", "hue", "next")
JOBS = {
    "target": "name a target",
    "read": "read {n} zones",
    "step": "choose a next step: {n} zones not in tolerance",
    "paint": "paint {n} zones as chosen, and fire",
    "fire": "{n} zones painted: fire, then read again",
    "record": "record the firing: {n} zones read since",
    "judge": "no zone out of tolerance: have it accepted",
    "deliver": "accepted: deliver it",
    "bonded": "bonded: deliver it",
    "returned": "came back: clean it, read it",
    "delivered": "delivered",
    "provisional": "provisional, {n} zones not in tolerance: never fired",
    "sinter": "coloured: dry it fully and sinter it by the maker's sheet",
    "back": "at the clinic for a try-in",
    "mend": "mend the file",
}
OPEN_CASE = {
    "target": "Targets of {case}",
    "read": "Read {case}",
    "step": "Open {case}",
    "paint": "Paint {case}",
    "fire": "Result of {case}",
    "record": "Record {case}",
    "judge": "Have {case} accepted",
    "deliver": "Deliver {case}",
    "bonded": "Deliver {case}",
    "returned": "Read {case}",
    "delivered": "Report of {case}",
    "provisional": "Open {case}",
    "sinter": "Open {case}",
    "back": "Open {case}",
}
FILES_FOUND = "{n} case files of the folder are not in the book: {names}"
BRING_IN = "Bring them in"
STANDS = "Colour now:"
SHOW_CASES = {"open": "open", "out": "delivered", "all": "all"}
SHOW_CASES_LABEL = "Show"
NO_SUCH_CASE = "This address names no case of this book: it may have been erased, or the address cut. Choose one."
MORE_CASES = "Show more"
LOOKING = "Looking at {case} …"
NONE_OPEN = "No case to show here: make one, or show the delivered ones."
NONE_FOUND = "No case whose code holds “{words}”."
FIRST_DAY = """
**Ten minutes, with nothing but an instrument that shows L\\*a\\*b\\*:**

1. Make a case: its teeth, and where their colour must go.
2. Read eight places of the arch in the order shown; type the numbers, paste them, or drop the instrument's file.
3. See how far each zone is from its target: value, chroma and hue, in words and numbers.
4. Look up what was done last time, print the bench sheet, fire.
5. Read again and record what was painted and what came out.

What to bring: the instrument, the piece, and the wanted colour as L\\*a\\*b\\* or as a tab of the lab's own guide.
No stripes and no spectra are needed. Once stripes of your stains are read, next steps with their chances appear.
"""

PAGES = {  # in the order of the work; beside it what the lab knows
    "start": START_TITLE,
    "new_case": "New case",
    "targets": TARGETS_TITLE,
    "readings": "Readings",
    "photo": "Photo",
    "case": TITLE,
    "plan": PLAN_TITLE,
    "sheet": SHEET_TITLE,
    "result": "Result",
    "deliver": DELIVER_TITLE,
    "recipes": "Recipes",
    "stains": "Stains",
    "exchange": "Exchange",
    "numbers": "Numbers",
    "settings": "Settings",
    "guide": "Guide",
}
LAB, LAB_PAGES = "The lab", ("recipes", "stains", "exchange", "numbers", "settings", "guide")

# ---------------------------------------------------------------- a new case

CODE, CODE_HELP = "Case code", "Letters, digits, - and _. No patient's name."
TEETH, TEETH_HELP = "Teeth (ISO 3950)", "Such as 15-25, or 11, 21, 36."
MATERIAL = "Material"
STAGE_LABEL = "Stage now"
STAGES = {
    "green": "unsintered",
    "sintered": "sintered",
    "blasted": "blasted",
    "stained": "stained",
    "glazed": "glazed",
    "trial": "provisional (never fired)",
    "returned": "returned",
}
FINISH_LABEL = "Finish"
GUM = "Gum zones of each tooth"
FEW = "Eight readings an arch; other zones follow the nearest"
TARGET_OF = {"tooth": "Target of the teeth", "gingiva": "Target of the gum"}
TARGET_HELP = "L* a* b*, such as 72,4 1,2 15,0. Leave it empty where it is not known yet."
TAB_OR_LAB = "or a tab of the guide"
NO_TAB = "none: the numbers above"
CANNOT_MAKE = "This makes no case yet: {reason}"

# ---------------------------------------------------------------- readings

ORDER_TITLE = "Read in this order"
ORDER_HEADS = ("", "tooth", "zone", "mind")
TYPE_HERE = "Type or paste L* a* b*, one reading a row"
TYPE_EXAMPLE = "72,4  1,2  15,0\n70.6  2.1  17.8\n…"
DROP_HERE = "or drop the instrument's file"
OTHER_ORDER = "Other order, or only some of them"
OTHER_ORDER_LABEL = "Read in this order"
STORE = "Store {n} readings"
ASSIGNED = {
    "name": "Given to zones by the names in the file.",
    "order": "Given to zones by their order: row 1 is the first.",
    "hand": "Given to zones by hand.",
}
ASSIGNED_HEADS = ("", "tooth", "zone", "L*", "a*", "b*", "readings")
LEFT_OUT = "Not of this case, so not stored: {names}."
STILL_MISSING = "Still to read: {names}."
STORED = "Stored: {n} readings of {case}."
NOTHING_NEW = "The book holds these readings of {case} already."
GAP_NOW = "How far each zone is from its target"
CANNOT_READ = "These readings cannot be used yet: {reason}"

# ---------------------------------------------------------------- the result of a firing

RECORDED_HEADS = ("zone", "expected | got", "L*", "a*", "b*", "from expected, ΔE00", "from target, ΔE00", "")
EXPECTED_NAME, GOT_NAME = "expected", "got"
ACCEPTED_WORD = {True: "in tolerance", False: "out of tolerance", None: "cannot tell"}
HELD = "held back: is this the right zone?"

# ---------------------------------------------------------------- recipes and what was done last time

FIND_COLOUR, FIND_COLOUR_HELP = "Near this colour", "L* a* b*; empty: the newest first."
HOW_NEAR = "How near, ΔE00"
FIND_WORDS = "Words"
FIND_STAINS = "With these stains"
FOUND_LABEL = "recipes and what was done, best first"
FOUND_HEADS = ("", "what", "painted, bottom first", "on", "ΔE00", "")
KIND_WORD = {"recipe": "recipe", "outcome": "done"}
NOTHING_DONE = (
    "Nothing was recorded yet. Record a firing: what was painted and what came out is then found here, by colour, "
    "words and stain, and can be saved as a recipe."
)
NONE_SO_NEAR = "Nothing found. Look farther, or with fewer words."
RECIPE_NAME = "Name of the recipe"
KEEP_RECIPE, APPROVE, RETIRE = "Save as a recipe", "Approve", "Retire"
BECAUSE = "Why (stored with it)"
CANNOT_LOOK = "This cannot be looked for yet: {reason}"
CANNOT_KEEP = "This cannot be saved yet: {reason}"

# ---------------------------------------------------------------- stains

STAIN_LABEL = "stains of the lab"
STAIN_HEADS = ("stain", "family", "stripes", "lot")
NO_STAINS = (
    "No stain yet. Stains come with the stripes that are painted of them: bring chips.csv (the list of stripes) and "
    "their readings, or enter one with the first firing that uses it."
)
NO_STRIPES = "No stripe of {stain} was read yet: only what its colour family commonly does is known."
ONE_COAT = "One coat on {plate}"
SHARES = {1.0: "undiluted", 0.25: "1 part in 4", 0.0625: "1 part in 16"}
COATS = {"bare": "bare", "clear": "clear glaze"}
STRIPES_TITLE = "Its stripes: read, and as the fit has them"
STRIPE_HEADS = ("stripe", "painted", "read | fit", "ΔE00")
NEXT_STRIPE = "Which stripe to fire next"
NEXT_WORKING = "Trying stripes against the open cases …"
NEXT_HEADS = ("", "stain", "painted", "on plate", "chance gained")
NO_NEXT = "No stripe would raise the chances of the open cases noticeably."
NO_OPEN = "No case is open: the next stripe is the one that helps the open cases most."

# ---------------------------------------------------------------- the guide

GUIDE_PAGE = "Page of the guide"

# ---------------------------------------------------------------- settings

INSTRUMENTS, PEOPLE, BOOK = "Instruments", "People", "The book"
INSTRUMENT_HEADS = ("instrument", "light and observer of its L\\*a\\*b\\*", "geometry", "specular", "aperture, mm")
INSTRUMENT_NAME, INSTRUMENT_HELP = (
    "Instrument",
    "As its readings name it; set up again, it is changed.",
)
LIGHT_SHOWN = "Light and observer of its numbers"
GEOMETRY, SPECULAR, APERTURE = "Geometry", "Gloss (specular)", "Aperture, mm"
SET_UP = "Set up"
NO_INSTRUMENTS = "No instrument yet: set one up, and its readings carry their light and observer by themselves."
PERSON, ENTER = "Technician", "Enter"
NO_PEOPLE = "Nobody yet. Names come by themselves with the firings that are recorded."
HELD_BY_BOOK = "It holds {counts}."
EMPTY_BOOK = "It is empty."
CANNOT_SET = "This cannot be set up yet: {reason}"
AHEAD_IS_MEANT = "The time is right: let me do it once more"

ours(globals())
