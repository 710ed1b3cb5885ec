"""The words of the pages from the targets of a case to its delivery."""

from __future__ import annotations

from stainbook.language import Numbered, say, say_as
from stainbook.pages.shell.plain import ours
from stainbook.words.states import BY_EYE, CANNOT_TELL, IN_TOLERANCE, MEANS, NOT_READ, OUT_OF_TOLERANCE

# ---------------------------------------------------------------- the result of a firing

RESULT_LEAD = say("What was painted stands as the chosen next steps have it, until you change it.")
RESULT_HEADS = (
    say("zone"),
    say("painted, bottom first"),
    say("read after the firing"),
    say("L*"),
    say("a*"),
    say("b*"),
)
NEXT_FIRING = say("The next firing")
RESULT_LABEL = say("zones of this firing")
NOT_PAINTED = say("nothing")
FROM = {
    "pasted": say("pasted"),
    "photo": say("photo, ± {u} ΔE00"),
    "book": say("in the book"),
    "": say("not read yet"),
}
PAINTED_HERE = say("Painted on {zone}, one layer a line, bottom first")
PAINTED_HELP = say("2 coats of (1 part husk + 7 parts clear). Empty: nothing was painted here.")
RESULT_PART_LABEL = say("What to record")
RESULT_PARTS = {"read": say("what came out"), "painted": say("what was painted")}
ALL_READ = say("Readings of all zones")
TYPE_ALL = say("Type or paste L* a* b* in the order of the sheet")
FILE_ALL = say("or drop the instrument's file")
TAKE_SINCE = Numbered("Use what was read since: {n} zone in the book", "Use what was read since: {n} zones in the book")
TAKE_SINCE_PHOTO = Numbered(
    "Use what was read since: {n} zone in the book, {photo} of them by photo",
    "Use what was read since: {n} zones in the book, {photo} of them by photo",
)
TO_PHOTO = say("Read from a photo")
WHO, PROGRAMME, FURNACE, MINUTES = say("Technician"), say("Programme"), say("Furnace"), say("Minutes, door to door")
PROGRAMME_HELP = say("Its name, as the maker's sheet or the lab has it.")
TRAY = say("Also on this tray")
TRAY_HELP = say("Other painted pieces that went into the furnace with this one. Each is recorded as it was painted.")
PAINTED_AS_SHEET = Numbered("Painted as the sheet says: {n} zone", "Painted as the sheet says: {n} zones")
NOTE_PAINTED = Numbered("Painted, into the furnace: {n} zone", "Painted, into the furnace: {n} zones")
LYING = Numbered(
    "Painted {at} on {n} zone ({zones}): not fired as far as the book knows. Fire, read again, and record.",
    "Painted {at} on {n} zones ({zones}): not fired as far as the book knows. Fire, read again, and record.",
)
WIPED = say("It was wiped off")
RECORD = Numbered("Record {n} zone", "Record {n} zones")
RECORD_UNREAD = Numbered("Fired, not read yet: record {n} zone", "Fired, not read yet: record {n} zones")
NO_READING_AFTER = say("Painted and not read, recorded as expected: {names}.")
READ_NOT_PAINTED = say("Read, and nothing painted, so not part of this firing: {names}.")
NEW_STAIN = say("{names}: enter as new stains of the lab")
UNKNOWN_STAIN = say("The lab does not know {names} yet.")
RECORDED = Numbered("Recorded: {n} zone of {case}.", "Recorded: {n} zones of {case}.")
LEARNT = say("What was learnt")
NOTHING_LEARNT = say("Nothing new could be told apart from the readings' doubt.")
NOT_EXPECTED = say("Nothing was expected: no stain was calibrated yet.")
CANNOT_RECORD = say("This cannot be recorded yet: {reason}")
ONLY_PAINTED = say("Painted, fired and not read, so only expected: {zones}. Read them on Readings.")
AFTER_MET = say("All zones of this firing are in tolerance. Next: have it accepted, and deliver.")
AFTER_UNSURE = Numbered(
    "{n} zone of this firing: cannot tell whether it is in tolerance. Next: see how it stands.",
    "{n} zones of this firing: cannot tell whether they are in tolerance. Next: see how they stand.",
)
AFTER_OFF = Numbered(
    "Next: {n} zone of this firing is out of tolerance. Choose a next step for it.",
    "Next: {n} zones of this firing are out of tolerance. Choose a next step for them.",
)
AFTER_UNREAD = say("Nothing was read after this firing: the zones stand as expected. Next: read them.")
READ_FIRST = Numbered("Read {n} zone that was fired", "Read {n} zones that were fired")
TO_DELIVER, NEXT_STEP = say("Accept and deliver"), say("Choose a next step")

# ---------------------------------------------------------------- accepted, delivered, come back

