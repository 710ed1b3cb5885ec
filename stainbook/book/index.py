"""What searches run on: each record's conditions and words, and the colour that it stands for.

Made from the journal alone; ``rebuild`` makes it again. Terms and spaces are kept as 63-bit hashes,
so that both stores keep them small; a hit is checked against the record itself before it is shown.
What a lab shares stands here a second time, under the lab ``*``.
"""

from __future__ import annotations

import hashlib
import itertools
import math
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Any

from sqlalchemy import Connection, delete, select

from stainbook.book import journal, packed, pieces
from stainbook.book.book_tables import colours, records, terms
from stainbook.book.codec import decode
from stainbook.book.packed import FULL, SPAN, Placed, bits_of, colours_of, colours_piece, piece_of
from stainbook.book.pieces import Key
from stainbook.errors import BookError
from stainbook.kept import LabRecipe, Outcome
from stainbook.records import Case, LabRef, Layers, Stain, Viewing

EVERYONE = "*"  # the lab that what is shared stands under
CELL = 2.0  # L*, a*, b* units
_HALF, _BITS = 1 << 11, 12  # cells of an axis: from -4096 to 4096 units
_WORD = re.compile(r"\w+")
_SEARCHED: dict[str, type[Any]] = {"outcome": Outcome, "recipe": LabRecipe, "case": Case, "stain": Stain}
_ROWS_A_STEP = 2000


def key(text: str) -> int:
    """A text as a 63-bit number."""
    return int.from_bytes(hashlib.blake2b(text.encode(), digest_size=8).digest(), "big") >> 1


def term(lab: str, what: str, value: str) -> int:
    """The number of a condition or word of a lab."""
    return key(f"{lab}\0{what}\0{value.casefold()}")


def space(lab: str, viewing: Viewing) -> int:
    """The number of a lab's colours under one light and observer."""
    return key(f"{lab}\0{viewing.illuminant}\0{viewing.observer}")


def cell(L: float, a: float, b: float) -> int:
    """The number of the cell of a colour; along b* the numbers run on."""
    index = 0
    for value in (L, a, b):
        index = (index << _BITS) | min(max(math.floor(value / CELL) + _HALF, 0), 2 * _HALF - 1)
    return index


def words(*texts: str | None) -> set[str]:
    """The words of some texts, in one case."""
    return {word.casefold() for text in texts if text for word in _WORD.findall(text)}


def facets(kind: str, record: Any) -> set[tuple[str, str]]:
    """Conditions and words of a record: pairs such as (stain, husk), (word, thin)."""
    found: dict[str, str | None] = {"kind": kind}
    if isinstance(record, Outcome):
        found |= {name: getattr(record, name) for name in _OUTCOME_FACETS}
        listed = _painted(record.layers, record.lots) | _layers_key(record.layers)
        free = words(record.case, record.note, record.operator, record.zone, record.returned, record.recipe)
    elif isinstance(record, LabRecipe):
        limits = record.conditions
        found |= {name: getattr(limits, name) for name in _RECIPE_FACETS} | {"state": record.state}
        listed, free = _painted(record.layers, ()), words(record.recipe, record.notes)
        free |= words(*(word for one in record.effects or () for word in (one.effect, one.note)))
    elif isinstance(record, Case):
        found |= {"case": record.case, "material": record.material, "stage": record.stage, "operator": record.operator}
        listed = {("lot", lot) for _, lot in record.lots}
        free = words(record.case, *(effect.effect for effect in record.effects), *(e.note for e in record.effects))
    else:
        found |= {"stain": record.name, "lot": record.lot, "family": record.family}
        listed = {("material", material) for material in record.materials or ()}
        free = words(record.name, record.notes, record.family)
    return {(name, value) for name, value in found.items() if value} | listed | {("word", word) for word in free}


_OUTCOME_FACETS = (
    "case", "material", "stage", "tissue", "zone", "operator", "programme", "finish", "recipe", "returned",
)  # fmt: skip
_RECIPE_FACETS = ("material", "stage", "surface", "programme", "consistency", "tissue", "zone")


