"""The words of a case's timeline, and of its label."""

from __future__ import annotations

from stainbook.language import say
from stainbook.pages.shell.plain import ours

LABEL = say("Label for the tray")
NO_HOST = say("Without a QR code: say where other devices reach the app, on the Settings page under Lab and book.")

TO_TIMELINE, BACK = say("Timeline"), say("Back to the case")
NEWEST = say("What happened, the newest first.")
NOTHING = say("Nothing was told of this case yet.")
NOTE, ADD_NOTE = say("Note"), say("Add the note")
NOTE_HELP = say("What no number says. No patient's name.")
UNDO_NOTE = say("Undo: note of {at}")
NOTED = say("Noted.")
NOT_NOTED = say("Not noted: {reason}")
BEFORE, AFTER, PHOTO = say("Before, {at}"), say("After, {at}"), say("Photo of {at}")
EXPECTED, GOT = say("expected"), say("read")

ours(__name__)
