"""The words of the photo page."""

from __future__ import annotations

from stainbook.language import Numbered, say
from stainbook.pages.shell.plain import ours

TITLE = say("Photo")
CANNOT = say("This photo cannot be measured: {reason}")
PICTURE = say("Picture")
PICTURE_HELP = say("JPEG, PNG, TIFF, DNG or camera raw, as the camera wrote it; a phone takes it with its camera")
TABLE = say("Table of the chart")
TABLE_HELP = say("any file of readings: its patches row by row from the top left, spectra or L*, a*, b*")
OWN_CHART = Numbered("The lab's own chart, {n} patch", "The lab's own chart, {n} patches")
KEEP_CHART = say("Save this chart")
KEEP_CHART_HELP = say("its patches become readings chart-1, chart-2 …, so that the next picture needs no table")
TAB = say("A shade tab of known colour")
TAB_WHY = say(
    "Lay a tab that your instrument has read beside the piece, facing as the piece does, and outline it as zone "
    "**tab**. It takes out that the piece gets more or less light than the chart, which the chart cannot tell."
)
TAB_NAME, TAB_LIGHT = say("tab"), say("Light and observer of its numbers")
MORE = say("Rows of the chart, encoding")
SECOND = say("Gum more surely: a second shot through a filter")
SECOND_WHY = say(
    "Take the same scene again through a cyan filter sheet, chart and gum in it as before. Three "
    "more channels tell what gum is made of; teeth stay with the first shot."
)
SECOND_DRAWINGS = {
    "sheet": say("The sheet flat before the lens, or before the lamp; all light goes through it."),
    "twice": say("First without, then with the sheet: the whole chart in both. By hand is fine."),
}
SECOND_PICTURE = say("Second shot")
FILTER, FILTER_USUAL = say("Filter"), say("cyan")
FLAT, FLAT_HELP = (
    say("Grey frame"),
    say("the same light on a plain grey card that fills the frame; makes all colours surer"),
)
ROWS, COLUMNS, FILL = say("Rows"), say("Columns"), say("Share of a cell that is patch")
SUBJECT = say("What is in the picture")
SUBJECTS = {"piece": say("a piece"), "patient": say("living teeth and gum")}
ENCODING = say("Pixels")
ENCODINGS = {"auto": say("as the file says"), "linear": say("linear"), "srgb": say("encoded for the screen")}
BRING = say("Bring a picture with the colour chart in it and the chart's table. Nothing of it leaves this machine.")
TARGET = say("colour chart")
NOT_FOUND = say(
    "Colour chart not found. Is the whole chart in the picture, and the picture not mirrored? Else tap its corners as "
    "its table is ordered: top left, top right, bottom right, bottom left."
)
NOT_FOUND_TWICE = say(
    "Colour chart not found in the second shot. Tap its corners in the same order: top left, top right, bottom right, "
    "bottom left."
)
CORNERS_AGAIN = say("New corners of the chart")
TOOTH, ZONE = say("Tooth"), say("Zone to draw")
MODE = say("On the picture")
MODES = {"draw": say("draw"), "tap": say("tap"), "move": say("move"), "remove": say("remove")}
NEXT = {
    "draw": say("Tap round the zone and tap the first point again, or drag a rectangle."),
    "tap": say("Tap the middle of a tooth or of the gum: the outline grows over what has its colour."),
    "move": say("Drag an outline, or one corner of it."),
    "remove": say("Tap the outline that is to go."),
}
DRAW_LABEL = {
    "draw": say("picture; tap to set points, tap the first again to close, drag for a rectangle"),
    "tap": say("picture; tap where an outline is to grow"),
    "move": say("picture; drag outlines and their corners"),
    "remove": say("picture; tap an outline to remove it"),
}
TEETH, TEETH_HELP = (
    say("Teeth in the picture"),
    say("from left to right as in the mouth, numbers in ISO 3950; of one jaw"),
)
SUGGEST = say("Suggest outlines")
NONE_SUGGESTED = say("Nothing here is sure enough to be suggested; draw or tap the outlines.")
TAKE, DROP = Numbered("Use the {n} suggested", "Use the {n} suggested"), say("Drop them")
FIRED = say(
    "**{case} was fired on {day}.** Bring the picture from before: what changed is told more surely than any colour."
)
COMPARE = say("Compare with a picture from before")
THEN = {
    "image": say("Picture from before"),
    "scene": say("Its drawing, scene.yaml"),
    "flat": say("Its grey frame"),
}
THEN_HELP = {
    "image": say("with the same chart, the same camera and light"),
    "scene": say("as it was saved when that picture was measured"),
    "flat": say("only where its drawing names one"),
}
THEN_IS, THEN_FORGET = (
    Numbered("Compared with {name}, {n} zone", "Compared with {name}, {n} zones"),
    say("Compare with another"),
)
AS_BEFORE = say("Compare later pictures with this one")
AS_BEFORE_HELP = say("then fire, put the piece back beside the chart, and drop the new picture")
NO_SHARED = say("No zone was drawn in both pictures, so no change can be told: {names} were drawn then.")
SAME_ZONES = say("Outline the zones of the picture from before: {names}")
HEADS = {  # of the tables of what came out
    "tooth": say("tooth"),
    "zone": say("zone"),
    "change": say("change ΔE00"),
    "change doubt": say("± change"),
    "value": say("value"),
    "chroma": say("chroma"),
    "hue": say("hue"),
    "seen": say("seen"),
    "target": say("to target"),
    "target doubt": say("± target"),
    "tolerance": say("tolerance"),
    "masked": say("masked"),
    "use": say("use"),
}
USABLE = {True: say("yes"), False: say("no: glare")}
CHANGE, COLOURS = say("What changed"), say("Colours")
CHANGE_DOUBT = say(
    "After minus before. ± holds the true change in 95 of 100 cases: what both pictures get wrong alike cancels."
)
SURE = {True: say("changed"), False: say("cannot tell")}
MAP = {
    True: say(
        "ΔE00 since the picture before: white not visible, darker more; lines: within the doubt, crossed: not known"
    ),
    False: say("ΔE00 to the targets: white not visible, darker more; lines: within the doubt, crossed: not known"),
}
SIDE = say("Before and now, both as their colours were measured")
SUMMARY: dict[str, str | Numbered] = {
    "refused": say("Not to be used: the chart was not met as it must be."),
    "glare": say("Nothing was measured: all zones lie under glare. Turn lamps or polarisers and take it again."),
    "changed": Numbered(
        "{n} zone: {bad} changed for certain, {unsure} by less than the doubt.",
        "{n} zones: {bad} changed for certain, {unsure} by less than the doubt.",
    ),
    "graded": Numbered(
        "{n} zone: {good} in tolerance, {bad} out of it, {unsure} that a photo cannot tell.",
        "{n} zones: {good} in tolerance, {bad} out of it, {unsure} that a photo cannot tell.",
    ),
    "colours": Numbered(
        "{n} zone measured: the true colour lies within {high:.1f} ΔE00 in 95 of 100 cases.",
        "{n} zones measured: the true colours lie within {high:.1f} ΔE00 or less in 95 of 100 cases.",
    ),
}
CHECK_GOOD, CHECK_BAD = say("This shot: all well"), Numbered("This shot: {n} to mend", "This shot: {n} to mend")
CHECKS: dict[str, dict[str, str | Numbered]] = {
    "target": {"unknown": say("Exposure and focus are shown once the chart is known.")},
    "exposure": {
        "good": say("Exposure: the lightest patch is at {share:.0%} of the range."),
        "dark": say(
            "Exposure: the lightest patch is at {share:.0%} of the range; expose more, to about three quarters."
        ),
        "bright": say(
            "Exposure: the lightest patch is at {share:.0%} of the range; expose less, to about three quarters."
        ),
    },
    "focus": {
        "good": say("Focus: edges of patches are sharp."),
        "soft": say("Focus: edges of patches spread over {share:.0%} of them; focus on the chart's plane, hold still."),
    },
    "glare": {
        "good": say("Glare: {share:.1%} of the picture is at full white."),
        "shines": Numbered(
            "Glare: {share:.1%} of the picture is at full white, {n} patch glints; turn polarisers or lamps.",
            "Glare: {share:.1%} of the picture is at full white, {n} patches glint; turn polarisers or lamps.",
        ),
    },
    "light": {
        "good": say("Light: {share:.0%} more at its brightest than at its darkest."),
        "uneven": say("Light: {share:.0%} more at its brightest than at its darkest; move the lamps away and alike."),
    },
    "frame": {"unknown": say("Light: a grey frame tells how even it is, and takes out what is not.")},
}
HISTOGRAM = say("how many pixels are how bright, dark on the left")
NO_CASE = say("A photo on its own, of no case")
TARGET_OF = say("Target of {place}: L* {L}, a* {a}, b* {b}")
STORE = Numbered("Store {n} zone as readings of {case}", "Store {n} zones as readings of {case}")
STORED = say("Stored: {names}")
MEASURE = say("Measure the colours")
KEEP_SCENE = say("Save the drawing")
HOW = say("How it was measured")
DOUBT = say("A photo is seldom sure enough to pass a zone by itself: ± holds the true colour in 95 of 100 cases.")
NO_TAB = say(
    "Nothing in the picture tells whether the piece gets as much light as the chart; a shade tab of known colour "
    "beside it does."
)
SHOT = say("How to set up the shot")
DRAWINGS = {
    "lights": say("From above: a lamp at about 45° on either side, the lens straight before the piece."),
    "polarisers": say("A polariser before each lamp, another before the lens, turned until the highlights are gone."),
    "plane": say("From the side: the chart in the plane of the tooth's face, not behind it."),
    "distance": say("Lamps and lens half a metre away or more: 1 cm nearer to a lamp is then 4 % more light."),
}
SHOT_STEPS = (
    say("Chart, tab and piece in one plane, as near to each other as can be, filling the frame."),
    say("Two lights from the sides at about 45°, far enough that both ends get the same; room light off."),
    say("Crossed polarisers on lights and lens take highlights away: the largest single gain."),
    say(
        "Raw, lowest sensitivity, manual exposure; the white patch at about three quarters of the "
        "range, nothing clipped."
    ),
    say("A second shot of a plain grey card that fills the frame, nothing else changed: the grey frame."),
    say("Living teeth wet: they pale within minutes when they dry."),
)

ours(__name__)
