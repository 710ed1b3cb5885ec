"""The words of the help that each page carries at its foot: a drawing and a few sentences a topic."""

from __future__ import annotations

from stainbook.language import say
from stainbook.pages.shell.plain import ours

HOW = say("How to")
TOPICS = {
    "reading": (
        say("Reading with an instrument"),
        say(
            "Clean and dry the piece. Seat the tip flat on the zone, so that no light gets in from the "
            "side, and take it on the same backing each time. Read three times, lifting the instrument "
            "off in between; type or drop all of them: repeats are averaged and their scatter kept."
        ),
    ),
    "parts": (
        say("Shares in parts"),
        say(
            "“1 part husk + 7 parts clear” is a share of 1/8 by weight: of eight grams one is husk, "
            "seven are clear glaze. What is added to work it burns out and is no share. Small shares are "
            "mixed in two steps, or weighed."
        ),
    ),
    "coats": (
        say("Coats"),
        say(
            "One coat is one pass of the brush or spray, as thin as covers evenly. Two coats are twice "
            "the stain, never one thick one. Each hand lays on its own amount, and scatters: that is "
            "learnt from what you record."
        ),
    ),
    "drying": (
        say("Dry before the next"),
        say(
            "Layers of one firing are dried, not fired, in between: matt and cool to the touch before "
            "the next goes on, else the two drag into one another. Drying and furnace by the makers' "
            "sheets."
        ),
    ),
    "chance": (
        say("What the chance means"),
        say(
            "“About 8 in 10” is the chance that the zone ends in tolerance: of ten such zones eight do "
            "and two do not. The dot is the expected ΔE00, the bar where it lies in nine of ten cases. "
            "Doubt of hand, jar, reading and stain is in it; a wide bar is honest."
        ),
    ),
    "near": (
        say("How near"),
        say(
            "ΔE00 is the distance between two colours: below about 1 it is hardly seen, about 2 is still "
            "in tolerance on teeth. A search takes all within the radius, nearest first. Look farther "
            "where nothing is found."
        ),
    ),
    "interval": (
        say("Likely from … to"),
        say(
            "A share of few cases says little: 5 of 5 may be luck. The line is where the true share lies "
            "in 95 of 100 cases. Compare two lines before comparing two hands."
        ),
    ),
    "plate": (
        say("Stripes on a plate"),
        say(
            "Read the bare plate, paint one stripe of each mix and one of clear glaze, fire as your "
            "pieces are fired, and read each stripe in the order of the sheet. Three stripes a stain "
            "give chances worth having, seven are better."
        ),
    ),
    "bundle": (
        say("Handing on"),
        say(
            "A bundle is one file with readable lists in it and a seal on each. The other lab sees what "
            "is in it, and imports, renames or skips thing by thing. Cases hold a code, never a name."
        ),
    ),
    "thresholds": (
        say("Visible, in tolerance"),
        say(
            "Half of people see a difference above the first line, half no longer accept it above the "
            "second. The sets and their sources are listed; a lab may set its own."
        ),
    ),
    "way": (
        say("From prescription to proof"),
        say(
            "Make a case, set its targets, read it, choose a next step, print the sheet, fire, read "
            "again, record, deliver. The start page says what waits."
        ),
    ),
}
PAGES = {
    "start": ("way",),
    "new_case": ("way", "thresholds"),
    "tab_and_tooth": ("reading", "parts", "coats"),
    "targets": ("near", "thresholds"),
    "readings": ("reading",),
    "case": ("chance", "parts", "coats"),
    "plan": ("parts", "chance"),
    "sheet": ("parts", "coats", "drying"),
    "tray": ("drying",),
    "timeline": ("way",),
    "result": ("reading", "coats", "drying"),
    "deliver": ("thresholds", "chance"),
    "recipes": ("near", "interval", "parts"),
    "jars": ("plate",),
    "stains": ("plate", "coats", "interval"),
    "stripes": ("plate", "reading", "coats"),
    "discs": ("reading",),
    "photo": ("reading",),
    "exchange": ("bundle",),
    "numbers": ("interval",),
    "settings": ("thresholds", "parts"),
    "guide": ("way",),
}

ours(__name__)
