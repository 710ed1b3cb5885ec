"""Plain tables of the pages: numbers to the right, one decimal, the unit in the head."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from stainbook.faces.firing_types import Preview, ReadingPlace
from stainbook.pages.shell import texts, wording
from stainbook.pages.widgets.swatches import Patch, small
from stainbook.words.escaping import escape
from stainbook.words.places import place, zone_name
from stainbook.work.documents.book_schemas import RecordedOutcome
from stainbook.work.documents.schemas import ColourResult

MANY = 3  # columns at most that stand side by side on a phone


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], *, numbers: Collection[int] = (), wide: int = -1) -> str:
    """A table of trusted cells under texts; ``numbers`` are columns set to the right, ``wide`` takes what is left.

    On a phone the rows of many columns are cards whose cells name themselves.
    """
    least = "min(7rem, 30%)" if wide >= 0 else "0"  # or a narrow screen sets a mix one word a line
    columns = " ".join(f"minmax({least}, 1fr)" if n == wide % len(heads) else "auto" for n in range(len(heads)))
    kinds = ["number" if place in numbers else "text" for place in range(len(heads))]
    head = _row([escape(one) for one in heads], kinds, "heads")
    named = [escape(one) for one in heads]
    body = "".join(_row(row, kinds, "table-row", named) for row in rows)
    name = " ".join(["table", *(["many"] if len(heads) > MANY else [])])
    return f'<div class="{name}" role="table" style="grid-template-columns:{columns}">{head}{body}</div>'


def cards(rows: Sequence[Mapping[str, object]]) -> str:
    """Rows by head as a table, differences with one decimal; on a phone each row is a card that names its values."""
    heads = [escape(head) for head in rows[0]]
    numbers = [any(isinstance(row[head], (int, float)) for row in rows) for head in rows[0]]
    kinds = ["number" if number else "text" for number in numbers]
    body = "".join(_row([_cell(value) for value in row.values()], kinds, "table-row", heads) for row in rows)
    columns = " ".join(["auto"] * len(heads))
    head = _row(heads, kinds, "heads")
    return f'<div class="table cards" role="table" style="grid-template-columns:{columns}">{head}{body}</div>'


def _cell(value: object) -> str:
    if value is None:
        return "–"
    return (
        wording.one_decimal(value)
        if isinstance(value, float)
        else escape(value if isinstance(value, str) else str(value))
    )


def _row(cells: Sequence[str], kinds: Sequence[str], name: str, heads: Sequence[str] | None = None) -> str:
    """``heads`` : the columns' names, for each cell to say its own where a table becomes cards."""
    role = "columnheader" if name == "heads" else "cell"
    said = [""] * len(cells) if heads is None else [f' data-head="{head}"' for head in heads]
    inside = "".join(
        f'<span role="{role}" class="{kind}"{head}>{cell}</span>'
        for kind, head, cell in zip(kinds, said, cells, strict=True)
    )
    return f'<div class="{name}" role="row">{inside}</div>'


def lab_cells(colour: ColourResult | None) -> tuple[str, str, str]:
    """L*, a*, b* as cells."""
    if colour is None:
        return ("–",) * 3
    return wording.one_decimal(colour.L), wording.one_decimal(colour.a), wording.one_decimal(colour.b)


def order_markup(places: Sequence[ReadingPlace]) -> str:
    """What to read, in order."""
    rows = [(str(row), *_place(one), escape(one.note or "")) for row, one in enumerate(places, 1)]
    return table(texts.ORDER_HEADS, rows, numbers=(0, 1))


def assigned_markup(found: Preview) -> str:
    """Which reading was given to which zone."""
    rows = [
        (
            str(row),
            str(one.place.tooth or ""),
            _zone(one.place),
            *lab_cells(one.colour),
            str(one.repeats),
        )
        for row, one in enumerate(found.rows, 1)
    ]
    return table(texts.ASSIGNED_HEADS, rows, numbers=(0, 1, 3, 4, 5, 6), wide=2)


def _place(place: ReadingPlace) -> tuple[str, str]:
    return str(place.tooth or ""), _zone(place)


def _zone(place: ReadingPlace) -> str:
    """The zone's name, of a sample without a place its own."""
    return escape(zone_name(place.zone) if place.zone else place.sample)


def recorded_markup(outcomes: Sequence[RecordedOutcome]) -> str:
    """What was expected and what came out, zone by zone."""
    return table(texts.RECORDED_HEADS, [_outcome(one) for one in outcomes], numbers=(2, 3, 4, 5, 6))


def _outcome(one: RecordedOutcome) -> tuple[str, ...]:
    pair = (Patch(texts.EXPECTED_NAME, one.expected), Patch(texts.GOT_NAME, one.got))
    apart = wording.one_decimal(one.dE00) if one.dE00 is not None else "–"
    to_target = wording.one_decimal(one.to_target) if one.to_target is not None else "–"
    said = texts.HELD if one.held else texts.ACCEPTED_WORD[one.accepted]
    where = zone_name(one.zone) if one.tooth is None else place(one.tooth, one.zone)
    return escape(where), small(pair), *lab_cells(one.got), apart, to_target, escape(said)
