"""The words of the pages from the targets of a case to its delivery."""

from __future__ import annotations

from stainbook.pages.shell.plain import ours
from stainbook.words.states import CANNOT_TELL, IN_TOLERANCE, NOT_READ, OUT_OF_TOLERANCE

# ---------------------------------------------------------------- the result of a firing

RESULT_LEAD = "What was painted stands as the chosen next steps have it, until you change it."
RESULT_HEADS = ("zone", "painted, bottom first", "read after the firing", "L*", "a*", "b*")
NEXT_FIRING = "The next firing"
RESULT_LABEL = "zones of this firing"
NOT_PAINTED = "nothing"
FROM = {
    "typed": "typed",
    "pasted": "pasted",
    "photo": "photo, ± {u} ΔE00",
    "book": "in the book",
    "": "not read yet",
}
PAINTED_HERE = "Painted on {zone}, one layer a line, bottom first"
PAINTED_HELP = "2 coats of (1 part husk + 7 parts clear). Empty: nothing was painted here."
READ_HERE = "L* a* b* of {zone} after the firing"
READ_HELP = "Such as 71,6 1,4 16,8. Empty: not read by hand."
ALL_READ = "Readings of all zones"
TYPE_ALL = "Type or paste L* a* b* in the order of the sheet"
FILE_ALL = "or drop the instrument's file"
TAKE_SINCE = "Use what was read since: {n} zones in the book"
TAKE_SINCE_PHOTO = "Use what was read since: {n} zones in the book, {photo} of them by photo"
TO_PHOTO = "Read from a photo"
WHO, PROGRAMME, FURNACE, MINUTES = "Technician", "Programme", "Furnace", "Minutes, door to door"
PROGRAMME_HELP = "Its name, as the maker's sheet or the lab has it."
TRAY = "Also on this tray"
TRAY_HELP = "Other painted pieces that went into the furnace with this one. Each is recorded as it was painted."
NOTE_PAINTED = "Painted, into the furnace: {n} zones"
LYING = "Painted {at} on {zones}: not fired as far as the book knows. Fire, read again, and record."
WIPED = "It was wiped off"
RECORD = "Record {n} zones"
RECORD_UNREAD = "Fired, not read yet: record {n} zones"
NO_READING_AFTER = "Painted and not read, recorded as expected: {names}."
READ_NOT_PAINTED = "Read, and nothing painted, so not part of this firing: {names}."
NEW_STAIN = "{names}: enter as new stains of the lab"
UNKNOWN_STAIN = "The lab does not know {names} yet."
RECORDED = "Recorded: {n} zones of {case}."
LEARNT = "What was learnt"
NOTHING_LEARNT = "Nothing new could be told apart from the readings' doubt."
NOT_EXPECTED = "Nothing was expected: no stain was calibrated yet."
CANNOT_RECORD = "This cannot be recorded yet: {reason}"
AFTER_MET = "All zones of this firing are in tolerance. Next: have it accepted, and deliver."
AFTER_UNSURE = "{n} zones of this firing: cannot tell whether they are in tolerance. Next: see how they stand."
AFTER_OFF = "Next: {n} zones of this firing are out of tolerance. Choose a next step for them."
AFTER_UNREAD = "Nothing was read after this firing: the zones stand as expected. Next: read them."
TO_DELIVER, NEXT_STEP = "Accept and deliver", "Choose a next step"

# ---------------------------------------------------------------- accepted, delivered, come back

DELIVER_TITLE = "Deliver"
GRADES = {
    "within": (IN_TOLERANCE.shape, IN_TOLERANCE.word),
    "cannot tell": (CANNOT_TELL.shape, CANNOT_TELL.word),
    "beyond": (OUT_OF_TOLERANCE.shape, OUT_OF_TOLERANCE.word),
    "": (NOT_READ.shape, "no reading or no target"),
}
STANDS_TITLE = "How it stands"
STANDS_HEADS = ("", "zones", "", "")
BARRED = "Not to be delivered yet: {reason}."
FREE = "Colour and recorded firings leave nothing open. Check fit, surface and glaze on the piece."
WAS_DELIVERED = "It is delivered."
HAS_RETURNED = "It came back: {reason}. Debond, clean and dry it by the makers' instructions, read it, and go on."
ACCEPT_LABEL = "Who accepts the piece as it is"
ACCEPT_BY = {"lab": "the lab", "clinic": "the clinic", "patient": "the patient"}
ACCEPT, DELIVER, COMES_BACK = "Accepted by {by}", "Deliver {case}", "It came back"
RETURN_LABEL = "Why it came back"
RETURNED_FOR = {
    "shade": "its shade", "fit": "its fit", "fracture": "a fracture", "design": "its design",
    "clinic change": "the clinic changed what it wants",
}  # fmt: skip
STORY_TITLE, STORY_HEADS = "What happened", ("when", "what", "noted by")
NO_STORY = "Nothing was recorded of it yet."
REPORT_TITLE = "Report for the clinic and the job file"
REPORT_NOTE = "A difference never stands without its doubt; the photo, where there is one, is for the eye."
REPORTS = {"pdf": "Report, PDF", "csv": "Table, CSV", "xlsx": "Tables, Excel"}
CANNOT_HAND = "Not done: {reason}"

# ---------------------------------------------------------------- a new case

CODE_NOT_NAME = "A code belongs here, never a patient's name: what is stored must not say whose teeth these are."
NO_BLANKS = "The book knows no blank yet: bring bodies.csv and the readings of their sintered colour."

