"""The words of the settings page that the other pages do not share."""

from __future__ import annotations

from stainbook.language import say
from stainbook.pages.shell.plain import ours

TABS = (say("Judging"), say("Mixing"), say("Instruments"), say("People and programmes"), say("Lab and book"))
LANGUAGE, LANGUAGE_HELP = (
    say("Language"),
    say("For this browser, until it is closed. Files and records stay as they are."),
)
UNPROVEN = say("{language} (not proof-read by a native speaker)")
SAVE = say("Save")
KEPT = say("Saved. It holds for all work from now on; what was recorded before stays as it was judged.")
JUDGED_BY = {"tooth": say("Teeth are judged by"), "gingiva": say("Gum is judged by")}
OWN = say("own figures")
PERCEPTIBLE, ACCEPTABLE = say("Visible from, ΔE00"), say("In tolerance up to, ΔE00")
SET = say("{name}: visible from {perceptible:.1f}, in tolerance up to {acceptable:.1f}")
SOURCE = say("{source}. {sure}.")
JUDGE_NOTE = say(
    "ΔE00 is computed with all its weights at 1 (kL = kC = kH = 1), as the thresholds' sources "
    "did. Advice, chances, results, photos and reports all go by what stands here; a case's own "
    "command line may name another set."
)
VIEWING = say("Spectra are compared under")
VIEWING_NOTE = say("Readings that are L\\*a\\*b\\* alone keep the light and observer of their instrument.")
SHADOW = say("Look on: keep what the program would have done beside what the hand did")
SHADOW_HELP = say(
    "For a lab that looks on before it follows. Each recorded firing then keeps, for every zone that was not painted "
    "as chosen, what the program claims of the hand's layers and its own first step, worked out before it learns from "
    "the firing. The Numbers page sets them beside what came out."
)
EDGES = say("Incisal thirds and papillae of translucent pieces count")
EDGES_HELP = say(
    "What lies behind them shows through, so that their number is a hint and the eye decides. Until the lab says that "
    "they count, they keep no piece from being delivered."
)
STRENGTHS, STRENGTHS_HELP = (
    say("Shares that the lab mixes"),
    say("Such as 1/16, 1/8, 1/4, 1/2, 1. A case may name its own."),
)
TOGETHER = say("Systems or forms of jars that may share a mix")
TOGETHER_HELP = say(
    "Such as paste + powder; a pair each, ; between. No other two systems or forms are ever "
    "mixed in advice: see the makers' instructions."
)
STEP, STEP_HELP = say("Step of the scale, g"), say("Weights of mixes are multiples of it.")
LAB, LAB_HELP = say("Name of the lab"), say("It stands on reports and nowhere else.")
ANNEX = say("The clinic's page is followed by the zones' numbers")
ANNEX_HELP = say("Each report can be made otherwise. The job file always holds all.")
HOST = say("Address of the app for other devices")
HOST_HELP = say(
    "Such as https://bench.local:8443: the QR code on labels opens it on a phone. Start the app with --server, and "
    "that name among the hosts of server.toml. Empty: labels have no QR code."
)
WHO, WHO_HELP = (
    say("Who sits here"),
    say(
        "In this window of the browser. What is stored bears your name, and the numbers of technicians are told by it."
    ),
)
ROLES = say("Roles")
LEADS, APPRENTICES = say("Lead"), say("Apprentices")
APPRENTICES_HELP = say(
    "They get plans with fewer layers and coats, without the strongest share; who checked it before the furnace is "
    "asked for."
)
LEAD_SEES_ALL = say("A lead sees the numbers of every technician")
LEAD_SEES_HELP = say("Else each sees their own. This is a custom of the house, and no lock.")
PRICES = say("Prices")
PRICE_FIRING, PRICE_BLANK, PRICE_HOUR = say("A firing"), say("A blank"), say("An hour")
CURRENCY, CURRENCY_HELP = say("Currency"), say("Your own text, such as EUR. It stands behind the amounts.")
PROGRAMMES = say("Firing programmes")
PROGRAMME = say("Programme")
FURNACE, MINUTES, SHEET = say("Furnace"), say("Minutes, door to door"), say("Taken from the maker's sheet")
PROGRAMME_NOTE = say("Entered from the maker's sheet; no temperature, rate or hold is ever proposed or filled in.")
PROGRAMME_HEADS = (say("programme"), say("furnace"), say("final °C"), say("minutes"), say("sheet"))
NO_PROGRAMMES = say("None yet. Names come by themselves with the firings that are recorded.")
PLACE = say("Where it is: `{place}`")
BACKUP, BACKUP_NOTE = say("Back up now (.db)"), say("A copy that was read back whole; keep it on another disk.")
ON_SERVER = say("It is on a server, whose own tools back it up: `pg_dump`. The exchange page saves its content too.")
VERIFY, VERIFYING = say("Check every record"), say("Checking every record, and what was learnt from them …")
WHOLE = say("{records} records, each as it was stored. {warnings}")
FAULTS = say("The book is not as it was stored: {faults}")
OTHER = say(
    "Another book, one that several benches share for instance, is named when the app is "
    "started: `stainbook --book postgresql+psycopg://user@host/name app`."
)

ours(__name__)
