"""The words of the settings page that the other pages do not share."""

from __future__ import annotations

from stainbook.pages.shell.plain import ours

TABS = ("Judging", "Mixing", "Instruments", "People and programmes", "Lab and book")
SAVE = "Save"
KEPT = "Saved. It holds for all work from now on; what was recorded before stays as it was judged."
JUDGED_BY = {"tooth": "Teeth are judged by", "gingiva": "Gum is judged by"}
OWN = "own figures"
PERCEPTIBLE, ACCEPTABLE = "Visible from, ΔE00", "In tolerance up to, ΔE00"
SET = "{name}: visible from {perceptible:.1f}, in tolerance up to {acceptable:.1f}"
SOURCE = "{source}. {sure}."
JUDGE_NOTE = (
    "ΔE00 is computed with all its weights at 1 (kL = kC = kH = 1), as the thresholds' sources did. Advice, chances, "
    "results, photos and reports all go by what stands here; a case's own command line may name another set."
)
VIEWING = "Spectra are compared under"
VIEWING_NOTE = "Readings that are L\\*a\\*b\\* alone keep the light and observer of their instrument."
SHADOW = "Look on: keep what the program would have done beside what the hand did"
SHADOW_HELP = (
    "For a lab that looks on before it follows. Each recorded firing then keeps, for every zone that was not painted "
    "as chosen, what the program claims of the hand's layers and its own first step, worked out before it learns from "
    "the firing. The Numbers page sets them beside what came out."
)
STRENGTHS, STRENGTHS_HELP = "Shares that the lab mixes", "Such as 1/16, 1/8, 1/4, 1/2, 1. A case may name its own."
TOGETHER = "Systems or forms of jars that may share a mix"
TOGETHER_HELP = (
    "Such as paste + powder; a pair each, ; between. No other two systems or forms are ever mixed in advice: "
    "see the makers' instructions."
)
STEP, STEP_HELP = "Step of the scale, g", "Weights of mixes are multiples of it."
LAB, LAB_HELP = "Name of the lab", "It stands on reports and nowhere else."
PROGRAMMES = "Firing programmes"
PROGRAMME = "Programme"
FURNACE, MINUTES, SHEET = "Furnace", "Minutes, door to door", "Taken from the maker's sheet"
PROGRAMME_NOTE = "Entered from the maker's sheet; no temperature, rate or hold is ever proposed or filled in."
PROGRAMME_HEADS = ("programme", "furnace", "final °C", "minutes", "sheet")
NO_PROGRAMMES = "None yet. Names come by themselves with the firings that are recorded."
PLACE = "Where it is: `{place}`"
BACKUP, BACKUP_NOTE = "Back up now (.db)", "A copy that was read back whole; keep it on another disk."
ON_SERVER = "It is on a server, whose own tools back it up: `pg_dump`. The exchange page saves its content too."
VERIFY, VERIFYING = "Check every record", "Checking every record, and what was learnt from them …"
WHOLE = "{records} records, each as it was stored. {warnings}"
FAULTS = "The book is not as it was stored: {faults}"
OTHER = (
    "Another book, one that several benches share for instance, is named when the app is started: "
    "`stainbook --book postgresql+psycopg://user@host/name app`."
)

ours(globals())
