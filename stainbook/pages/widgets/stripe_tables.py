"""Tables of the stripes page: the stains that are listed, a lay-out, and what a stain opens."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.faces.stain_types import OpenedZone, StainRow
from stainbook.pages.lab import stains_texts as stain_words
from stainbook.pages.lab import stripes_texts as words
from stainbook.pages.shell import wording
from stainbook.pages.shell.plain import bare
from stainbook.pages.widgets.tables import table
from stainbook.words import mixes
from stainbook.words.escaping import escape
from stainbook.words.places import place
from stainbook.work.documents.day_schemas import PlateResult


def kind_words(share: float, coats: int) -> str:
    """``1 part in 4, 1 coat``, as an option of a list."""
    part = words.PART_IN.format(n=round(1.0 / share)) if share < 1.0 else words.UNDILUTED
    return bare(words.KIND.format(share=part, coats=mixes.coats(coats)))


def listed_markup(stains: Sequence[StainRow]) -> str:
    """The stains of the lab with their jars."""
    rows = [
        (
            f"<b>{escape(one.name)}</b>",
            escape(stain_words.FORMS.get(one.form or "", one.form or "")),
            escape(stain_words.FAMILIES.get(one.family or "", "")),
            escape(one.system or ""),
            escape(one.lot or ""),
            str(one.all),
        )
        for one in stains
    ]
    return table(words.LISTED_HEADS, rows, numbers=(5,), wide=0)


def plan_markup(found: PlateResult) -> str:
    """A lay-out, plate by plate."""
    rows = [(escape(one.plate), str(one.row), escape(one.paint)) for one in found.stripes]
    return table(words.PLAN_HEADS, rows, numbers=(1,), wide=2)


def opened_markup(zones: Sequence[OpenedZone]) -> str:
    """The open zones that a stain alone brings nearer."""
    rows = [
        (
            escape(one.case),
            escape(place(one.tooth, one.zone)),
            wording.one_decimal(one.now),
            wording.one_decimal(one.then),
            escape(one.painted),
        )
        for one in zones
    ]
    return table(words.OPENS_HEADS, rows, numbers=(2, 3), wide=4)
