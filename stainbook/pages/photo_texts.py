"""The words of the photo page."""

from __future__ import annotations

TITLE = "Photo"
CANNOT = "This photo cannot be measured: {reason}"
PICTURE, PICTURE_HELP = "Picture", "JPEG, PNG, TIFF, DNG or camera raw, as the camera wrote it"
TABLE, TABLE_HELP = "Table of the target", "its patches row by row from the top left, spectra or L*, a*, b*"
FLAT, FLAT_HELP = "Grey frame", "the same light on a plain grey card that fills the frame; makes all colours surer"
ROWS, COLUMNS, FILL = "Rows", "Columns", "Share of a cell that is patch"
SUBJECT = "What is in the picture"
SUBJECTS = {"piece": "a piece", "patient": "living teeth and gum"}
ENCODING = "Pixels"
ENCODINGS = {"auto": "as the file says", "linear": "linear", "srgb": "encoded for the screen"}
BRING = "Bring a picture with the target in it and the target's table. Nothing of it leaves this machine."
LOOKING = "Reading the picture and looking for the target"
TARGET = "target"
NOT_FOUND = "Target not found. Tap its corners as its table is ordered: top left, top right, bottom right, bottom left."
CORNERS_AGAIN = "Put the corners anew"
DRAW_LABEL = "picture; tap to set points, tap the first again to close, drag for a rectangle"
TOOTH, ZONE = "Tooth", "Zone to draw"
NEXT = "Tap round the zone and tap the first point again, or drag a rectangle."
TAKE_BACK = "Take the last zone back"
CASE, NO_CASE = "Case", "no case"
TARGET_OF = "Target of {place}: L* {L}, a* {a}, b* {b}"
STORE = "Store {n} zones as readings of {case}"
STORED = "Stored: {names}"
MEASURE = "Measure the colours"
MEASURING = "Measuring"
KEEP_SCENE = "Keep the drawing as scene.yaml"
HOW = "How it was measured"
DOUBT = "A photo is seldom sure enough to pass a zone by itself: ± holds the true colour in 95 of 100 cases."
CLIPPED = "{share:.1%} of the picture is at full white: expose a little less where that is not a highlight."
DARK = "The picture uses {share:.0%} of the range: expose more."
SHOT = "How to set up the shot"
DRAWINGS = {
    "lights": "From above: a lamp at about 45° on either side, the lens straight before the piece.",
    "polarisers": "A polariser before each lamp, another before the lens, turned until the highlights are gone.",
    "plane": "From the side: the target in the plane of the tooth's face, not behind it.",
    "distance": "Lamps and lens half a metre away or more: 1 cm nearer to a lamp is then 4 % more light.",
}
SHOT_STEPS = (
    "Target, tab and piece in one plane, as near to each other as can be, filling the frame.",
    "Two lights from the sides at about 45°, far enough that both ends get the same; room light off.",
    "Crossed polarisers on lights and lens take highlights away: the largest single gain.",
    "Raw, lowest sensitivity, manual exposure; the white patch at about three quarters of the range, nothing clipped.",
    "A second shot of a plain grey card that fills the frame, nothing else changed: the grey frame.",
    "Living teeth wet: they pale within minutes when they dry.",
)