DELIVER_TITLE = say("Deliver")
GRADES = {
    "within": (IN_TOLERANCE.shape, IN_TOLERANCE.word),
    "cannot tell": (CANNOT_TELL.shape, CANNOT_TELL.word),
    "beyond": (OUT_OF_TOLERANCE.shape, OUT_OF_TOLERANCE.word),
    "by eye": (BY_EYE.shape, MEANS[BY_EYE.word]),
    "": (NOT_READ.shape, say("no reading or no target")),
}
STANDS_TITLE = say("How it stands")
STANDS_HEADS = ("", say("zones"), "", "")
BARRED = say("Not to be delivered yet: {reason}.")
FREE = say("Colour and recorded firings leave nothing open. Check fit, surface and glaze on the piece.")
WAS_DELIVERED = say("It is delivered.")
HAS_RETURNED = say("It came back: {reason}. Debond, clean and dry it by the makers' instructions, read it, and go on.")
ACCEPT_LABEL = say("Who accepts the piece as it is")
ACCEPT_BY = {"lab": say("the lab"), "clinic": say("the clinic"), "patient": say("the patient")}
ACCEPT, DELIVER, COMES_BACK = say("Accepted by {by}"), say("Deliver {case}"), say("It came back")
RETURN_LABEL = say("Why it came back")
RETURNED_FOR = {
    "shade": say("its shade"),
    "fit": say("its fit"),
    "fracture": say("a fracture"),
    "design": say("its design"),
    "clinic change": say("the clinic changed what it wants"),
}
STORY_TITLE, STORY_HEADS = say("What happened"), (say("when"), say("what"), say("noted by"))
NO_STORY = say("Nothing was recorded of it yet.")
REPORT_TITLE = say("Report for the clinic and the job file")
REPORT_NOTE = say("A difference never stands without its doubt; the photo, where there is one, is for the eye.")
REPORTS = {
    "pdf": say("Page for the clinic, PDF"),
    "job": say("Job file, PDF"),
    "csv": say("Table, CSV"),
    "xlsx": say("Tables, Excel"),
}
ANNEX = say("Zones' numbers too")
ANNEX_HELP = say(
    "They stand behind the clinic's page. The job file always holds all of it, with the lots of blank, bottles, stains "
    "and glaze."
)
CANNOT_HAND = say("Not done: {reason}")

# ---------------------------------------------------------------- a new case

CODE_NOT_NAME = say("A code belongs here, never a patient's name: what is stored must not say whose teeth these are.")
NO_BLANKS = say("The book knows no blank yet: bring bodies.csv and the readings of their sintered colour.")

# ---------------------------------------------------------------- targets and effects

TARGETS_TITLE = say("Targets")
PARTS_LABEL = say("What to change")
PARTS = {
    "groups": say("by tooth group"),
    "targets": say("single zones"),
    "effects": say("effects"),
    "zones": say("zones"),
    "piece": say("piece"),
    "limits": say("jars and limits"),
}
TARGET_GROUPS = {
    "front": Numbered("Front teeth: {n} zone", "Front teeth: {n} zones"),
    "canine": Numbered("Canines: {n} zone", "Canines: {n} zones"),
    "back": Numbered("Back teeth: {n} zone", "Back teeth: {n} zones"),
    "gum": Numbered("Gum: {n} zone", "Gum: {n} zones"),
}
GROUP_HELP = say("A tab of the guide, or type L* a* b*, such as 72,4 1,2 15,0.")
SET_GROUPS = say("Set these targets")
DIFFERING = Numbered("{n} zone has a target of its own: {zones}.", "{n} zones have targets of their own: {zones}.")
STEPS_OF_TARGET = {
    (-1, 0): say("a step darker"),
    (1, 0): say("a step lighter"),
    (0, 1): say("a step stronger"),
    (0, -1): say("a step weaker"),
}
STEP_HELP = say("{step} L* or C*, from each zone's own target.")
AS_GROUP = say("as their tooth group")
UNDO = say("Undo: {what}")
NOTHING_TO_UNDO = say("Nothing to undo")
CHOOSE_ZONES = say(
    "zones of the case; tap to choose one or several, a tooth's number for all of it; arrow keys walk, space chooses"
)
GROUPS = {
    "tooth": say("all teeth"),
    "gingiva": say("all gum"),
    "front": say("front teeth"),
    "canine": say("canines"),
    "back": say("back teeth"),
    "cervical": say("all necks"),
    "middle": say("middle"),
    "edge": say("incisal, occlusal"),
    "none": say_as("which zones are chosen", "none"),
}
CHOSEN = Numbered("Chosen: {n} zone. {names}", "Chosen: {n} zones. {names}")
NONE_CHOSEN = say("Choose zones on the arch, one or several.")
AIM_LABEL = say("Their target")
AIMS = {
    "tab": say("a tab of the guide"),
    "lab": say("L* a* b*"),
    "reading": say("a reading"),
    "photo": say("the patient's photo, each zone its own"),
    "trial": say("a trial piece, each zone its own"),
    "none": say("no target yet"),
}
TAB, LAB_AIM, READING_AIM, TRIAL_AIM = say("Tab"), say("L* a* b*"), say("Name of the reading"), say("Trial piece of")
NO_TABS = say(
    "The book holds no tab yet: choose L* a* b* above, or bring the lab's own guide and its readings by the command "
    "`stainbook guide`."
)
READING_HELP = say("As the book has it, such as W-1042-patient-11-middle.")
LIGHTER, STRONGER = say("Lighter (+) or darker (−), L*"), say("Stronger (+) or weaker (−), C*")
SHIFT_HELP = say("Empty: as it is. A decimal comma will do.")
SET_TARGETS = Numbered("Set the target of {n} zone", "Set the target of {n} zones")
TARGET_HEADS = (say("zone"), say("target"))
NO_TARGET = say("none yet")
EFFECT_LABEL, EFFECT_HELP = say("Effect"), say("One of the list, or your own word. Drawn by eye: listed, never scored.")
EFFECT_PLACE, EFFECT_MIX, EFFECT_NOTE = say("Where"), say("Mix"), say("Note")
EFFECT_MIX_HELP = say("Such as 1 part flour + 3 parts clear.")
ADD_EFFECT = say("Add to {teeth}")
TEETH_OF_EFFECT = say("Teeth of the zones that are chosen.")
TAKE_OFF = say("Remove: {effect}")
NO_EFFECTS = say("No effect is listed yet.")
ADD_TEETH, ADD_ZONES, ADD = say("Teeth"), say("Zones of each"), say("Add zones")
WRONG_TOOTH = say(
    "**A wrong tooth?** Give it its right number: targets, readings, what was painted and fired go with it. Print the "
    "sheet and the report anew."
)
WRONG, RIGHT = say("Wrong number"), say("Right number")
RENAME = say("Call tooth {wrong} by its right number")
EXCHANGE_TEETH = say("Exchange teeth {wrong} and {right}")
TAKE_OUT = Numbered("Remove {n} zone from the case", "Remove {n} zones from the case")
BLANK = say("Blank")
NO_BLANK = say("not named")
LIMIT_LABELS = {
    "firings_left": say("Firings that remain"),
    "layers": say("Layers in a firing"),
    "coats": say("Coats in a layer"),
}
MIXES, MIXES_ANY = say("Mixes at most"), say("as many as it takes")
STRENGTHS, STRENGTHS_HELP = say("Shares that are mixed"), say("Such as 1/16, 1/8, 1/4, 1/2, 1.")
ONLY_STAINS = say("Only these stains")
KEEP_SETTINGS = say("Save")
CANNOT_CHANGE = say("Not changed: {reason}")

