"""The tables of the book, as the newest migration leaves them.

Everything kept is a row of one append-only journal. A thing has a kind and a name and is revised by
a new row; nothing is edited in place. ``content`` is the record itself; the columns beside it are
copies of what is searched; names are ordered by their characters' numbers on both stores. Each lab counts its own
rows, ``id``, without a gap: their order is that of the commits, since writers take turns. ``seal`` and ``chain`` tie a
lab's rows to each other (see ``chain``).

``searched`` is made from the journal and can be made again at any time.
"""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

REVISION = "0004"  # of the newest migration: a book that has it is opened without Alembic
VERSION_TABLE = "stainbook_revision"

metadata = MetaData()
_NUMBER = BigInteger().with_variant(Integer, "sqlite")

records = Table(
    "records",
    metadata,
    Column("lab", Text, primary_key=True),  # whose it is; empty for the one lab of a book
    Column("id", _NUMBER, primary_key=True, autoincrement=False),  # 1, 2, ... within the lab, but see ``head``
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

ALL_LABS = "*"  # stands in ``head`` for the one chain that all labs of a book had before revision 0004

head = Table(
    "head",
    metadata,
    Column("lab", Text, primary_key=True),
    Column("last", _NUMBER, nullable=False),  # id of its newest row
    Column("chain", String(64), nullable=False),  # its chain
    Column("begun", _NUMBER, nullable=False),  # its own chain begins after this id; up to it the rows are in ALL_LABS'
)

searched = Table(
    "searched",
    metadata,
    Column("shared", Boolean, primary_key=True),  # what a lab shows to the others stands here a second time
    Column("what", Text, primary_key=True),  # terms, or the light and observer of colours
    Column("lab", Text, primary_key=True),
    Column("piece", _NUMBER, primary_key=True, autoincrement=False),  # which rows: their id // index.SPAN
    Column("packed", LargeBinary, nullable=False),  # as ``index`` has it
)