def _painted(layers: Layers, lots: Iterable[tuple[str, str]]) -> set[tuple[str, str]]:
    found = {("stain", stain) for layer in layers for stain in layer.pot.stains}
    found |= {("lot", lot) for layer in layers for _, lot in layer.lots} | {("lot", lot) for _, lot in lots}
    return found | {("consistency", layer.consistency) for layer in layers if layer.consistency}


def layers_text(layers: Layers) -> str:
    """Pots and coats as one text: equal texts, equal painting."""
    return " / ".join(f"{layer.coats}x{[(n, round(share, 9)) for n, share in layer.pot.shares]}" for layer in layers)


def _layers_key(layers: Layers) -> set[tuple[str, str]]:
    return {("layers", layers_text(layers))}


def colour_of(record: Any) -> LabRef | None:
    """The colour that a record is found by: what came out, or what a recipe is for."""
    if isinstance(record, Outcome):
        return record.got
    return record.target if isinstance(record, LabRecipe) else None


# ---------------------------------------------------------------- kept in step with the journal


def put(connection: Connection, rows: list[dict[str, Any]]) -> None:
    """Index rows that were just appended; earlier revisions of theirs are no longer found."""
    searched = [row for row in rows if row["kind"] in _SEARCHED]
    replaced = [row for row in searched if row["revision"] > 1]
    for row in replaced:
        drop(connection, _before(connection, row))
    labs = {row["id"]: [row["lab"]] for row in searched}
    for row in replaced:
        if (row["lab"], row["name"]) in journal.shared(connection, row["kind"]):
            labs[row["id"]].append(EVERYONE)
    _insert(connection, ((row, lab) for row in searched for lab in labs[row["id"]]))


def _before(connection: Connection, row: dict[str, Any]) -> list[dict[str, Any]]:
    query = select(records).where(
        records.c.lab == row["lab"],
        records.c.kind == row["kind"],
        records.c.name == row["name"],
        records.c.revision == row["revision"] - 1,
    )
    return [dict(found) for found in connection.execute(query).mappings()]


def share(connection: Connection, row: dict[str, Any], *, given: bool) -> None:
    """Show one row to all labs, or no longer."""
    if row["kind"] in _SEARCHED:
        drop(connection, [row], labs=(EVERYONE,))
        _insert(connection, [(row, EVERYONE)] if given else [])


def drop(connection: Connection, rows: Iterable[dict[str, Any]], *, labs: Iterable[str] | None = None) -> None:
    """Let rows be found no longer."""
    _rewrite(connection, ((row, lab) for row in rows for lab in labs or (row["lab"], EVERYONE)), held=False)


def add(connection: Connection, rows: Iterable[dict[str, Any]]) -> None:
    """Let rows be found by their lab."""
    _insert(connection, ((row, row["lab"]) for row in rows))


def _insert(connection: Connection, rows: Iterable[tuple[dict[str, Any], str]]) -> None:
    _rewrite(connection, rows, held=True)


