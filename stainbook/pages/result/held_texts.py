"""The words of outcomes that are held back."""

from __future__ import annotations

from stainbook.language import say
from stainbook.pages.shell.plain import ours

TITLE = say("Held back: nothing is learnt from these yet")
WHAT_TO_DO = say(
    "Read the zone again first. Then say which it was; a firing that was recorded wrongly is corrected below."
)
SO, SO_HELP = say("It was really so"), say("The right sample, painted as recorded: it is learnt from in full.")
WRONG, WRONG_HELP = say("Wrong sample or mix"), say("It stays stored and is never learnt from.")
WHY = say("Why (stored with the decision)")
DONE = {"true": say("Learnt from: {name}."), "wrong": say("Set aside, never learnt from: {name}.")}

ours(__name__)
