"""Every word of the pages that does not come from a file or a result, in one place, to be put into another language."""

from __future__ import annotations

from stainbook.language import Numbered, say, say_as
from stainbook.pages.shell.plain import ours

TITLE = say("Case")
CHOOSE_CASE = say("Case")
WHOLE_CASE = say("Whole case in tolerance")
WHOLE_CASE_UNKNOWN = say("not known: some zones have no reading or no target")
NO_CHANCE_YET = say("known once stains are calibrated")
NO_CHANCE_HERE = say("no firing at this stage")
CHIPS_HAND = say("the technician who painted the stripes")
FACTS = {
    "material": say("material"),
    "stage": say("stage"),
    "finish": say("finish"),
    "operator": say("technician"),
    "viewing": say("light and observer"),
    "mixes": say("mixes"),
}
FINISH = {"glaze": say("glaze"), "polish": say("polish")}
OWN_SCALE = say("the instrument's own scale")
NOT_STATED = say("not stated")

FILL_LABEL = say("Show on the arch")
FILLS = {
    "now": say("now"),
    "target": say("target"),
    "predicted": say("predicted"),
    "difference": say("difference ΔE00"),
}
RIGHT, LEFT = say("patient's right"), say("patient's left")
ARCH_LABEL = say("zones of the case; arrow keys walk along the arch")
LIST_LABEL = say("all zones of the case")
STEPS_OF_RAMP = (say("not visible"), say("in tolerance"), say("up to 2 ×"), say("up to 3 ×"), say("more"))
RAMP_TITLE = say("ΔE00 by the thresholds of the tissue (×: times the tolerance)")

NOW, PREDICTED, TARGET = say("now"), say("predicted"), say("target")
NOTHING_THERE = say_as("a colour that is not known", "none")
CUT_CORNER = say("A corner cut off: this screen cannot show that colour.")
GAP_TITLE = say("ΔE00 from the target")
PERCEPTIBLE, ACCEPTABLE = say("visible from"), say("in tolerance up to")
EXPECTED = say("Expected ΔE00, 5–95 %")
STEPS_TITLE = say("Next steps")
STEPS_LABEL = say("next steps for this zone, best first")
STEP_HEADS = (say("mixes and coats, bottom first"), say("now | predicted | target"), EXPECTED, say("in tolerance"))
AT_ONCE = say("in this firing")
LEFT_AS_IT_IS = say("as it is")
KINDS = {
    "add": say("add"),
    "leave": say("As it is"),
    "strip and restain": say("Strip and restain"),
    "remake": say("Remake on another blank"),
}
CLEAR_ALONE = say("clear glaze alone")
VERDICTS = {
    "leave": say("Nothing to do here"),
    "no firing": say("No firing at this stage"),
    "out of reach": say("Stain cannot bring this zone to its target"),
}
NO_STEP = say("No step is proposed for this zone.")

PLOTS_TITLE = say("In numbers")
PLANE_AB = say("Hue and chroma at this value")
PLANE_LC = say("Value and chroma at this hue")
SPECTRUM = say("Reflectance")
WAVELENGTH = say("wavelength, nm")
REFLECTANCE = say("reflectance, %")
NO_SPECTRUM = say("No spectrum was read for this zone: bring one to see where along the light it differs.")
MEASURED, EXPECTED_COLOUR = say("measured"), say("expected")

ZONES_TITLE = say("All zones")
ZONE_HEADS = (
    say("zone"),
    say("state"),
    say("ΔE00 now"),
    say("value"),
    say("chroma"),
    say("hue"),
    say("next step"),
    say("in tolerance"),
)
EFFECTS_TITLE = say("Drawn by eye, listed, never scored")

ALSO_BY_EYE = say(
    "Depth, fluorescence, gloss and texture are judged by eye, and the evenness of an arch "
    "counts before the last half unit of ΔE00."
)

NO_CASES = say("No case here yet. Make one here, or bring a case file into the folder `{folder}`.")
CANNOT_SHOW = say("This case cannot be shown yet: {reason}")
NO_ZONES = say("This case has no zones yet. Name its zones in the case file, each with a reading and a target.")
NO_GAP = say("No difference yet: bring a reading of this zone and a target for it.")
FAILED = say("This page could not be made. Nothing was stored or lost; look again, or choose another case.")