def _rewrite(connection: Connection, rows: Iterable[tuple[dict[str, Any], str]], *, held: bool) -> None:
    """Let rows be held by, or gone from, the pieces that they fall into; each piece is read and written once."""
    sets: dict[Key, int] = defaultdict(int)
    places: dict[Key, list[Placed]] = defaultdict(list)
    for row, lab in rows:
        numbers, place, placed = _indexed(row, lab)
        for one in numbers:
            sets[one, row["id"] // SPAN] |= 1 << row["id"] % SPAN
        if place is not None:
            places[place].append(placed)
    before = {key: bits_of(data) for key, data in pieces.read(connection, terms, sets)}
    after = {key: before.get(key, 0) | bits if held else before.get(key, 0) & ~bits for key, bits in sets.items()}
    pieces.write(connection, terms, {key: piece_of(bits) for key, bits in after.items()}, before)
    if held:
        _place(connection, places)
    else:
        _displace(connection, places)


def _place(connection: Connection, places: dict[Key, list[Placed]]) -> None:
    """Put colours into the last piece of their cells, and into new ones where that is full."""
    last = dict(pieces.last(connection, colours, places))
    before = dict(pieces.read(connection, colours, ((*place, number) for place, number in last.items())))
    after: dict[Key, bytes] = {}
    for place, found in places.items():
        number = last.get(place, 0)
        all_ = [*colours_of(before.get((*place, number), b"")), *found]
        for start in range(0, len(all_), FULL):
            after[*place, number] = colours_piece(all_[start : start + FULL])
            number += 1
    pieces.write(connection, colours, after, before)


def _displace(connection: Connection, places: dict[Key, list[Placed]]) -> None:
    last = pieces.last(connection, colours, places)
    keys = ((*place, number) for place, upto in last for number in range(upto + 1))
    before = dict(pieces.read(connection, colours, keys))
    gone = {place: {one[0] for one in found} for place, found in places.items()}
    after = {
        key: colours_piece(one for one in colours_of(data) if one[0] not in gone[key[:-1]])
        for key, data in before.items()
    }
    pieces.write(connection, colours, after, before)


def _indexed(row: dict[str, Any], lab: str) -> tuple[set[int], Key | None, Placed]:
    """The terms of a row, the space and cell that its colour lies in, None where it has none, and the colour."""
    record = decode(_SEARCHED[row["kind"]], row["content"])
    numbers = {term(lab, *facet) for facet in facets(row["kind"], record)}
    found = colour_of(record)
    if found is None:
        return numbers, None, (0.0, 0.0, 0.0, 0.0)
    return numbers, (space(lab, found.viewing), cell(*found.lab)), (float(row["id"]), *found.lab)


def rebuild(connection: Connection) -> None:
    """Make all of it again from the journal."""
    connection.execute(delete(terms))
    connection.execute(delete(colours))
    for lab in _labs(connection):
        add_lab(connection, lab)


def add_lab(connection: Connection, lab: str) -> None:
    """Let all be found that holds now of a lab of which nothing was found yet."""
    rows = _current(connection, lab)
    while some := list(itertools.islice(rows, _ROWS_A_STEP)):
        _insert(connection, some)


def _labs(connection: Connection) -> list[str]:
    return list(connection.scalars(select(records.c.lab).distinct()))


def _current(connection: Connection, lab: str) -> Iterator[tuple[dict[str, Any], str]]:
    """The rows of a lab that hold now, with the lab that each is found by."""
    scope = journal.Scope(lab)
    withdrawn = {row.name for row in journal.revisions(connection, "correction", scope)}
    for kind in _SEARCHED:
        given = {name for whose, name in journal.shared(connection, kind) if whose == lab}
        for row in journal.newest(connection, kind, scope):
            if row.seal in withdrawn:
                continue
            yield dict(row._mapping), lab
            if row.name in given:
                yield dict(row._mapping), EVERYONE


def fits(connection: Connection) -> bool:
    """Whether searches run on exactly what the journal says."""
    wanted, found = 0, 0
    for row, lab in itertools.chain.from_iterable(_current(connection, lab) for lab in _labs(connection)):
        numbers, place, placed = _indexed(row, lab)
        wanted += sum(_mark(one, row["id"]) for one in numbers)
        wanted += _mark(*place, *placed) if place is not None else 0
    try:
        for number, piece, data in connection.execute(select(terms)):
            found += sum(_mark(number, SPAN * piece + low) for low in packed.numbers(bits_of(data)))
        for where, part, _, data in connection.execute(select(colours)):
            found += sum(_mark(where, part, *one) for one in colours_of(data))
    except BookError:  # a piece that is none
        return False
    return wanted == found


def _mark(*values: float) -> int:
    """A number that stands for a row, so that two sets of rows are compared by their sums, in any order."""
    return hash(values)