# ---------------------------------------------------------------- targets and effects

TARGETS_TITLE = "Targets"
PARTS_LABEL = "What to change"
PARTS = {"targets": "targets", "effects": "effects", "zones": "zones", "piece": "piece, limits, jars"}
UNDO = "Undo: {what}"
NOTHING_TO_UNDO = "Nothing to undo"
CHOOSE_ZONES = "zones of the case; tap to choose one or several, arrow keys walk, space chooses"
GROUPS = {
    "tooth": "all teeth", "gingiva": "all gum", "cervical": "cervical", "middle": "middle", "edge": "incisal, occlusal",
    "none": "none",
}  # fmt: skip
CHOSEN = "Chosen: {n} zones. {names}"
NONE_CHOSEN = "Choose zones on the arch, one or several."
AIM_LABEL = "Their target"
AIMS = {
    "tab": "a tab of the guide",
    "lab": "L* a* b*",
    "reading": "a reading",
    "photo": "the patient's photo, each zone its own",
    "trial": "a trial piece, each zone its own",
    "none": "no target yet",
}
TAB, LAB_AIM, READING_AIM, TRIAL_AIM = "Tab", "L* a* b*", "Name of the reading", "Trial piece of"
NO_TABS = "The book holds no tab yet: bring the lab's own guide and its readings."
READING_HELP = "As the book has it, such as W-1042-patient-11-middle."
LIGHTER, STRONGER = "Lighter (+) or darker (−), L*", "Stronger (+) or weaker (−), C*"
SHIFT_HELP = "Empty: as it is. A decimal comma will do."
SET_TARGETS = "Set the target of {n} zones"
TARGET_HEADS = ("zone", "target")
NO_TARGET = "none yet"
EFFECT_LABEL, EFFECT_HELP = "Effect", "One of the list, or your own word. Drawn by eye: listed, never scored."
EFFECT_PLACE, EFFECT_MIX, EFFECT_NOTE = "Where", "Mix", "Note"
EFFECT_MIX_HELP = "Such as 1 part flour + 3 parts clear."
ADD_EFFECT = "Add to {teeth}"
TEETH_OF_EFFECT = "Teeth of the zones that are chosen."
TAKE_OFF = "Remove: {effect}"
NO_EFFECTS = "No effect is listed yet."
ADD_TEETH, ADD_ZONES, ADD = "Teeth", "Zones of each", "Add zones"
TAKE_OUT = "Remove {n} zones from the case"
BLANK = "Blank"
NO_BLANK = "not named"
JARS, JARS_HELP = "Jars in use, one a line", "Stain and lot, such as husk: 24-117. Others: the newest lot of the book."
LIMIT_LABELS = {"firings_left": "Firings that remain", "layers": "Layers in a firing", "coats": "Coats in a layer"}
MIXES, MIXES_ANY = "Mixes at most", "as many as it takes"
STRENGTHS, STRENGTHS_HELP = "Shares that are mixed", "Such as 1/16, 1/8, 1/4, 1/2, 1."
ONLY_STAINS = "Only these stains"
KEEP_SETTINGS = "Save"
CANNOT_CHANGE = "Not changed: {reason}"

# ---------------------------------------------------------------- facts corrected

CORRECT_RESULT, CORRECT_READING = "Correct what was recorded", "Correct a reading"
CORRECT_WHAT, CORRECT_WHICH = "What was wrong", "Which"
CORRECT = {"zone": "a zone: painted, or read after", "firing": "the firing: who, programme, furnace, minutes"}
HOLDS_NOW = "Holds now: {said}. It stays stored, and the correction names it."
NOTHING_TOLD = "nothing was recorded"
CORRECT_PAINTED = "What was really painted, one layer a line"
CORRECT_LAB, CORRECT_LAB_HELP = "L* a* b* as they really are", "Empty: the reading was right."
CORRECT_READING_HELP = "Empty: it is undone, and the reading before it holds."
WHY = "Why it was wrong"
CORRECT_IT, TAKE_BACK = "Correct it", "Undo it"
TAKE_BACK_FIRING = "Undo the whole firing"
MISSING_FINISH = "{reason}. Was it glazed?"
GLAZED_ALL = "Yes: note the glaze firing now"
AS_IS = "Deliver it without: why"
UNDO_STEP = "Undo: {step}"
RUN = "Name of the run"
RUN_HELP = "Pieces that were in the furnace together share it, such as run 12. It may stay empty."
STEP_DONE = {
    "milled": "Milled",
    "coloured": "Coloured with liquids",
    "dried": "Dried fully for sintering",
    "sintered": "Sintered by the maker's sheet",
    "ground": "Ground",
    "polished": "Polished",
    "blasted": "Blasted",
    "cleaned": "Cleaned, disinfected, composite off",
    "stripped": "Stripped",
    "try-in": "Sent to try-in",
    "back": "Back from try-in",
    "bonded": "Bonded",
}
STEPS_LABEL = "What was done"
LIQUIDS_LABEL = "Liquids, such as 2 coats of (1 part bracken)"
NOT_DONE = "Not noted: {reason}"
WAY_LABEL = "The way of this piece"
UNDO_LAST = "Undo: {step}"

# ---------------------------------------------------------------- readings given to zones by hand

BY_HAND = "Give the rows to zones by hand"
LEFT_OUT = "not used"
HAND_COLUMNS = ("in the file", "L*", "a*", "b*", "zone")

ours(globals())
