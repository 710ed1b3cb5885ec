"""The words of the exchange page."""

from __future__ import annotations

from stainbook.pages.shell.plain import ours

GIVE, TAKE, LEAVE = "Hand on", "Import", "A case that goes to another lab"
GIVE_NOTE = (
    "Recipes, stains, cases, guides and all else that holds now. Another lab imports the bundle; the workbook is to "
    "look at. The whole book also has its history: who stored what and when, what was undone, the photos. "
    "It makes the same book again elsewhere and is for this lab alone."
)
BUNDLE, WORKBOOK = "A bundle for another lab (.zip)", "A workbook (.xlsx)"
WHOLE = "The whole book (.zip)"
DROP = "Drop a bundle of another lab, or a case file"
DROP_HELP = "Nothing is stored until you have seen what is in it and chosen."
FOUND = "In it: {new} new, {differs} that differ from yours, {same} that you have already."
NOTHING_NEW = "You have everything in it already."
COLUMNS = {"kind": "what", "name": "name", "status": "here", "action": "do", "new_name": "under the name"}
STATUS = {
    "new": "new", "differs": "yours differs", "erased here": "was erased here", "erased there": "was erased there",
}  # fmt: skip
ACTIONS = {"take": "import", "rename": "import under another name", "skip": "skip", "erase": "erase here too"}
KINDS = {
    "stain": "stain", "body": "blank", "chip": "stripe", "tab": "guide tab", "operator": "technician",
    "programme": "programme", "instrument": "instrument", "case": "case", "firing": "firing",
    "outcome": "what was done", "recipe": "recipe", "reading": "reading",
}  # fmt: skip
NO_RENAME = "{kind} {name} can be imported or skipped; stains, recipes and cases can have another name."
NO_ERASE = "{kind} {name}: a case that was erased there is erased here too or skipped; nothing else can be erased here."
TAKE_THEM = "Import {n} things"
LOOKING = "Checking {name}, each record and what was learnt from them …"
TAKING = "Importing {name} …"
DONE = "Imported: {taken}. Skipped: {left}."
REFUSED = "Nothing was imported: {reason}"
CASE = "Case"
SAVE_CASE = "Save all of {case} (.zip)"
ERASE = "Erase {case} from the book"
ERASE_NOTE = (
    "Code, photos and free text go; a nameless record of colours stays, and a mark that something was erased. "
    "This cannot be undone."
)
DUTY = (
    "Labs must keep records of custom-made devices for years, by local rules. Save the case first if they hold for it."
)
SURE = "The duty to keep records was looked at; {case} may go"
WHY = "Why (stored with the mark)"
ERASED = "Erased: {records} records of the case. {warnings}"
NO_CASE = "The book holds no case."

ours(globals())
