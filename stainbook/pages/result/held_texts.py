"""The words of outcomes that are held back."""

from __future__ import annotations

from stainbook.pages.shell.plain import ours

TITLE = "Held back: nothing is learnt from these yet"
WHAT_TO_DO = "Read the zone again first. Then say which it was; a firing that was recorded wrongly is corrected below."
SO, SO_HELP = "It was really so", "The right sample, painted as recorded: it is learnt from in full."
WRONG, WRONG_HELP = "Wrong sample or mix", "It stays stored and is never learnt from."
WHY = "Why (stored with the decision)"
DONE = {"true": "Learnt from: {name}.", "wrong": "Set aside, never learnt from: {name}."}

ours(globals())