# ---------------------------------------------------------------- what all pages share

MAKE_FIRST_CASE, MAKE_CASE = say("Make the first case"), say("Make a case")
TO_READINGS, TO_RESULT, TO_CASE = say("Readings"), say("Record a firing"), say("Open the case")
TO_STRIPES = say("Make the first stripes")
BENCH_SHEET = say("Bench sheet to print")
CANNOT = say("This does not work yet: {reason}")
LIGHT_LABEL = say("Light and observer")
LIGHT_HELP = say("The instrument's manual says under which light and observer it shows L\\*a\\*b\\*.")
LIGHT_PRESET = say("Preset, nobody has said it yet: the instrument's display or manual tells it.")

SIGNED_OUT = say("your session has ended: sign in again")
SIGNED_IN_AS = say("{name}, {role}")
SIGN_OUT = say("Sign out")
READER_LOOKS = say("You are signed in as a reader: you can look at everything and change nothing.")

# ---------------------------------------------------------------- what waits

START_TITLE = say("What waits")
FIND_CASE = say("Find a case")
WAITS_LABEL = say("cases, the one changed last first")
WAIT_HEADS = (
    say("case"),
    say("material"),
    say("stage"),
    say("worst zone"),
    say("ΔE00"),
    say("value"),
    say("chroma"),
    say("hue"),
    say("next"),
)
JOBS: dict[str, str | Numbered] = {
    "target": say("name a target"),
    "read": Numbered("read {n} zone", "read {n} zones"),
    "step": Numbered("choose a next step: {n} zone not in tolerance", "choose a next step: {n} zones not in tolerance"),
    "paint": Numbered("paint {n} zone as chosen, and fire", "paint {n} zones as chosen, and fire"),
    "fire": Numbered("{n} zone painted: fire, then read again", "{n} zones painted: fire, then read again"),
    "record": Numbered("record the firing: {n} zone read since", "record the firing: {n} zones read since"),
    "judge": say("no zone out of tolerance: have it accepted"),
    "deliver": say("accepted: deliver it"),
    "bonded": say("bonded: deliver it"),
    "returned": say("came back: clean it, read it"),
    "delivered": say("delivered"),
    "provisional": Numbered(
        "provisional, {n} zone not in tolerance: never fired", "provisional, {n} zones not in tolerance: never fired"
    ),
    "sinter": say("coloured: dry it fully and sinter it by the maker's sheet"),
    "back": say("at the clinic for a try-in"),
    "mend": say("mend the file"),
}
OPEN_CASE = {
    "target": say("Targets of {case}"),
    "read": say("Read {case}"),
    "step": say("Open {case}"),
    "paint": say("Paint {case}"),
    "fire": say("Result of {case}"),
    "record": say("Record {case}"),
    "judge": say("Have {case} accepted"),
    "deliver": say("Deliver {case}"),
    "bonded": say("Deliver {case}"),
    "returned": say("Read {case}"),
    "delivered": say("Report of {case}"),
    "provisional": say("Open {case}"),
    "sinter": say("Open {case}"),
    "back": say("Open {case}"),
}
FILES_FOUND = Numbered(
    "{n} case file of the folder is not in the book: {names}",
    "{n} case files of the folder are not in the book: {names}",
)
BRING_IN = say("Bring them in")
STANDS = say("Colour now:")
SHOW_CASES = {
    "open": say_as("which cases are listed", "open"),
    "out": say_as("which cases are listed", "delivered"),
    "all": say_as("which cases are listed", "all"),
}
SHOW_CASES_LABEL = say("Show")
NO_SUCH_CASE = say("This address names no case of this book: it may have been erased, or the address cut. Choose one.")
MORE_CASES = say("Show more")
LOOKING = say("Looking at {case} …")
NONE_OPEN = say("No case to show here: make one, or show the delivered ones.")
NONE_FOUND = say("No case whose code holds “{words}”.")
PAGES = {  # in the order of the work; beside it what the lab knows
    "start": START_TITLE,
    "new_case": say("New case"),
    "tab_and_tooth": say("A tab and a tooth"),
    "targets": say("Targets"),
    "readings": say("Readings"),
    "photo": say("Photo"),
    "case": TITLE,
    "plan": say("Plan"),
    "sheet": say("Bench sheet"),
    "timeline": say("Timeline"),
    "tray": say("Tray"),
    "result": say("Result"),
    "deliver": say("Deliver"),
    "recipes": say("Recipes"),
    "stains": say("Stains"),
    "stripes": say("Stripes"),
    "discs": say("Witness discs"),
    "jars": say("Jars and bottles"),
    "exchange": say("Exchange"),
    "numbers": say("Numbers"),
    "settings": say("Settings"),
    "guide": say("Guide"),
}
MENU = say("Menu: {page}")
BENCH_PAGES = ("start", "result", "sheet", "photo", "tray")  # pressed at the furnace, with a finger
HIDDEN_PAGES = ("tab_and_tooth", "discs", "timeline")  # not in the menu: other pages lead there

