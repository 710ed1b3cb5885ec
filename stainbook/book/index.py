"""What searches run on: each record's conditions and words, and the colour that it stands for.

Made from the journal alone; ``rebuild`` makes it again. A piece packs what ``SPAN`` rows of a lab say, so that a
search reads and compares all of them at once: each condition or word as 8 bytes, each colour of one light and
observer as 32, those of the lower rows first. The first byte says which row of the piece it is. A hit is checked
against the record itself before it is shown. What a lab shares stands here a second time.
"""

from __future__ import annotations

import hashlib
import itertools
import re
import struct
from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from sqlalchemy import Connection, delete, insert, select

from stainbook.book import journal
from stainbook.book.book_tables import records, searched
from stainbook.book.codec import decode
from stainbook.errors import BookError
from stainbook.kept import LabRecipe, Outcome
from stainbook.language import say
from stainbook.records import Case, LabRef, Layers, Stain, Viewing

SPAN = 256  # rows of the journal that a piece stands for: one byte tells them apart
TERMS = "terms"
DAMAGED = say("what searches run on is damaged; `stainbook book verify --rebuild` makes it again")
COLOUR_BYTES = 32
_COLOUR = struct.Struct("<4d")  # row of the piece, L*, a*, b*
_HASH = 7  # bytes: of ten million different terms no two are likely to be alike
_WORD = re.compile(r"\w+")
_SEARCHED: dict[str, type[Any]] = {"outcome": Outcome, "recipe": LabRecipe, "case": Case, "stain": Stain}
_ROWS_A_STEP = 2048
Row = dict[str, Any]
Said = dict[bytes, set[int]]  # of a piece: each term's hash, or colour as it is packed, and its rows


class RowPiece(NamedTuple):
    """The key of a piece: whether it is of what is shared, what it holds, whose, and of which rows."""

    shared: bool
    what: str
    lab: str
    piece: int


def term(what: str, value: str) -> bytes:
    """The hash of a condition or word."""
    return hashlib.blake2b(f"{what}\0{value.casefold()}".encode(), digest_size=_HASH).digest()


def colours_under(viewing: Viewing) -> str:
    """What the pieces of colours under one light and observer are called."""
    return f"{viewing.illuminant}/{viewing.observer}"


def rows_having(data: bytes, one: bytes) -> bytes:
    """The rows of a piece that have a term."""
    at = data.find(one)
    rows = at + _HASH + 1  # after how many there are but one
    return data[rows : rows + 1 + sum(data[rows - 1 : rows])] if at >= 0 else b""


def _unpacked(what: str, data: bytes) -> Said:
    found: Said = {}
    if what != TERMS:
        return {data[at : at + COLOUR_BYTES]: {_row_of(data, at)} for at in range(0, len(data), COLOUR_BYTES)}
    at = 0
    while at < len(data):
        rows = at + _HASH + 1
        end = rows + 1 + data[rows - 1]
        found[data[at : rows - 1]] = set(data[rows:end])
        at = end
    return found


def _row_of(data: bytes, at: int) -> int:
    return int(_COLOUR.unpack_from(data, at)[0])


def _piece_of(what: str, said: Said) -> bytes:
    held = sorted((one, rows) for one, rows in said.items() if rows)
    if what != TERMS:
        return b"".join(one for one, _ in held)
    return b"".join(one + bytes([len(rows) - 1, *sorted(rows)]) for one, rows in held)


def words(*texts: str | None) -> set[str]:
    """Give the words of some texts, in one case.

    >>> sorted(words("Thin, or it greys", None))
    ['greys', 'it', 'or', 'thin']
    """
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
    """Give mixes and coats as one text: equal texts, equal painting.

    >>> layers_text((Layer(Pot.of({"barley": 1 / 4}), 2),))
    "2x[('barley', 0.25)]"
    """
    return " / ".join(f"{layer.coats}x{[(n, round(share, 9)) for n, share in layer.pot.shares]}" for layer in layers)


def _layers_key(layers: Layers) -> set[tuple[str, str]]:
    return {("layers", layers_text(layers))}


def is_searched(kind: str) -> bool:
    """Whether things of a kind can be found by searches."""
    return kind in _SEARCHED


def colour_of(record: Any) -> LabRef | None:
    """The colour that a record is found by: what came out, or what a recipe is for."""
    if isinstance(record, Outcome):
        return record.got
    return record.target if isinstance(record, LabRecipe) else None


# ---------------------------------------------------------------- kept in step with the journal


def put(connection: Connection, rows: list[Row]) -> None:
    """Index rows that were just appended; earlier revisions of theirs are no longer found."""
    new = [row for row in rows if row["kind"] in _SEARCHED]
    replaced = [row for row in new if row["revision"] > 1]
    drop(connection, [before for row in replaced for before in _before(connection, row)])
    newest = {(row["lab"], row["kind"], row["name"]): row for row in new}  # one write may hold several of a name
    shown = {row["kind"]: set(journal.shared(connection, row["kind"])) for row in replaced}
    both = [row for row in newest.values() if (row["lab"], row["name"]) in shown.get(row["kind"], ())]
    _rewrite(connection, held=[*((row, False) for row in newest.values()), *((row, True) for row in both)])


def _before(connection: Connection, row: Row) -> list[Row]:
    query = select(records).where(
        records.c.lab == row["lab"],
        records.c.kind == row["kind"],
        records.c.name == row["name"],
        records.c.revision == row["revision"] - 1,
    )
    return [dict(found) for found in connection.execute(query).mappings()]


