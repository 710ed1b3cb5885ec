"""The words of what was done last time on a zone like this one."""

from __future__ import annotations

from stainbook.language import say
from stainbook.pages.shell.plain import ours

TITLE = say("Done last time")
LEAD = say(
    "What brought a like zone within ΔE00 3 of this target: recipes, and results that began within ΔE00 4 of where "
    "this zone is."
)
NONE = say("Nothing like it was done yet: no recipe and no result near this target from this start.")
NO_TARGET = say("This zone has no reading or no target yet.")
OUTCOME = say("{name}: {painted}. ΔE00 {target} from this target; it began ΔE00 {start} from here.")
RECIPE = say("Recipe {name}: {painted}. ΔE00 {target} from this target; no start is written with it.")
TAKE = say("Mix this by hand")
NOT_ON_OFFER = say("Not on offer for this piece: {names}.")
TOO_MANY = say("More layers than this firing may have.")

ours(__name__)