# ---------------------------------------------------------------- a new case

CODE, CODE_HELP = say("Case code"), say("Letters, digits, - and _. No patient's name.")
TEETH, TEETH_HELP = say("Teeth (ISO 3950)"), say("Such as 15-25, or 11, 21, 36.")
MATERIAL = say("Material")
STAGE_LABEL = say("Stage now")
STAGES = {
    "green": say("unsintered"),
    "sintered": say("sintered"),
    "blasted": say("blasted"),
    "stained": say("stained"),
    "glazed": say("glazed"),
    "trial": say("provisional (never fired)"),
    "returned": say("returned"),
}
FINISH_LABEL = say("Finish")
GUM = say("Gum zones of each tooth")
FEW, FEW_HELP = say("Eight readings an arch"), say("The other zones follow the nearest one that is read.")
TARGET_OF = {"tooth": say("Target of the teeth"), "gingiva": say("Target of the gum")}
TARGET_HELP = say("L* a* b*, such as 72,4 1,2 15,0. Leave it empty where it is not known yet.")
TAB_OR_LAB = say("or a tab of the guide")
NO_TAB = say("none: the numbers above")
CANNOT_MAKE = say("This makes no case yet: {reason}")

# ---------------------------------------------------------------- readings

ORDER_TITLE = say("Read in this order")
ORDER_HEADS = ("", say("tooth"), say("zone"), say("mind"))
TYPE_HERE = say("Type or paste L* a* b*, one reading a row; - for a zone that was not read")
TYPE_EXAMPLE = "72,4  1,2  15,0\n70.6  2.1  17.8\n…"
FILM_LABEL = say("Film over the face")
FILMS = {
    "none": say_as("film over a face", "none, read dry"),
    "water": say_as("film over a face", "water"),
    "glycerine": say_as("film over a face", "glycerine"),
    "stain liquid": say_as("film over a face", "stain liquid"),
}
FILM_HELP = say(
    "A matt face scatters light of its own, which a film takes away: then the doubt of a step is smaller. It holds for "
    "the readings that you take next."
)
UNDER_FILM = say("Readings from here on count as read under {film}. Clean and dry the piece before you paint it.")
DROP_HERE = say("or drop the instrument's file")
OTHER_ORDER = say("Other order, or only some of them")
OTHER_ORDER_LABEL = say("Read in this order")
STORE = Numbered("Store {n} reading", "Store {n} readings")
ASSIGNED = {
    "name": say("Given to zones by the names in the file."),
    "order": say("Given to zones by their order: row 1 is the first."),
    "hand": say("Given to zones by hand."),
}
ASSIGNED_HEADS = ("", say("tooth"), say("zone"), say("L*"), say("a*"), say("b*"), say("readings"))
LEFT_OUT = say("Not of this case, so not stored: {names}.")
STILL_MISSING = say("Still to read: {names}.")
STORED = Numbered("Stored: {n} reading of {case}.", "Stored: {n} readings of {case}.")
NOTHING_NEW = say("The book holds these readings of {case} already.")
GAP_NOW = say("How far each zone is from its target")
CANNOT_READ = say("These readings cannot be used yet: {reason}")

# ---------------------------------------------------------------- the result of a firing