# ---------------------------------------------------------------- facts corrected

CORRECT_RESULT, CORRECT_READING = say("Correct what was recorded"), say("Correct a reading")
CORRECT_WHAT, CORRECT_WHICH = say("What was wrong"), say("Which")
CORRECT = {"zone": say("a zone: painted, or read after"), "firing": say("the firing: who, programme, furnace, minutes")}
HOLDS_NOW = say("Holds now: {said}. It stays stored, and the correction names it.")
NOTHING_TOLD = say("nothing was recorded")
CORRECT_PAINTED = say("What was really painted, one layer a line")
CORRECT_LAB, CORRECT_LAB_HELP = say("L* a* b* as they really are"), say("Empty: the reading was right.")
CORRECT_READING_HELP = say("Empty: it is undone, and the reading before it holds.")
WHY = say("Why it was wrong")
CORRECT_IT, TAKE_BACK = say("Correct it"), say("Undo it")
TAKE_BACK_FIRING = say("Undo the whole firing")
CHECKED_BY = say("Checked before the furnace by")
CHECKED_HELP = say("An apprentice painted it: it is recorded with who looked at it. Nobody is an answer too.")
MISSING_FINISH = say("{reason}. Was it glazed?")
GLAZED_ALL = say("Yes: note the glaze firing now")
AS_IS = say("Deliver it without: why")
UNDO_STEP = say("Undo: {step}")
RUN = say("Name of the run")
RUN_HELP = say("Pieces that were in the furnace together share it, such as run 12. It may stay empty.")
STEP_DONE = {
    "milled": say("Milled"),
    "coloured": say("Coloured with liquids"),
    "dried": say("Dried fully for sintering"),
    "sintered": say("Sintered by the maker's sheet"),
    "ground": say("Ground"),
    "polished": say("Polished"),
    "blasted": say("Blasted"),
    "cleaned": say("Cleaned, disinfected, composite off"),
    "stripped": say("Stripped"),
    "try-in": say("Sent to try-in"),
    "back": say("Back from try-in"),
    "bonded": say("Bonded"),
}
STEPS_LABEL = say("What was done")
LIQUIDS_LABEL = say("Liquids, such as 2 coats of (1 part bracken)")
NOT_DONE = say("Not noted: {reason}")
WAY_LABEL = say("The way of this piece")
AHEAD = say("{step}, to come")
OTHER_STEP = say("Another step")
UNDO_LAST = say("Undo: {step}")

# ---------------------------------------------------------------- readings given to zones by hand

BY_HAND = say("Give the rows to zones by hand")
LEFT_OUT = say("not used")
HAND_COLUMNS = (say("in the file"), say("L*"), say("a*"), say("b*"), say("zone"))

ours(__name__)
