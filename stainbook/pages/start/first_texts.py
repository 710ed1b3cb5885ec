"""The words of the first days: a tab and a tooth, and the practice lab."""

from __future__ import annotations

from stainbook.language import Numbered, say
from stainbook.pages.shell.plain import ours

FIRST_DAYS = say(
    "\n**Ten minutes, with nothing but an instrument that shows L\\*a\\*b\\*: no case, no file, no furnace.**\n\n"
    "1. Read a tab and a tooth in three places each; type the numbers.\n"
    "2. See how far the tooth is from the tab: value, chroma and hue, in words.\n"
    "3. Write what you will paint. Nothing is proposed, and nothing is judged.\n"
    "4. After the glaze read again: before and after stand side by side.\n\n"
    "A whole arch, with a target for each zone, is a case: make one where you have its prescription. "
    "Once stripes of your stains are read, next steps with their chances appear.\n\n"
    "What to bring: the instrument, the piece, and the tab.\n"
)
READ_PAIR = say("Read a tab and a tooth")
PAIR_LEAD = say(
    "Read three places of the tab, then the same three of the tooth. Type the three numbers that the display shows; "
    "Enter goes to the next field. The difference appears at once."
)
TOOTH, TOOTH_HELP = say("Tooth"), say("Its number (ISO 3950), such as 11.")
SURFACES = {"blasted": say("blasted"), "sintered": say("as sintered"), "glazed": say("glazed")}
SURFACE = say("The tooth is")
DISPLAY = say("What does the display show below its numbers? It is asked once; Settings can change it.")
NOT_SHOWN = say("Where it shows none, the manual says it.")
OWN_NAME = "hand"  # of the instrument that is set up so
TAB, TOOTH_ROWS = say("Tab"), say("Tooth")
GAP = say("The tooth against the tab")
TAB_NAME, TOOTH_NAME, BEFORE_NAME, AFTER_NAME = say("tab"), say("tooth"), say("before"), say("after")
KEEP = say("Save, and say what will be painted")
SAVED_AS = say("{code} is saved: an ordinary case, which the case page shows too.")
PAINT = say("What will you paint?")
PAINT_LEAD = say(
    "Write it as you mix it. It is stored as it stands: nothing is proposed, and nothing is judged. A zone that stays "
    "empty is not painted."
)
PAINT_EXAMPLE = say("such as 2 coats of (1 part husk + 7 parts clear)")
WHO = say("Who paints")
FAMILY_OF = say("Colour of {stain}, which the lab does not list yet")
PAINTED = say("Painted, into the furnace")
PAINTED_NEW = say("Painted, into the furnace; new in the list: {names}")
AFTER = say("After the glaze: read the same places again")
LIES = say("{zone}: {painted}")
RECORD = say("Save, and show before and after")
WIPED = say("It was wiped off")
DONE = say("Before and after")
FROM_TAB = say("ΔE00 {dE00}: value {in_value}, chroma {in_chroma}, hue {in_hue}")
SAID = say("What the program would have said")
NOT_YET = Numbered(
    "This is piece {n} of a tab and a tooth. From piece {first} on the program says here what it would have done.",
    "This is piece {n} of a tab and a tooth. From piece {first} on the program says here what it would have done.",
)
NOTHING_SAID = say(
    "The program has nothing to say yet: it knows none of these stains. Zones that are painted with one stain alone "
    "teach it, and so do stripes."
)
SAVING = say("Storing, and learning from it …")
ANOTHER = say("Read another tab and tooth")
OPEN_CASE = say("Open it as a case")
CANNOT_PAIR = say("This cannot be used yet: {reason}")

ours(__name__)