RECORDED_HEADS = (
    say("zone"),
    say("expected | got"),
    say("L*"),
    say("a*"),
    say("b*"),
    say("from expected, ΔE00"),
    say("from target, ΔE00"),
    "",
)
EXPECTED_NAME, GOT_NAME = say("expected"), say("got")
ACCEPTED_WORD = {True: say("in tolerance"), False: say("out of tolerance"), None: say("cannot tell")}
HELD = say("held back: is this the right zone?")

# ---------------------------------------------------------------- recipes and what was done last time

FIND_COLOUR, FIND_COLOUR_HELP = say("Near this colour"), say("L* a* b*; empty: the newest first.")
HOW_NEAR = say("How near, ΔE00")
FIND_WORDS = say("Words")
FIND_STAINS = say("With these stains")
FOUND_LABEL = say("recipes and what was done, best first")
FOUND_HEADS = ("", say("what"), say("painted, bottom first"), say("on"), say("ΔE00"), "")
KIND_WORD = {"recipe": say("recipe"), "outcome": say("done")}
NOTHING_DONE = say(
    "Nothing was recorded yet. Record a firing: what was painted and what came out is then found "
    "here, by colour, words and stain, and can be saved as a recipe."
)
NONE_SO_NEAR = say("Nothing found. Look farther, or with fewer words.")
RECIPE_NAME = say("Name of the recipe")
KEEP_RECIPE, APPROVE, RETIRE = say("Save as a recipe"), say("Approve"), say("Retire")
BECAUSE = say("Why (stored with it)")
CANNOT_LOOK = say("This cannot be looked for yet: {reason}")
CANNOT_KEEP = say("This cannot be saved yet: {reason}")

# ---------------------------------------------------------------- stains

STAIN_LABEL = say("stains of the lab")
STAIN_HEADS = (say("stain"), say("family"), say("stripes"), say("lot"))
NO_STAINS = say(
    "No stain yet. Stains come with the stripes that are painted of them: bring chips.csv (the "
    "list of stripes) and their readings, or enter one with the first firing that uses it."
)
NO_STRIPES = say("No stripe of {stain} was read yet: only what its colour family commonly does is known.")
ONE_COAT = say("One coat on {plate}")
SHARES = {1.0: say("undiluted"), 0.25: say("1 part in 4"), 0.0625: say("1 part in 16")}
COATS = {"bare": say("bare"), "clear": say("clear glaze")}
STRIPES_TITLE = say("Its stripes: read, and as the fit has them")
STRIPE_HEADS = (say("stripe"), say("painted"), say("read | fit"), say("ΔE00"))
NEXT_STRIPE = say("Which stripe to fire next")
NEXT_WORKING = say("Trying stripes against the open cases …")
NEXT_HEADS = ("", say("stain"), say("painted"), say("on plate"), say("chance gained"))
NO_NEXT = say("No stripe would raise the chances of the open cases noticeably.")
NO_OPEN = say("No case is open: the next stripe is the one that helps the open cases most.")

# ---------------------------------------------------------------- the guide

GUIDE_PAGE = say("Page of the guide")

# ---------------------------------------------------------------- settings

INSTRUMENTS, PEOPLE, BOOK = say("Instruments"), say("People"), say("The book")
INSTRUMENT_HEADS = (
    say("instrument"),
    say("light and observer of its L*a*b*"),
    say("geometry"),
    say("specular"),
    say("aperture, mm"),
)
INSTRUMENT_NAME, INSTRUMENT_HELP = (
    say("Instrument"),
    say("As its readings name it; set up again, it is changed."),
)
LIGHT_SHOWN = say("Light and observer of its numbers")
GEOMETRY, SPECULAR, APERTURE = say("Geometry"), say("Gloss (specular)"), say("Aperture, mm")
SPECULARS = {"": "", "excluded": say("excluded"), "included": say("included")}
SET_UP = say("Set up")
NO_INSTRUMENTS = say("No instrument yet: set one up, and its readings carry their light and observer by themselves.")
PERSON, ENTER = say("Technician"), say("Enter")
NO_PEOPLE = say("Nobody yet. Names come by themselves with the firings that are recorded.")
HELD_BY_BOOK = say("It holds {counts}.")
EMPTY_BOOK = say("It is empty.")
CANNOT_SET = say("This cannot be set up yet: {reason}")
AHEAD_IS_MEANT = say("The time is right: let me do it once more")

ours(__name__)
