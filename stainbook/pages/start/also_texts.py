"""The words of what else waits."""

from __future__ import annotations

from stainbook.language import Numbered, say
from stainbook.pages.shell.plain import ours

TITLE = say("Also waits")
SAID: dict[str, str | Numbered] = {
    "chip-out": say("{name} is out of control since {at}: read it again, or have the instrument seen to."),
    "chip-due": say("{name} was read last on {at}: read it this week."),
    "held": Numbered(
        "{name}: {n} result is held back until somebody decides.",
        "{name}: {n} results are held back until somebody decides.",
    ),
    "read-first": say("{name}: read the piece before anything is painted."),
    "jar-out": Numbered(
        "{name} ran out on {at} and {n} open case still means it.",
        "{name} ran out on {at} and {n} open cases still mean it.",
    ),
    "no-stripe": say("{name} has no stripe yet: its colour is a guess."),
    "try-in": say("{name} is out for a try-in since {at}."),
}
LEAD = {
    "chip-out": say("See its chart"),
    "chip-due": say("See its chart"),
    "held": say("Decide"),
    "read-first": say("Read it"),
    "jar-out": say("See the jar"),
    "no-stripe": say("Paint a stripe"),
    "try-in": say("Open it"),
}
MORE = Numbered("Show {n} more line", "Show {n} more lines")

ours(__name__)
