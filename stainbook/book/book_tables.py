"""The tables of the book, as the newest migration leaves them.

Everything kept is a row of one append-only journal. A thing has a kind and a name and is revised by
a new row; nothing is edited in place. ``content`` is the record itself; the columns beside it are
copies of what is searched. Row order is the order of commits, since writers take turns, and ``id``
counts without a gap. ``seal`` and ``chain`` tie the rows to each other (see ``chain``).

``terms`` and ``colours`` are made from the journal and can be made again at any time.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, Integer, LargeBinary, MetaData, String, Table, Text, UniqueConstraint

REVISION = "0003"  # of the newest migration: a book that has it is opened without Alembic
VERSION_TABLE = "stainbook_revision"

metadata = MetaData()
_NUMBER = BigInteger().with_variant(Integer, "sqlite")

records = Table(
    "records",
    metadata,
    Column("id", _NUMBER, primary_key=True, autoincrement=False),
    Column("lab", Text, nullable=False),  # whose it is; empty for the one lab of a book
    Column("kind", String(20), nullable=False),  # stain, body, chip, reading, tab, fit, import, case, outcome, ...
    Column("name", Text, nullable=False),  # of the stain, body, chip; of a reading the sample; of a fit its scope
    Column("revision", Integer, nullable=False),  # 1, 2, ... within lab, kind and name
    Column("stage", Text),
    Column("material", Text),
    Column("lot", Text),
    Column("created_at", String(32), nullable=False),  # UTC, ISO 8601 with microseconds
    Column("author", Text, nullable=False),
    Column("hash", String(64), nullable=False),  # SHA-256 of content and data
    Column("content", Text, nullable=False),  # canonical JSON
    Column("source", Text),  # file and row it came from, for messages; no part of the content
    Column("data", LargeBinary),  # arrays of a fit
    Column("salt", String(32), nullable=False),  # goes when the record is erased: then its seal gives nothing away
    Column("seal", String(64), nullable=False),  # SHA-256 of the salt and of all columns before it
    Column("chain", String(64), nullable=False),  # SHA-256 of the chain of the row before and of this seal
    UniqueConstraint("lab", "kind", "name", "revision", name="one_revision_once"),
)

head = Table(
    "head",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),  # always 1
    Column("last", _NUMBER, nullable=False),  # id of the newest row
    Column("chain", String(64), nullable=False),  # its chain
)

terms = Table(
    "terms",
    metadata,
    Column("term", _NUMBER, primary_key=True, autoincrement=False),  # a word or condition of one lab, hashed
    Column("piece", _NUMBER, primary_key=True, autoincrement=False),  # which rows: their id // packed.SPAN
    Column("packed", LargeBinary, nullable=False),  # those of them that have the term, as packed.piece_of has it
    sqlite_with_rowid=False,
)

colours = Table(
    "colours",
    metadata,
    Column("space", _NUMBER, primary_key=True, autoincrement=False),  # lab, light and observer, hashed
    Column("cell", _NUMBER, primary_key=True, autoincrement=False),  # of L*, a*, b*
    Column("piece", _NUMBER, primary_key=True, autoincrement=False),  # 0, 1, ...: each but the last is full
    Column("packed", LargeBinary, nullable=False),  # rows and their colours, as packed.colours_piece has it
    sqlite_with_rowid=False,
)
