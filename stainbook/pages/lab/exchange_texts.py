"""The words of the exchange page."""

from __future__ import annotations

from stainbook.language import Numbered, say
from stainbook.pages.shell.plain import ours

GIVE, TAKE, LEAVE = say("Export"), say("Import"), say("A case that goes to another lab")
GIVE_NOTE = say(
    "The bundle has recipes, stains, cases, guides and all else as they are now; another lab imports it. "
    "The workbook has the same to look at. The whole book also has its history: who stored what and when, "
    "what was undone, the photos. It makes the same book again elsewhere and is for this lab alone."
)
BUNDLE, WORKBOOK = say("A bundle for another lab (.zip)"), say("A workbook (.xlsx)")
WHOLE = say("The whole book (.zip)")
DROP = say("Drop a bundle of another lab, or a case file")
DROP_HELP = say("Nothing is stored until you have seen what is in it and chosen.")
FOUND = say("In it: {new} new, {differs} that differ from yours, {same} that you have already.")
NOTHING_NEW = say("You have everything in it already.")
COLUMNS = {
    "kind": say("what"),
    "name": say("name"),
    "status": say("here"),
    "in_what": say("differs in"),
    "action": say("do (tap to choose)"),
    "new_name": say("under the name"),
}
STATUS = {
    "new": say("new"),
    "differs": say("yours differs"),
    "erased here": say("was erased here"),
    "erased there": say("was erased there"),
}
ACTIONS = {
    "take": say("import"),
    "rename": say("import under another name"),
    "skip": say("skip"),
    "erase": say("erase here too"),
}
KINDS = {
    "stain": say("stain"),
    "body": say("blank"),
    "chip": say("stripe"),
    "tab": say("guide tab"),
    "operator": say("technician"),
    "programme": say("programme"),
    "instrument": say("instrument"),
    "jar": say("jar or bottle"),
    "tray": say("tray"),
    "case": say("case"),
    "firing": say("firing"),
    "outcome": say("what was done"),
    "recipe": say("recipe"),
    "reading": say("reading"),
    "fit": say("fit of the stains"),
    "import": say("import"),
    "settings": say("settings"),
    "decision": say("decision"),
    "photo": say("photo"),
    "painted": say("painting"),
    "choice": say("choice"),
    "step": say("step"),
    "correction": say("correction"),
}
NO_RENAME = say("{kind} {name} can be imported or skipped; stains, recipes and cases can have another name.")
NO_ERASE = say(
    "{kind} {name}: a case that was erased there is erased here too or skipped; nothing else can be erased here."
)
TAKE_THEM = Numbered("Import {n} thing", "Import {n} things")
DONE = say("Imported: {taken}. Skipped: {left}.")
REFUSED = say("Nothing was imported: {reason}")
CASE = say("Case")
SAVE_CASE = say("Save all of {case} (.zip)")
ERASE = say("Erase {case} from the book")
ERASE_NOTE = say(
    "Code, photos and free text go; a nameless record of colours stays, and a mark that "
    "something was erased. This cannot be undone."
)
DUTY = say(
    "Labs must keep records of custom-made devices for years, by local rules. Save the case first if they hold for it."
)
SURE = say("The duty to keep records was looked at; {case} may go")
WHY = say("Why (stored with the mark)")
ERASED = say("Erased: {records} records of the case. {warnings}")
NO_CASE = say("The book holds no case.")

ours(__name__)
