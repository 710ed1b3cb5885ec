"""The words of the stains page that other pages do not share."""

from __future__ import annotations

from stainbook.pages.shell.plain import ours

JARS = "Its jars, and the hands of the lab"
JARS_NOTE = "1.0 is the jar, or the hand, that the stripes were made with."
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
LEARNING = "Fitting the stains to their stripes, each left out once …"
LEARNT = "Learnt: {stains} stains, their stripes met within {dE00} ΔE00 (median). {warnings}"
NOT_LEARNT = "Nothing was taken in: {reason}"
CONTROL = "The weekly chip"
CONTROL_NOTE = (
    "One chip read each week with its date tells whether the instrument is still what it was: the lines are the centre "
    "and three standard deviations of its first readings, ringed readings signal."
)
NO_CONTROL = "No chip was read three times with its date yet."
CHIP = "Chip"
IN_CONTROL = "In control: the instrument reads as it did."
OUT_OF_CONTROL = "Out of control: {signals}. Clean and recalibrate the instrument, read the chip again."
CHART_X, UPPER, LOWER = "reading", "upper limit", "lower limit"

ours(globals())
