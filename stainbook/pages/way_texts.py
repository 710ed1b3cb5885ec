"""The words of the pages from the targets of a case to its delivery."""

from __future__ import annotations

# ---------------------------------------------------------------- the result of a firing

RESULT_LEAD = "What was painted stands as the chosen next steps have it, until you change it."
RESULT_HEADS = ("zone", "painted, bottom first", "read after the firing", "L*", "a*", "b*")
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
PAINTED_HELP = "2 × 1 part husk + 7 parts clear. Empty: nothing was painted here."
READ_HERE = "L* a* b* of {zone} after the firing"
READ_HELP = "Such as 71,6 1,4 16,8. Empty: not read by hand."
ALL_READ = "Readings of all zones"
TYPE_ALL = "Type or paste L* a* b* in the order of the sheet"
FILE_ALL = "or drop the instrument's file"
TAKE_SINCE = "Take what was read since: {n} zones in the book"
TAKE_SINCE_PHOTO = "Take what was read since: {n} zones in the book, {photo} of them by photo"
TO_PHOTO = "Read from a photo"
WHO, PROGRAMME, FURNACE, MINUTES = "Technician", "Programme", "Furnace", "Minutes, door to door"
PROGRAMME_HELP = "Its name, as the maker's sheet or the lab has it."
NOTE_PAINTED = "Painted: {n} zones go into the furnace"
LYING = "Painted {at} on {zones}: not fired as far as the book knows. Fire, read again, and record."
WIPED = "It was wiped off"
RECORD = "Record {n} zones"
NO_READING_AFTER = "Painted, and without a reading after the firing, so not recorded: {names}."
READ_NOT_PAINTED = "Read, and nothing painted, so not part of this firing: {names}."
NEW_STAIN = "{names}: enter as new stains of the lab"
UNKNOWN_STAIN = "The lab does not know {names} yet."
RECORDED = "Recorded: {n} zones of {case}."
LEARNT = "What was learnt"
NOTHING_LEARNT = "Nothing new could be told apart from the readings' doubt."
NOT_EXPECTED = "Nothing was expected: no stain was calibrated yet."
CANNOT_RECORD = "This cannot be recorded yet: {reason}"
AFTER_MET = "All zones of this firing are within what is accepted. Next: have it accepted, and deliver."
AFTER_OFF = "Next: {n} zones of this firing are not within what is accepted. Choose a next step for them."
TO_DELIVER, NEXT_STEP = "Accept and deliver", "Choose a next step"

# ---------------------------------------------------------------- accepted, delivered, come back

DELIVER_TITLE = "Deliver"
GRADES = {
    "within": ("●", "within what is accepted"),
    "cannot tell": ("◐", "cannot be told from the readings' doubt"),
    "beyond": ("○", "beyond what is accepted"),
    "": ("–", "without a reading or a target"),
}
STANDS_TITLE = "How it stands"
BARRED = "Not to be delivered yet: {reason}."
FREE = "Nothing stands in the way of delivery."
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
REPORT_NOTE = "A grade never stands without its doubt; the photo, where there is one, is for the eye."
REPORTS = {"pdf": "Report, PDF", "csv": "Table, CSV", "xlsx": "Tables, Excel"}
CANNOT_HAND = "Not done: {reason}"
