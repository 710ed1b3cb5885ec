"""The words of the stripes page: a stain added, a plate laid out, its rows typed, the curve seen."""

from __future__ import annotations

from stainbook.language import Numbered, say
from stainbook.pages.shell.plain import ours

STEPS = {
    "stains": say("1. Add stains"),
    "plates": say("2. Lay out plates"),
    "rows": say("3. Type what was read"),
    "curve": say("4. See the curve"),
}
STEPS_LABEL = say("From a jar to its curve")
LEAD = {
    "stains": say("A stain is known by its name at the bench. Enter its jar again when a new lot comes."),
    "plates": say(
        "Four stains and clear glaze go on two plates in one firing. Use a pale and a darker plate: the second ground "
        "tells what absorbs from what covers."
    ),
    "rows": say(
        "Type the three numbers of each stripe in the order of the printed sheet; Enter goes to the next row. "
        "What is typed stays. All of it is saved in one step."
    ),
    "curve": say("What one and two coats of each share do on the plate, and which open zones the stain alone opens."),
}
NAME, NAME_HELP = say("Name"), say("As the bench says it: no number before it, no + in it.")
FORM, SYSTEM, FAMILY, LOT = say("Form"), say("System"), say("Colour family"), say("Jar (lot)")
SYSTEM_HELP = say("The lab's own word for stains, clear glaze and liquids that are mixed with each other.")
ADD, CHANGE = say("Add the stain"), say("Change {stain}")
LISTED_HEADS = (say("stain"), say("form"), say("family"), say("system"), say("jar"), say("stripes"))
NONE_LISTED = say("No stain yet.")
TO_PLATES = say("Lay out plates")
CHOOSE = say("Stains to lay out")
KINDS_LABEL = say("Stripes of each stain")
PART_IN, UNDILUTED = say("1 part in {n}"), say("undiluted")
KIND = say("{share}, {coats}")
ROOM, ROOM_HELP = say("Stripes on a plate"), say("So many have room on it, clear glaze with them.")
PLATES, PLATES_HELP = (
    say("Names of the plates"),
    say("Such as pale-1, dark-1; where none is named they are numbered."),
)
WHO, PROGRAMME = say("Who paints"), say("Programme")
PLAN_HEADS = (say("plate"), say("row"), say("paint"))
COUNTED = say("{plates}, {stripes}, one firing.")
PLATE_COUNT = Numbered("{n} plate", "{n} plates")
STRIPE_COUNT = Numbered("{n} stripe", "{n} stripes")
KEEP_PLAN = say("Save this lay-out")
SHEET = say("Sheet to print")
KEPT = say(
    "Saved. Print the sheet, read the bare plates, paint, fire as your pieces are fired, then type what was read."
)
NO_PLATES = say("No plate waits. Lay one out first.")
REMOVE = Numbered("Remove {n} stripe of {plates}", "Remove {n} stripes of {plates}")
REMOVE_LEAD = say("A lay-out that nobody paints can be removed: the stripes that wait go, those that were read stay.")
REMOVED = say("Removed: {plates}.")
BRING_BACK = say("Undo: bring {plate} back")
A_SPECTRUM = say("a spectrum")
AGAIN = say("A stripe was typed wrong")
AGAIN_WHICH = say("Its plate")
AGAIN_LEAD = say("Type the wrong rows alone; the rest stays, and what stood there before is kept.")
WHICH = say("Plates that were read")
FACE = say("The bare plate is")
FACES = {"matt": say("matt, as sintered or blasted"), "polished": say("polished"), "glazed": say("glazed")}
ROW = say("{number}. {painted}")
SAVE_ROWS = Numbered("Save {n} row, and learn from it", "Save {n} rows, and learn from them")
NOT_SAVED = say("Nothing was saved: {reason}")
LEARNING = say("Storing, and fitting the stains to their stripes …")
SAVED = say("Saved and learnt: {stains}. {warnings}")
SEE = say("See the curve and what it opens")
STAIN = say("Stain")
NO_CURVE = say(
    "Nothing is known of {stain} yet: type a plate of it, or paint a zone with it alone and read before and after."
)
CURVE = say("{stain} on {plate}: value and chroma by share")
SHARE_AXIS = say("share, %")
VALUE_AXIS, CHROMA_AXIS = say("value L*"), say("chroma C*")
COATS_NAME = {1: say("1 coat"), 2: say("2 coats")}
DOTS = say("Lines are the fit, thin for one coat, thick for two; dots are stripes that were read.")
OPENS = say("What it opens")
OPENED = say("Alone it brings {within} of {zones} open zones into tolerance, and {nearer} nearer.")
OPENS_NONE = say("No open zone has a reading and a target yet.")
OPENS_HEADS = (say("case"), say("zone"), say("ΔE00 now"), say("then"), say("painted"))
STRIPES_OF = say("{stripes}, {work} from ordinary work")
TEMPLATES = say("Files to fill in")
TEMPLATES_NOTE = say("With a few filled lines: put your own in their place, and bring them below.")
ADD_OR_STRIPES = say("Add a stain, make stripes")

ours(__name__)
