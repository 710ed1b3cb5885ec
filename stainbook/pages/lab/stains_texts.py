"""The words of the stains page that other pages do not share."""

from __future__ import annotations

from stainbook.pages.shell.plain import ours

JARS = "Its jars, and the technicians of the lab"
JARS_NOTE = "1.0 is the jar, or the technician, that the stripes were made with."
JARS_PLOT, JARS_AXIS = "How strong, with what is likely", "times as strong"
NO_JARS = "Nothing was learnt of its jars yet: record firings that name their lots."
PLATE = "Plates of {stain} to print"
MORE = "Bring stripes"
MORE_NOTE = (
    "Fired stripes come as files: chips.csv with what was painted, their readings, and where there are any the lists "
    "of stains and blanks. Each is known by its content."
)
DROP = "Drop chips.csv, its readings, and stains.yaml or bodies.csv"
LEARN = "Learn from {n} files"
LEARNING = "Fitting the stains to their stripes, each forecast once from the others …"
LEARNT = "Learnt: {stains} stains, their stripes described to ΔE00 {dE00} (median). {warnings}"
NOT_LEARNT = "Nothing was imported: {reason}"
CONTROL = "The weekly control plate"
CONTROL_NOTE = (
    "One plate read each week with its date tells whether the instrument reads as it did: the lines are the centre "
    "and three standard deviations of its first readings, ringed readings signal."
)
NO_CONTROL = "No plate was read three times with its date yet."
CHIP = "Control plate"
IN_CONTROL = "In control: the instrument reads as it did."
OUT_OF_CONTROL = "Out of control: {signals}. Clean and recalibrate the instrument, read the plate again."
CHART_X, UPPER, LOWER = "reading", "upper limit", "lower limit"

ours(globals())
