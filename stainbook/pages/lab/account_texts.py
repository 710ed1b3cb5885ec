"""The words of the settings page's part on accounts."""

from __future__ import annotations

from stainbook.language import say
from stainbook.pages.shell.plain import ours

ACCOUNTS = say("Who may sign in")
HEADS = (say("account"), say("role"), say("signs in with"))
BY_PASSWORD = say("a password")
ACCOUNT, ROLE = say("Account"), say("Role")
NEW_PASSWORD, SET_PASSWORD = say("Another password"), say("Set the password")
SET_ROLE, REMOVE = say("Set the role"), say("Remove the account")
OWN = say("Your password")
OLD_PASSWORD, OWN_PASSWORD = say("The password until now"), say("The new password")
SET_OWN = say("Change my password")
OWN_ENDS = say("All your sessions end, this one too: sign in again with the new one.")
CANNOT_OWN = say("Your password is as it was: {reason}")
NEW_NAME = say("New account")
NEW_NAME_HELP = say("The name by which their work is stored: the one that stands under People.")
PASSWORD, PASSWORD_HELP = say("Password"), say("At least 12 characters: four words that nobody guesses.")
ADD = say("Let them sign in")
CANNOT = say("The accounts are as they were: {reason}")
DONE = say("Done. It holds at once.")
LOG = say("What was done at the server")
LOG_HEADS = (say("when"), say("what"), say("account"), say("about"), say("address"))

ours(__name__)
