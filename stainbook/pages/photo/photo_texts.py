"""The words of the photo page."""

from __future__ import annotations

from stainbook.pages.shell.plain import ours

TITLE = "Photo"
CANNOT = "This photo cannot be measured: {reason}"
PICTURE = "Picture"
PICTURE_HELP = "A phone opens its camera. JPEG, PNG, TIFF, DNG or camera raw, as the camera wrote it"
TABLE = "Table of the chart"
TABLE_HELP = "any file of readings: its patches row by row from the top left, spectra or L*, a*, b*"
OWN_CHART = "The lab's own chart, {n} patches"
KEEP_CHART = "Save this chart for the lab"
KEEP_CHART_HELP = "its patches become readings chart-1, chart-2 …, so that the next picture needs no table"
MORE = "Rows of the chart, encoding"
SECOND = "Gum more surely: a second shot through a filter"
SECOND_WHY = (
    "Take the same scene again through a cyan filter sheet, chart and gum in it as before. "
    "Three more channels tell what gum is made of; teeth stay with the first shot."
)
SECOND_DRAWINGS = {
    "sheet": "The sheet flat before the lens, or before the lamp; all light goes through it.",
    "twice": "First without, then with the sheet: the whole chart in both. By hand is fine.",
}
SECOND_PICTURE = "Second shot"
FILTER, FILTER_USUAL = "Filter", "cyan"
FLAT, FLAT_HELP = "Grey frame", "the same light on a plain grey card that fills the frame; makes all colours surer"
ROWS, COLUMNS, FILL = "Rows", "Columns", "Share of a cell that is patch"
SUBJECT = "What is in the picture"
SUBJECTS = {"piece": "a piece", "patient": "living teeth and gum"}
ENCODING = "Pixels"
ENCODINGS = {"auto": "as the file says", "linear": "linear", "srgb": "encoded for the screen"}
BRING = "Bring a picture with the colour chart in it and the chart's table. Nothing of it leaves this machine."
LOOKING = "Reading the picture and looking for the chart"
TARGET = "colour chart"
NOT_FOUND = (
    "Colour chart not found. Tap its corners as its table is ordered: top left, top right, bottom right, bottom left."
)
CORNERS_AGAIN = "New corners of the chart"
TOOTH, ZONE = "Tooth", "Zone to draw"
MODE = "On the picture"
MODES = {"draw": "draw", "tap": "tap", "move": "move", "remove": "remove"}
NEXT = {
    "draw": "Tap round the zone and tap the first point again, or drag a rectangle.",
    "tap": "Tap the middle of a tooth or of the gum: the outline grows over what has its colour.",
    "move": "Drag an outline, or one corner of it.",
    "remove": "Tap the outline that is to go.",
}
DRAW_LABEL = {
    "draw": "picture; tap to set points, tap the first again to close, drag for a rectangle",
    "tap": "picture; tap where an outline is to grow",
    "move": "picture; drag outlines and their corners",
    "remove": "picture; tap an outline to remove it",
}
TEETH, TEETH_HELP = "Teeth in the picture", "from left to right as in the mouth, numbers in ISO 3950; of one jaw"
SUGGEST, SUGGESTING = "Suggest outlines", "Looking for teeth and gum"
NONE_SUGGESTED = "Nothing here is sure enough to be suggested; draw or tap the outlines."
TAKE, DROP = "Use the {n} suggested", "Drop them"
FIRED = (
    "**{case} was fired on {day}.** Bring the picture from before: what changed is told more surely than any colour."
)
COMPARE = "Compare with a picture from before"
THEN_PICTURE, THEN_SCENE, THEN_FLAT = "Picture from before", "Its drawing, scene.yaml", "Its grey frame"
THEN_HELP = {
    "image": "with the same chart, the same camera and light",
    "scene": "as it was saved when that picture was measured",
    "flat": "only where its drawing names one",
}
THEN_IS, THEN_FORGET = "Compared with {name}, {n} zones", "Compare with another"
AS_BEFORE = "Compare later pictures with this one"
AS_BEFORE_HELP = "then fire, put the piece back beside the chart, and drop the new picture"
NO_SHARED = "No zone was drawn in both pictures, so no change can be told: {names} were drawn then."
SAME_ZONES = "Outline the zones of the picture from before: {names}"
CHANGE, COLOURS = "What changed", "Colours"
CHANGE_DOUBT = (
    "After minus before. ± holds the true change in 95 of 100 cases: what both pictures get wrong alike cancels."
)
SURE = {True: "changed", False: "cannot tell"}
MAP = {
    True: "ΔE00 since the picture before: white not visible, darker more; lines: within the doubt, crossed: not known",
    False: "ΔE00 to the targets: white not visible, darker more; lines: within the doubt, crossed: not known",
}
SIDE = "Before and now, both as their colours were measured"
SUMMARY = {
    "refused": "Not to be used: the chart was not met as it must be.",
    "glare": "Nothing was measured: all zones lie under glare. Turn lamps or polarisers and take it again.",
    "changed": "{bad} of {zones} zones changed for certain; a change of the others is less than the doubt.",
    "graded": "Of {zones} zones {good} are in tolerance, {bad} are out of it; of {unsure} a photo cannot tell.",
    "colours": "{zones} zones measured: the true colour lies within {low:.1f} to {high:.1f} ΔE00 in 95 of 100 cases.",
}
CHECK_GOOD, CHECK_BAD = "This shot: all well", "This shot: {n} to mend"
CHECKS = {
    "target": {"unknown": "Exposure and focus are shown once the chart is known."},
    "exposure": {
        "good": "Exposure: the lightest patch is at {share:.0%} of the range.",
        "dark": "Exposure: the lightest patch is at {share:.0%} of the range; expose more, to about three quarters.",
        "bright": "Exposure: the lightest patch is at {share:.0%} of the range; expose less, to about three quarters.",
    },
    "focus": {
        "good": "Focus: edges of patches are sharp.",
        "soft": "Focus: edges of patches spread over {share:.0%} of them; focus on the chart's plane, hold still.",
    },
    "glare": {
        "good": "Glare: {share:.1%} of the picture is at full white.",
        "shines": "Glare: {share:.1%} of the picture is at full white, {n} patches glint; turn polarisers or lamps.",
    },
    "light": {
        "good": "Light: {share:.0%} more at its brightest than at its darkest.",
        "uneven": "Light: {share:.0%} more at its brightest than at its darkest; move the lamps away and alike.",
    },
    "frame": {"unknown": "Light: a grey frame tells how even it is, and takes out what is not."},
}
HISTOGRAM = "how many pixels are how bright, dark on the left"
CASE, NO_CASE = "Case", "no case"
TARGET_OF = "Target of {place}: L* {L}, a* {a}, b* {b}"
STORE = "Store {n} zones as readings of {case}"
STORED = "Stored: {names}"
MEASURE = "Measure the colours"
MEASURING = "Measuring"
KEEP_SCENE = "Save the drawing"
HOW = "How it was measured"
DOUBT = "A photo is seldom sure enough to pass a zone by itself: ± holds the true colour in 95 of 100 cases."
SHOT = "How to set up the shot"
DRAWINGS = {
    "lights": "From above: a lamp at about 45° on either side, the lens straight before the piece.",
    "polarisers": "A polariser before each lamp, another before the lens, turned until the highlights are gone.",
    "plane": "From the side: the chart in the plane of the tooth's face, not behind it.",
    "distance": "Lamps and lens half a metre away or more: 1 cm nearer to a lamp is then 4 % more light.",
}
SHOT_STEPS = (
    "Chart, tab and piece in one plane, as near to each other as can be, filling the frame.",
    "Two lights from the sides at about 45°, far enough that both ends get the same; room light off.",
    "Crossed polarisers on lights and lens take highlights away: the largest single gain.",
    "Raw, lowest sensitivity, manual exposure; the white patch at about three quarters of the range, nothing clipped.",
    "A second shot of a plain grey card that fills the frame, nothing else changed: the grey frame.",
    "Living teeth wet: they pale within minutes when they dry.",
)

ours(globals())
