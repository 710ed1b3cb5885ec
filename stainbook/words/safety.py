"""Cautions, each written once, and where each is needed: `AT` is the table of place to caution."""

from __future__ import annotations

from types import MappingProxyType

from stainbook.language import say

BENCH_AID = say(
    "A bench aid, not a medical device: it judges no fitness for use. Materials by their makers' instructions."
)
DUST = say("Extraction and a fitted mask: all ceramic dust is respirable dust. No dry stain powder in the air; gloves.")
LIQUIDS = say(
    "Colouring liquids are acidic metal salts: gloves, goggles, metal-free tools, a brush of its own for each. Shake, "
    "pour little, never pour back; waste by its sheet; extraction while drying; dry fully before sintering."
)
UNSINTERED = say(
    "Take loose powder off an unsintered piece with a soft brush inside running extraction: no water, no steam, no "
    "compressed air. The colour seen on it is a marker that burns out: it says where, not how strong."
)
TEETH_FIRST = say(
    "Liquids on teeth first, gum last, a narrow line unpainted between them: bleeding spoils the neck. Close the line "
    "with surface stain after sintering."
)
STRIP = say(
    "Strip in a closed cabinet or under extraction, with a mask and light pressure; look for cracks. No etching acid "
    "to strip glaze."
)
WORN = say(
    "Disinfect a returned or worn piece first. Composite, cement and bases come off before any furnace, fumes under "
    "extraction. Then dry it slowly and long: moisture cracks it."
)
READ_DRY = say("Read at room temperature, dry and clean, the tip flat on the zone, on the same backing each time.")
READ_MOUTH = say("Living teeth are read wet, the tip clean and covered between patients.")
FACE_WET = say("Clean and dry a face that was read wet before anything is painted on it.")
SURFACES = say(
    "Contacts, biting faces and the tissue face: polish to high lustre before glaze; stain wears, rough glaze abrades "
    "the teeth opposite. No stain or glaze on margins, base seats, screw channels and fitting surfaces."
)
FIRE = say(
    "Hot furnace: tongs, eye protection. A full arch heats and cools slowly, by its own programme. Never steam, wet or "
    "paint a warm piece."
)
TWO_COATS = say("Two coats of one layer: the first dries matt before the second.")
UNFIRED = say("Do not deliver a piece with unfired stain on it.")
WHOLE_PIECE = say("Look at the whole piece in daylight: evenness counts before the last half unit of ΔE00.")
RESIN = say("A provisional is never fired: resin stains by their makers' instructions, and no chance of a firing.")
CLINIC = say(
    "Look at it in daylight, the teeth beside it wet. Where it is ground the stain is gone: send it back, or polish it."
)

AT = MappingProxyType(
    {
        "sheet": (BENCH_AID, DUST, SURFACES, FIRE, UNFIRED, WHOLE_PIECE),
        "sheet, unsintered": (BENCH_AID, DUST, LIQUIDS, UNSINTERED, SURFACES, FIRE, UNFIRED, WHOLE_PIECE),
        "sheet, provisional": (RESIN, BENCH_AID, DUST, SURFACES, WHOLE_PIECE),
        "sheet, returned": (WORN, BENCH_AID, DUST, SURFACES, FIRE, UNFIRED, WHOLE_PIECE),
        "report": (BENCH_AID, SURFACES, CLINIC),
        "page": (BENCH_AID, DUST, SURFACES, UNFIRED),
        "readings": (READ_DRY, READ_MOUTH, FACE_WET),
        "liquids": (LIQUIDS, UNSINTERED),
        "liquids on teeth and gum": (TEETH_FIRST,),
        "strip": (STRIP,),
        "returned": (WORN,),
        "fire": (FIRE,),
        "two coats": (TWO_COATS,),
        "delivery": (UNFIRED, SURFACES),
    }
)  # place: what stands there, in this order
_SHEETS = {"green": "sheet, unsintered", "trial": "sheet, provisional", "returned": "sheet, returned"}


def of_sheet(stage: str | None) -> tuple[str, ...]:
    """The cautions on the bench sheet of a piece at a stage; an unknown stage has those of a sintered piece.

    >>> of_sheet("trial")[0]
    "A provisional is never fired: resin stains by their makers' instructions, and no chance of a firing."
    """
    return AT[_SHEETS.get(stage or "", "sheet")]


def of_page(stage: str | None, *, strip: bool = False, both: bool = False) -> list[str]:
    """The cautions at the foot of a case's page, each once.

    Parameters
    ----------
    stage : of the piece; None where it is not known
    strip : a step of the page strips the piece
    both : liquids go on teeth and on gum

    >>> of_page("returned")[0] == WORN, TEETH_FIRST in of_page("green", both=True)
    (True, True)
    """
    unsintered = stage == "green"
    places = (
        *(("returned",) if stage == "returned" else ()),
        *(("liquids", *(("liquids on teeth and gum",) if both else ())) if unsintered else ()),
        *(("strip",) if strip else ()),
        "page",
    )
    return list(dict.fromkeys(line for place in places for line in AT[place]))


def of_plan(*, liquid: bool = False, both: bool = False, two_coats: bool = False, strip: bool = False) -> list[str]:
    """The cautions on the sheet of what is painted.

    Parameters
    ----------
    liquid : the layers soak in
    both : they go on teeth and on gum
    two_coats : a layer has two coats or more
    strip : a step strips the piece

    >>> of_plan(two_coats=True)[0]
    'Two coats of one layer: the first dries matt before the second.'
    """
    told = [*AT["two coats"]] if two_coats else []
    told += AT["strip"] if strip else ()
    told += AT["liquids on teeth and gum"] if liquid and both else ()
    return [*told, *AT["sheet, unsintered" if liquid else "sheet"]]