def share(connection: Connection, row: Row, *, given: bool) -> None:
    """Show one row to all labs, or no longer."""
    if row["kind"] in _SEARCHED:
        _rewrite(connection, gone=[(row, True)], held=[(row, True)] if given else [])


def drop(connection: Connection, rows: Iterable[Row]) -> None:
    """Let rows be found no longer, by their lab and by others."""
    _rewrite(connection, gone=[(row, shared) for row in rows for shared in (False, True)])


def add(connection: Connection, rows: Iterable[Row]) -> None:
    """Let rows be found by their lab."""
    _rewrite(connection, held=[(row, False) for row in rows])


def _rewrite(
    connection: Connection, *, gone: Iterable[tuple[Row, bool]] = (), held: Iterable[tuple[Row, bool]] = ()
) -> None:
    """Take rows out of the pieces that they fall into, and put rows in; each piece is read and written once."""
    out, into = _said(gone), _said(held)
    before = _read(connection, {*out, *into})
    after = {key: _merged(key.what, before.get(key, b""), out.get(key, {}), into.get(key, {})) for key in {*out, *into}}
    for key in before:
        connection.execute(delete(searched).where(*(searched.c[name] == one for name, one in key._asdict().items())))
    new = [{**key._asdict(), "packed": data} for key, data in sorted(after.items()) if data]
    if new:
        connection.execute(insert(searched), new)


def _read(connection: Connection, keys: Iterable[RowPiece]) -> dict[RowPiece, bytes]:
    found: dict[RowPiece, bytes] = {}
    groups = itertools.groupby(sorted(keys), lambda key: key[:3])
    for (shared, what, lab), some in groups:
        pieces = [key.piece for key in some]
        for start in range(0, len(pieces), journal.NAMES_A_QUERY):
            one_of = searched.c.piece.in_(pieces[start : start + journal.NAMES_A_QUERY])
            query = select(searched).where(
                searched.c.shared == shared, searched.c.what == what, searched.c.lab == lab, one_of
            )
            found |= {RowPiece(*row[:4]): row.packed for row in connection.execute(query)}
    return found


def _merged(what: str, data: bytes, out: Said, into: Said) -> bytes:
    """A piece without some rows, and with others."""
    try:
        said = _unpacked(what, data)
    except (struct.error, IndexError) as error:
        raise BookError(DAMAGED) from error
    gone = set().union(*out.values())
    if gone:
        said = {one: rows - gone for one, rows in said.items()}
    for one, rows in into.items():
        said[one] = said.get(one, set()) | rows
    return _piece_of(what, said)


def _said(rows: Iterable[tuple[Row, bool]]) -> dict[RowPiece, Said]:
    """What some rows say, by the piece that it falls into."""
    found: dict[RowPiece, Said] = defaultdict(lambda: defaultdict(set))
    for row, shared in rows:
        number, low = divmod(row["id"], SPAN)
        record = decode(_SEARCHED[row["kind"]], row["content"])
        for facet in facets(row["kind"], record):
            found[RowPiece(shared, TERMS, row["lab"], number)][term(*facet)].add(low)
        colour = colour_of(record)
        if colour is not None:
            place = RowPiece(shared, colours_under(colour.viewing), row["lab"], number)
            found[place][_COLOUR.pack(low, *colour.lab)].add(low)
    return found


def rebuild(connection: Connection) -> None:
    """Make all of it again from the journal."""
    connection.execute(delete(searched))
    for lab in _labs(connection):
        add_lab(connection, lab)


def add_lab(connection: Connection, lab: str) -> None:
    """Let all be found that holds now of a lab of which nothing was found yet."""
    for some in _batches(_current(connection, lab)):
        _rewrite(connection, held=some)


def unfit(connection: Connection) -> list[str]:
    """The labs whose searches do not run on exactly what the journal says."""
    labs = {*_labs(connection), *connection.scalars(select(searched.c.lab).distinct())}
    return sorted(lab for lab in labs if _wanted(connection, lab) != _found(connection, lab))


def _wanted(connection: Connection, lab: str) -> int:
    """A number that stands for what the lab's searches should run on: sets are compared by sums, in any order."""
    return sum(_mark(key, said) for some in _batches(_current(connection, lab)) for key, said in _said(some).items())


def _found(connection: Connection, lab: str) -> int | None:
    """That number of what they do run on; None where it is damaged."""
    try:
        pieces = connection.execute(select(searched).where(searched.c.lab == lab))
        return sum(_mark(RowPiece(*key), _unpacked(key[1], data)) for *key, data in pieces)
    except (struct.error, IndexError):
        return None


def _mark(key: RowPiece, said: Said) -> int:
    return sum(hash((key, one, row)) for one, rows in said.items() for row in rows)


def _batches(rows: Iterator[tuple[Row, bool]]) -> Iterator[list[tuple[Row, bool]]]:
    while some := list(itertools.islice(rows, _ROWS_A_STEP)):
        yield some


def _labs(connection: Connection) -> list[str]:
    return list(connection.scalars(select(records.c.lab).distinct()))


def _current(connection: Connection, lab: str) -> Iterator[tuple[Row, bool]]:
    """The rows of a lab that hold now, and once more with True where others are shown them."""
    scope = journal.Scope(lab)
    withdrawn = {row.name for row in journal.revisions(connection, "correction", scope)}
    for kind in _SEARCHED:
        given = {name for whose, name in journal.shared(connection, kind) if whose == lab}
        for row in journal.newest(connection, kind, scope):
            if row.seal not in withdrawn:
                yield from ((dict(row._mapping), shared) for shared in (False, True)[: 1 + (row.name in given)])
