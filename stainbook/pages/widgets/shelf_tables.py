"""Tables of what the lab knows: recipes and outcomes, stains and their stripes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stainbook.faces.recipe_types import Moment, Pair, RecipeOrOutcome
from stainbook.faces.stain_types import StainRow, StripeMet
from stainbook.language import joined, say_n
from stainbook.pages.lab import recipes_texts as words
from stainbook.pages.lab import stains_texts as stain_words
from stainbook.pages.shell import texts, wording
from stainbook.pages.widgets.swatches import Patch, large, small
from stainbook.pages.widgets.tables import table
from stainbook.stage_words import recipe_state
from stainbook.words import mixes
from stainbook.words.escaping import escape
from stainbook.work.documents.day_schemas import NextStripe


def found_markup(found: Mapping[str, RecipeOrOutcome]) -> str:
    """Recipes and outcomes as rows that can be chosen; each row's key is that of the mapping."""
    heads = "".join(f"<span>{escape(head)}</span>" for head in texts.FOUND_HEADS)
    rows = "".join(_found(key, one) for key, one in found.items())
    return f'<div class="table found"><div class="heads" aria-hidden="true">{heads}</div>{rows}</div>'


def _found(key: str, one: RecipeOrOutcome) -> str:
    state = recipe_state(one.state) if one.state else texts.ACCEPTED_WORD[one.accepted]
    kind = texts.KIND_WORD[one.kind]
    cells = (
        small((Patch(one.called, one.colour),)),
        f"<b>{escape(one.name if one.kind == 'recipe' else wording.moment(one.when))}</b><br>{escape(kind)}",
        escape(one.painted),
        escape(one.on),
        wording.one_decimal(one.dE00) if one.dE00 is not None else "",
        escape(state),
    )
    label = escape(joined([joined([kind, one.called], " "), joined([one.painted, state], "; ")], ": "))
    body = "".join(f"<span>{cell}</span>" for cell in cells)
    return f'<div class="table-row" data-key="{escape(key)}" aria-label="{label}">{body}</div>'


def pair_markup(pair: Pair) -> str:
    """Two recipes side by side: their colours along an edge, then point by point; what differs is marked."""
    patches = tuple(Patch(name, colour) for name, colour in zip(pair.names, pair.colours, strict=True))
    heads = ("", "", *pair.names)
    rows = [
        ("" if one.same else words.DIFFERS, escape(words.POINTS[one.what]), escape(one.first), escape(one.second))
        for one in pair.rows
        if one.first or one.second
    ]
    colours = large(patches) if any(pair.colours) else ""
    return f"{colours}{table(heads, rows, wide=2)}"


def life_markup(life: Sequence[Moment]) -> str:
    """The revisions of a recipe, the newest first."""
    rows = [
        (
            str(one.revision),
            escape(recipe_state(one.state)),
            escape(joined([one.who, wording.moment(one.when)])),
            escape(one.why or ""),
        )
        for one in life
    ]
    return table(words.LIFE_HEADS, rows, numbers=(0,), wide=3)


def stains_markup(stains: Sequence[StainRow]) -> str:
    """The lab's stains as rows that can be chosen."""
    heads = "".join(f"<span>{escape(head)}</span>" for head in texts.STAIN_HEADS)
    rows = "".join(
        f'<div class="table-row" data-key="{escape(one.name)}" '
        f'aria-label="{escape(_stain(one))}">'
        f"<span><b>{escape(one.name)}</b></span><span>{escape(_sort(one))}</span>"
        f'<span class="number">{one.all}</span><span>{escape(one.lot or "")}</span></div>'
        for one in stains
    )
    return f'<div class="table stains"><div class="heads" aria-hidden="true">{heads}</div>{rows}</div>'


def _sort(one: StainRow) -> str:
    """The colour family of a stain; what kind of stain it is where it has none."""
    return stain_words.FAMILIES.get(one.family or "") or stain_words.KINDS.get(one.kind, one.kind)


def _stain(one: StainRow) -> str:
    return joined([one.name, say_n("{n} stripe", "{n} stripes", one.all)])


def stripes_markup(stripes: Sequence[StripeMet]) -> str:
    """A stain's stripes as they were read and as the fit has them."""
    rows = [
        (
            escape(one.chip),
            escape(one.painted),
            small((Patch(texts.GOT_NAME, one.read), Patch(texts.EXPECTED_NAME, one.fit))),
            wording.one_decimal(one.dE00),
        )
        for one in stripes
    ]
    return table(texts.STRIPE_HEADS, rows, numbers=(3,), wide=1)


def next_markup(stripes: Sequence[NextStripe]) -> str:
    """Which stripes to fire next, the most useful first."""
    rows = [
        (
            str(one.rank),
            escape(one.stain),
            escape(mixes.layer({one.stain: one.share}, one.coats)),
            escape(one.plate),
            f"{wording.figure(100.0 * one.gain, '.1f')} %",
        )
        for one in stripes
    ]
    return table(texts.NEXT_HEADS, rows, numbers=(0, 4), wide=2)
