"""The words of the stains page that other pages do not share."""

from __future__ import annotations

from stainbook.language import Numbered, say, say_as
from stainbook.pages.shell.plain import ours

FAMILIES = {
    "white": say_as("colour family", "white"),
    "yellow": say_as("colour family", "yellow"),
    "orange": say_as("colour family", "orange"),
    "brown": say_as("colour family", "brown"),
    "olive": say_as("colour family", "olive"),
    "grey": say_as("colour family", "grey"),
    "blue": say_as("colour family", "blue"),
    "violet": say_as("colour family", "violet"),
    "pink": say_as("colour family", "pink"),
    "red": say_as("colour family", "red"),
}
KINDS = {"surface": say("surface stain"), "infiltrating": say("liquid")}
FORMS = {"paste": say("paste"), "powder": say("powder"), "liquid": say("liquid that soaks in")}
NOT_SAID = say("not said")
JARS = say("Its jars, and the technicians of the lab")
JARS_NOTE = say("1.0 is the jar, or the technician, that the stripes were made with.")
JARS_PLOT, JARS_AXIS = say("How strong, with what is likely"), say("times as strong")
NO_JARS = say("Nothing was learnt of its jars yet: record firings that name their lots.")
PLATE = say("Plates of {stain} to print")
MORE = say("Bring stripes")
MORE_NOTE = say(
    "Fired stripes come as files: chips.csv with what was painted, their readings, and where "
    "there are any the lists of stains and blanks. Each is known by its content."
)
DROP = say("Drop chips.csv, its readings, and stains.yaml or bodies.csv")
LEARN = Numbered("Learn from {n} file", "Learn from {n} files")
LEARNING = say("Fitting the stains to their stripes, each forecast once from the others …")
LEARNT = say("Learnt: {stains} stains, their stripes described to ΔE00 {dE00} (median). {warnings}")
NOT_LEARNT = say("Nothing was imported: {reason}")
CONTROL = say("The weekly control plate")
CONTROL_NOTE = say(
    "One plate read each week with its date tells whether the instrument reads as it did: the "
    "lines are the centre and three standard deviations of its first readings, ringed readings "
    "signal."
)
NO_CONTROL = say("No plate was read three times with its date yet.")
CHIP = say("Control plate")
IN_CONTROL = say("In control: the instrument reads as it did.")
OUT_OF_CONTROL = say("Out of control: {signals}. Clean and recalibrate the instrument, read the plate again.")
CHART_X = say("reading")
TIPS = {
    "share": say("share, %"),
    "factor": say("factor"),
    "low": say("likely from"),
    "high": say("likely to"),
    "units": say("units"),
    "zones": say("zones"),
    "outcomes": say("outcomes"),
    "day": say("day"),
    "signals": say("signals"),
}

ours(__name__)
